"""Which cases an evening should hold: what those who come gain most from, look-alikes apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from clubsite.accounts.models import User
from cubecore.book import Book
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import books_of_clubs
from logs.cases.facts import Traits, case_of, cases_by_code, chance_of, traits
from logs.homework.services import chosen_members
from logs.lessons.models import Lesson
from logs.lessons.selectors import lesson_get, lesson_list
from logs.next_up.gains import Gains, member_gains
from logs.people.models import Membership
from logs.people.sight import ClubName, coached_club_get, members_visible
from logs.words import day_words, find_case

MAX_CASES = 10


@dataclass(frozen=True, slots=True)
class Desk:
    """What the tabs of a club read, on a page that only its coaches have."""

    club: ClubName
    is_coach: bool = True


@dataclass(frozen=True, slots=True)
class Proposed:
    """A case for the evening.

    Attributes:
        code: The case.
        members: Those who do not do it in one look yet and would gain.
        per_100_s: What those of them whose times are known would save together, in 100 solves.
    """

    code: str
    members: tuple[str, ...]
    per_100_s: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """Cases in the order to be taught, and those left out as ``(code, look-alike in it)``."""

    cases: tuple[Proposed, ...]
    left_out: tuple[tuple[str, str], ...]


def propose(
    gains: Mapping[str, Gains], *, traits: Mapping[str, Traits], most: int = MAX_CASES
) -> Proposal:
    """The cases for an evening.

    Each member weighs alike: their gain for an hour of learning counts as a share of their own
    largest, so that a slow member does not decide for all. Where a member's times are not known,
    the chance of the case times what does not go in one look stands in. The largest sums are taken,
    but never two look-alikes; then families are put together, each where its first case stood.

    Args:
        gains: Of those who will come, by name.
        traits: Of every case.
        most: How many cases at most.
    """
    shares: dict[str, dict[str, float]] = {}
    for name in sorted(gains):
        for code, share in _shares(gains[name]).items():
            shares.setdefault(code, {})[name] = share
    ranked = sorted(shares, key=lambda code: (-sum(shares[code].values()), code))
    chosen: list[str] = []
    left_out: list[tuple[str, str]] = []
    for code in ranked:
        if len(chosen) == most:
            break
        rivals = [other for other in chosen if other in traits[code].look_alikes]
        if rivals:
            left_out.append((code, rivals[0]))
        else:
            chosen.append(code)
    return Proposal(
        tuple(
            Proposed(code, tuple(shares[code]), _together(gains, code))
            for code in _by_family(chosen, traits)
        ),
        tuple(left_out),
    )


def _shares(gains: Gains) -> dict[str, float]:
    """The member's gain from each case as a share of their largest; none below 0."""
    values = {one.case: one.value_ms / one.effort_h for one in gains.candidates}
    if not values:
        values = {
            str(code): chance_of(cases_by_code()[str(code)]) * (1 - rate)
            for code, rate in gains.table["rate"].items()
        }
    largest = max(values.values(), default=0.0)
    return {code: value / largest for code, value in values.items() if value > 0}


def _together(gains: Mapping[str, Gains], code: str) -> float:
    return sum(
        one.value_ms / 10
        for found in gains.values()
        for one in found.candidates
        if one.case == code and one.value_ms > 0
    )


def _by_family(chosen: Sequence[str], traits: Mapping[str, Traits]) -> list[str]:
    families = list(dict.fromkeys(traits[code].family for code in chosen))
    return sorted(chosen, key=lambda code: families.index(traits[code].family))


@dataclass(frozen=True, slots=True)
class LessonLine:
    """A lesson on a line."""

    id: int
    on: str
    title: str
    cases: tuple[str, ...]
    n_members: int
    homework_id: int | None


@dataclass(frozen=True, slots=True)
class LessonsReport:
    """The lessons of a club."""

    view: Desk
    lessons: tuple[LessonLine, ...]


@dataclass(frozen=True, slots=True)
class LessonCaseLine:
    """A case of a lesson, or one proposed for it."""

    taught: TaughtCase
    place: int
    reason: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Comer:
    """A member of the club, and whether they will come."""

    membership_id: int
    name: str
    comes: bool


@dataclass(frozen=True, slots=True)
class LessonReport:
    """A lesson; ``n_hidden`` of its members no longer show the reader their log."""

    id: int
    view: Desk
    on: date
    on_words: str
    title: str
    note: str
    cases: tuple[LessonCaseLine, ...]
    members: tuple[Comer, ...]
    n_hidden: int
    homework_id: int | None


@dataclass(frozen=True, slots=True)
class ProposalReport:
    """What is proposed for those who come; ``left_out`` says which look-alike stands in."""

    view: Desk
    members: tuple[Comer, ...]
    cases: tuple[LessonCaseLine, ...]
    left_out: tuple[str, ...]


