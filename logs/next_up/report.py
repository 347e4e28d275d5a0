"""Next up: the order of a member's next cases, each with the figures that put it there."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import book_of_member, holds_of_member
from logs.cases.facts import cases_by_code, code_of, traits
from logs.cases.report import CaseName, name_of
from logs.homework.figures import weekly_pace
from logs.homework.report.homework import open_codes
from logs.homework.selectors import weekly_counts_of_member
from logs.next_up.gains import Ranking, member_gains, ranked
from logs.next_up.models import Override as StoredOverride
from logs.next_up.order import BAND as LEVEL
from logs.next_up.order import (
    Lesson,
    Override,
    OverrideKind,
    Rule,
    open_cases_allowed,
    teaching_order,
)
from logs.next_up.selectors import overrides_in_force
from logs.people.models import Membership
from logs.people.sight import ClubName, Whose, coaches, sight_of
from logs.solves.selectors.alike import n_unlike
from logs.solves.selectors.draws import member_rate_rows
from logs.stats import Range
from logs.words import find_case


@dataclass(frozen=True, slots=True)
class CoachWord:
    """What a coach decided about a case, and why.

    Attributes:
        id: Number of the word.
        kind: What is done with the case.
        place: Where a move puts it, 1 being the first; else null.
        reason: Why, in the coach's words.
        on: The day, in the club's time zone.
    """

    id: int
    kind: OverrideKind
    place: int | None
    reason: str
    on: date


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a case stands where it does, or waits.

    Attributes:
        rule: The rule.
        other: The case that it waits for, where the rule is about another; else null.
    """

    rule: Rule
    other: CaseName | None


@dataclass(frozen=True, slots=True)
class Saving:
    """What doing a case in one look would save.

    Attributes:
        per_solve_ms: In an average solve, ms; below 0 where no gain is expected.
        per_hour_ms: The same for each hour of learning, which the list goes by, ms.
        range_ms: Where it lies, ms.
        gain_chance: Chance that it saves anything, 0..1.
    """

    per_solve_ms: float
    per_hour_ms: float
    range_ms: Range
    gain_chance: float


@dataclass(frozen=True, slots=True)
class NextLine:
    """A case of the list.

    Attributes:
        taught: The case as the member's book teaches it.
        is_open: Whether it is homework that is not verified; false for a clubmate who reads.
        is_tied: Whether the figures cannot tell it from the one above.
        n: Times looked at in solves.
        n_one_look: Of those in one look.
        now_ms: What it takes now, in two looks, ms; null while that cannot be told.
        then_ms: What it would take in one look, ms; null while that cannot be told.
        saving: What one look would save; null while that cannot be told.
        effort_h: Hours it takes to learn, as the order counts them; null without a saving.
        reasons: Why it stands here or waits.
        word: The coach's word on it; null without one, and for a clubmate who reads.
    """

    taught: TaughtCase
    is_open: bool
    is_tied: bool
    n: int
    n_one_look: int
    now_ms: float | None
    then_ms: float | None
    saving: Saving | None
    effort_h: float | None
    reasons: tuple[Reason, ...]
    word: CoachWord | None


@dataclass(frozen=True, slots=True)
class NextUpReport:
    """The cases that a member learns next, the most saved for an hour of learning first.

    Attributes:
        whose: Whose list.
        is_coach: Whether the reader coaches the club in which it is read.
        club: That club; null on the reader's own pages.
        n_sightings: Sightings in solves behind it.
        n_one_look: Cases that go in one look already, which are not on it.
        n_picked: Solves behind it that were picked to be written down.
        n_unlike: Solves whose times of turns are left out: another instrument took them.
        has_times: Whether any case could be given a saving; if none, chance alone orders it.
        max_open: How many cases to learn at once at the member's pace.
        now: The cases to learn now.
        later: Those after them.
        skipped: Those that a coach left out.
    """

    whose: Whose
    is_coach: bool
    club: ClubName | None
    n_sightings: int
    n_one_look: int
    n_picked: int
    n_unlike: int
    has_times: bool
    max_open: int
    now: tuple[NextLine, ...]
    later: tuple[NextLine, ...]
    skipped: tuple[NextLine, ...]


