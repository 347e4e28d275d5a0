"""Next up: the order of a member's next cases, each with the figures that put it there."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.book import Book
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import book_of_member
from logs.cases.facts import cases_by_code, code_of, traits
from logs.homework.due_dates import weekly_pace
from logs.homework.report.homework import open_codes
from logs.homework.selectors import weekly_counts_of_member
from logs.homework.services import day_words
from logs.next_up.gains import Ranking, member_gains, ranked
from logs.next_up.models import Override as StoredOverride
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
from logs.people.report.whose import Whose, whose
from logs.people.sight import coaches, membership_get
from logs.stats.likelihood import decimals_shown
from logs.words import find_case

BAND_SDS = 1.2816
"""Standard deviations on either side that hold eight in ten of a normal distribution."""


SHOWN = 12


NO_BREAK = "\u00a0"
"""Cases of the list that stand open on the page; the others are folded away."""


@dataclass(frozen=True, slots=True)
class CoachWord:
    """What a coach said about a case, and why."""

    id: int
    words: str
    reason: str
    on: str


@dataclass(frozen=True, slots=True)
class NextLine:
    """A case of the list.

    ``is_tied`` says that the figures cannot tell it from the one above; ``factors`` is the sentence
    of them, ``rules`` why it stands here or waits.
    """

    taught: TaughtCase
    is_now: bool
    is_open: bool
    is_tied: bool
    factors: str
    saves: str
    rules: tuple[str, ...]
    word: CoachWord | None


@dataclass(frozen=True, slots=True)
class NextUpReport:
    """The list of a member: what to start now, what comes after, what a coach left out."""

    whose: Whose
    is_coach: bool
    slug: str
    n_sightings: int
    n_one_look: int
    has_times: bool
    max_open: int
    now: tuple[NextLine, ...]
    later: tuple[NextLine, ...]
    rest: tuple[NextLine, ...]
    skipped: tuple[NextLine, ...]


def next_up_report(*, actor: User, membership_id: int | None = None, now: datetime) -> NextUpReport:
    """The list of the actor, or of a member whose log they may read.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = whose(actor=actor, membership_id=membership_id)
    membership = (
        None if membership_id is None else membership_get(actor=actor, membership_id=membership_id)
    )
    (own,) = member_gains(actor=actor, members=[member.user])
    found = ranked(own)
    words = _words(actor, member.user, membership)
    counts = weekly_counts_of_member(actor=actor, member=member.user, now=now)
    max_open = open_cases_allowed(weekly_pace(counts))
    opened = open_codes(actor=actor, member=member.user, membership=membership)
    order = teaching_order(
        found.table,
        traits=traits(),
        one_look=found.one_look,
        open_cases=opened & set(found.table.index),
        max_open=max_open,
        overrides=[_rule_word(code, word) for code, word in words.items()],
    )
    book = book_of_member(member=member.user)
    lines = _lines(order, found, opened, words, member.zone, book)
    kept = [line for line in lines if line.word is None or line.word.words != _LEFT_OUT]
    waiting = [line for line in kept if not line.is_now]
    return NextUpReport(
        whose=member,
        is_coach=membership is not None and coaches(actor=actor, club_id=membership.club_id),
        slug=membership.club.slug if membership else "",
        n_sightings=own.n_sightings,
        n_one_look=len(found.one_look),
        has_times=found.has_times,
        max_open=max_open,
        now=tuple(line for line in kept if line.is_now),
        later=tuple(waiting[:SHOWN]),
        rest=tuple(waiting[SHOWN:]),
        skipped=tuple(line for line in lines if line not in kept),
    )


_LEFT_OUT = "left out"


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
    book: Book,
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
                taught=taught(cases_by_code()[lesson.case], book),
                is_now=lesson.is_now,
                is_open=lesson.case in opened,
                is_tied=group == above and lesson.override is None,
                factors=factor_words(lesson.case, row),
                saves=saving_words(row),
                rules=_rule_words(lesson),
                word=None if word is None else _coach_word(word, zone),
            )
        )
        above = group
    return lines


def factor_words(code: str, row: Mapping[Any, Any]) -> str:
    """The sentence of the figures that put a case where it is."""
    case = cases_by_code()[code]
    n, hits = int(row["n"]), int(row["n_hits"])
    parts = [f"comes up once in {case.id.stage.chances_in // case.chance} solves"]
    parts.append(f"in one look {hits} of {n} times" if n else "not met yet")
    if row["now_ms"] == row["now_ms"] and row["then_ms"] == row["then_ms"]:
        parts.append(f"now about {_seconds(row['now_ms'])}")
        parts.append(f"in one look about {_seconds(row['then_ms'])}")
    return "; ".join(parts)


def saving_words(row: Mapping[Any, Any]) -> str:
    """What one look saves in 100 solves, with its range, or how likely it is that it saves at all.

    Goes on from "One look"; empty where nothing is known.
    """
    value, sd = row["value_ms"], row["value_sd_ms"]
    if value != value:
        return ""
    low, high = (value + way * BAND_SDS * sd for way in (-1, 1))
    if value <= 0:
        return f"no gain expected, {100 * row['p_gain']:.0f} chances in 100 of one"
    digits = decimals_shown((high - low) / 20, most=1)
    saved = f"{value / 10:.{digits}f}{NO_BREAK}s"
    return f"saves {saved} in 100 solves ({low / 10:.{digits}f} to {high / 10:.{digits}f})"


def _seconds(ms: float) -> str:
    return f"{ms / 1000:.1f}{NO_BREAK}s"


def _rule_words(lesson: Lesson) -> tuple[str, ...]:
    said = {
        Rule.COMPLETE_FAMILY: "it is the last of its family",
        Rule.FREQUENT_FIRST: "it comes up more often than others worth as much",
        Rule.FEW_OPEN: "enough cases are open; it waits until one is verified",
    }
    if lesson.blocked_by is not None:
        other = cases_by_code()[lesson.blocked_by]
        said[Rule.LOOK_ALIKES_APART] = f"it looks like {other}, which comes first"
    return tuple(said[rule] for rule in lesson.rules)


def _coach_word(word: StoredOverride, zone: ZoneInfo) -> CoachWord:
    words = {
        OverrideKind.PIN: "put first",
        OverrideKind.SKIP: _LEFT_OUT,
        OverrideKind.MOVE: f"moved to place {word.place}",
    }[OverrideKind(word.kind)]
    return CoachWord(word.pk, words, word.reason, day_words(word.at.astimezone(zone).date()))