def lessons_report(*, actor: User, slug: str) -> LessonsReport:
    """The lessons of a club.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    lines = tuple(
        LessonLine(
            lesson.pk,
            day_words(lesson.on),
            lesson.title,
            tuple(line.taught.title for line in _case_lines(lesson)),
            len(lesson.members.all()),
            lesson.homework_id,
        )
        for lesson in lesson_list(actor=actor, club=club)
    )
    return LessonsReport(Desk(ClubName(club.name, club.slug)), lines)


def lesson_report(*, actor: User, lesson_id: int) -> LessonReport:
    """One lesson.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    coming = {one.member_id for one in lesson.members.all()}
    members = _comers(members_visible(actor=actor, club=lesson.club), coming)
    return LessonReport(
        id=lesson.pk,
        view=Desk(ClubName(lesson.club.name, lesson.club.slug)),
        on=lesson.on,
        on_words=day_words(lesson.on),
        title=lesson.title,
        note=lesson.note,
        cases=_case_lines(lesson, books_of_clubs(clubs=[lesson.club_id])[lesson.club_id]),
        members=members,
        n_hidden=len(coming) - sum(member.comes for member in members),
        homework_id=lesson.homework_id,
    )


def proposal_report(*, actor: User, slug: str, membership_ids: Sequence[int]) -> ProposalReport:
    """What is proposed for the chosen members; nothing while none is chosen.

    Raises:
        NotFoundError: The club is not the actor's to coach, or a member's log not theirs to read.
    """
    club = coached_club_get(actor=actor, slug=slug)
    chosen = chosen_members(club=club, membership_ids=membership_ids) if membership_ids else []
    proposal = propose(_gains(actor, chosen), traits=traits())
    return ProposalReport(
        view=Desk(ClubName(club.name, club.slug)),
        members=_comers(
            members_visible(actor=actor, club=club), {member.user_id for member in chosen}
        ),
        cases=tuple(
            LessonCaseLine(
                taught(cases_by_code()[one.code]),
                place,
                _reason(one, len(chosen)),
                tuple(name.partition(" ")[2] for name in one.members),
            )
            for place, one in enumerate(proposal.cases, start=1)
        ),
        left_out=tuple(
            f"{cases_by_code()[code]} looks like {cases_by_code()[other]}"
            for code, other in proposal.left_out
        ),
    )


def picked_lines(codes: Sequence[str]) -> tuple[LessonCaseLine, ...]:
    """Cases that a coach picked by hand, in their order; codes of no case are left out."""
    cases = [case for code in codes if (case := case_of(code)) is not None]
    return tuple(
        LessonCaseLine(taught(case), place, "") for place, case in enumerate(cases, start=1)
    )


def _gains(actor: User, members: Sequence[Membership]) -> dict[str, Gains]:
    """What each would gain, by number and name: two may go by one name."""
    found = member_gains(actor=actor, members=[member.user for member in members])
    return {
        f"{place:03} {member.display_name}": own
        for place, (member, own) in enumerate(zip(members, found, strict=True))
    }


def _reason(one: Proposed, n_members: int) -> str:
    said = f"{len(one.members)} of {n_members} do not do it in one look yet"
    if one.per_100_s >= 0.1:
        said += f" and would save about {one.per_100_s:.1f} s in 100 solves between them"
    return said


def _comers(members: Sequence[Membership], coming: set[int]) -> tuple[Comer, ...]:
    return tuple(
        Comer(member.pk, member.display_name, member.user_id in coming) for member in members
    )


def _case_lines(lesson: Lesson, book: Book | None = None) -> tuple[LessonCaseLine, ...]:
    lines = []
    for stored in sorted(lesson.cases.all(), key=lambda one: one.place):
        case = find_case(stored.stage, stored.case)
        assert case is not None  # held by a constraint
        lines.append(LessonCaseLine(taught(case, book), stored.place, stored.reason))
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class LessonStart:
    """What homework from a lesson begins with: its club, cases by code, memberships of who came."""

    slug: str
    codes: list[str]
    membership_ids: list[int]


def lesson_start(*, actor: User, lesson_id: int) -> LessonStart:
    """What homework from a lesson begins with.

    Raises:
        NotFoundError: There is no such lesson, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    coming = {member.member_id for member in lesson.members.all()}
    in_order = sorted(lesson.cases.all(), key=lambda case: case.place)
    shown = members_visible(actor=actor, club=lesson.club)
    return LessonStart(
        slug=lesson.club.slug,
        codes=[f"{case.stage}-{case.case}" for case in in_order],
        membership_ids=[member.pk for member in shown if member.user_id in coming],
    )