def next_up_report(*, actor: User, membership_id: int | None = None, now: datetime) -> NextUpReport:
    """The list of the actor, or of a member whose log they may read.

    Homework and a coach's words are the member's and their coaches': a clubmate is told the list as
    it would be without them.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    sight = sight_of(actor=actor, membership_id=membership_id)
    member, membership = sight.member, sight.membership
    is_coach = membership is not None and coaches(actor=actor, club_id=membership.club_id)
    is_told = sight.is_own or is_coach
    (own,) = member_gains(actor=actor, members=[member])
    found = ranked(own)
    rows = member_rate_rows(actor=actor, member=sight)
    words = _words(actor, member, membership) if is_told else {}
    counts = weekly_counts_of_member(actor=actor, member=member, now=now)
    max_open = open_cases_allowed(weekly_pace(counts))
    opened = open_codes(actor=actor, member=member, membership=membership) if is_told else set()
    order = teaching_order(
        found.table,
        traits=traits(),
        one_look=found.one_look,
        open_cases=opened & set(found.table.index),
        max_open=max_open,
        overrides=[_rule_word(code, word) for code, word in words.items()],
    )
    book, holds = book_of_member(member=member), holds_of_member(member=member)
    lessons = {code: taught(case, book, holds) for code, case in cases_by_code().items()}
    lines = _lines(order, found, opened, words, sight.zone, lessons)
    placed = list(zip(order, lines, strict=True))
    return NextUpReport(
        whose=sight,
        is_coach=is_coach,
        club=None if sight.club is None else ClubName(sight.club.name, sight.club.slug),
        n_sightings=own.n_sightings,
        n_one_look=len(found.one_look),
        n_picked=len(rows.chosen - rows.left_out),
        n_unlike=n_unlike(actor=actor, member=sight),
        has_times=found.has_times,
        max_open=max_open,
        now=tuple(line for lesson, line in placed if lesson.is_now),
        later=tuple(line for lesson, line in placed if not lesson.is_now and not lesson.is_skipped),
        skipped=tuple(line for lesson, line in placed if lesson.is_skipped),
    )


def _words(actor: User, member: User, membership: Membership | None) -> dict[str, StoredOverride]:
    """The coaches' words in force, by code; of two clubs' words on a case the later one."""
    stored = overrides_in_force(actor=actor, member=member, membership=membership)
    words: dict[str, StoredOverride] = {}
    for word in stored:
        case = find_case(word.stage, word.case)
        assert case is not None  # held by a constraint
        words[code_of(case.id)] = word
    return words


def _rule_word(code: str, word: StoredOverride) -> Override:
    return Override(code, OverrideKind(word.kind), word.reason, word.place)


def _lines(
    order: tuple[Lesson, ...],
    found: Ranking,
    opened: set[str],
    words: dict[str, StoredOverride],
    zone: ZoneInfo,
    lessons: Mapping[str, TaughtCase],
) -> list[NextLine]:
    lines = []
    above: int | None = None
    rows: dict[Any, dict[Any, Any]] = found.table.to_dict("index")
    for lesson in order:
        row = rows[lesson.case]
        group = int(row["tie_group"])
        word = words.get(lesson.case)
        lines.append(
            NextLine(
                taught=lessons[lesson.case],
                is_open=lesson.case in opened,
                is_tied=group == above and lesson.override is None,
                n=int(row["n"]),
                n_one_look=int(row["n_hits"]),
                now_ms=_known(row["now_ms"]),
                then_ms=_known(row["then_ms"]),
                saving=saving_of(row),
                effort_h=_known(row["effort_h"]),
                reasons=_reasons(lesson),
                word=None if word is None else _coach_word(word, zone),
            )
        )
        above = group
    return lines


def _known(value: float) -> float | None:
    return value if value == value else None


def saving_of(row: Mapping[Any, Any]) -> Saving | None:
    """What one look saves by a row of `next_up`, with its range; None where nothing is known."""
    value = row["value_ms"]
    if value != value:
        return None
    span = Range(low=row["low_ms"], high=row["high_ms"], level=LEVEL)
    return Saving(value, row["value_per_effort"], span, row["p_gain"])


def _reasons(lesson: Lesson) -> tuple[Reason, ...]:
    other = None if lesson.blocked_by is None else cases_by_code()[lesson.blocked_by]
    link = None if other is None else name_of(other.id)
    return tuple(
        Reason(rule, link if rule is Rule.LOOK_ALIKES_APART else None) for rule in lesson.rules
    )


def _coach_word(word: StoredOverride, zone: ZoneInfo) -> CoachWord:
    return CoachWord(
        id=word.pk,
        kind=OverrideKind(word.kind),
        place=word.place,
        reason=word.reason,
        on=word.at.astimezone(zone).date(),
    )
