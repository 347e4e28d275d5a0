"""How far members are with homework, worked out from the sightings behind it."""

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.book import Book
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import books_of_clubs
from logs.homework.figures import Asked, CaseCheck, Meeting, case_check
from logs.homework.models import Assignment, Excuse, Homework, HomeworkCase
from logs.homework.report.effect import EffectLine
from logs.homework.selectors import MetSince, in_span, met_since
from logs.homework.services import day_words
from logs.homework.words import drill_words, short_words, state_words
from logs.people.models import Membership
from logs.stats.adoption import AdoptionState
from logs.words import find_case, moment, split

EXCUSED = "excused"


@dataclass(frozen=True, slots=True)
class MeetingLine:
    """A sighting that was read, or why it was not."""

    solve_id: int
    done: str
    looks: str
    recognition: str
    is_hit: bool


@dataclass(frozen=True, slots=True)
class CaseProgress:
    """How far a member is with a case, and the sightings behind it.

    ``state`` is the word of the sequential test of solves, or ``excused``: drills never change it.
    ``is_ready`` is the same test's word on the drills, that the case may be met. ``effect`` is told
    on the page of one member alone.
    """

    taught: TaughtCase
    state: str
    short: str
    words: str
    drills: str
    is_ready: bool
    excuse: str
    meetings: tuple[MeetingLine, ...]
    effect: EffectLine | None = None


@dataclass(frozen=True, slots=True)
class MemberProgress:
    """A member's line of a homework."""

    membership_id: int
    name: str
    is_own: bool
    cases: tuple[CaseProgress, ...]
    n_verified: int
    n_asked: int


def asked_of(homework: Homework) -> Asked:
    """What a homework asks, for `case_check`."""
    return Asked(homework.goal != "recognition", homework.recognition_target_ms)


class Progress:
    """The sightings behind some homework, read once and dealt out."""

    def __init__(
        self, actor: User, homework: Sequence[Homework], members: Sequence[Membership]
    ) -> None:
        self.actor = actor
        self.members = members
        self._books = books_of_clubs(clubs={one.club_id for one in homework})
        self._met: dict[tuple[int, tuple[str, str]], list[MetSince]] = {}
        for one in met_since(homework=homework, members=members):
            self._met.setdefault((one.member_id, one.case), []).append(one)

    def of_all(self, homework: Homework) -> list[MemberProgress]:
        """The progress of everyone it was set for whom the reader may see."""
        assigned = {a.member_id for a in homework.assignments.all()}
        return [
            self.of(homework, member)
            for member in self.members
            if member.club_id == homework.club_id and member.user_id in assigned
        ]

    def of(self, homework: Homework, member: Membership) -> MemberProgress:
        """The progress of one member."""
        assignment = next(a for a in homework.assignments.all() if a.member_id == member.user_id)
        cases = tuple(
            self._case(homework, assignment, case, is_own=member.user_id == self.actor.pk)
            for case in cases_of(homework)
        )
        return MemberProgress(
            membership_id=member.pk,
            name=member.display_name,
            is_own=member.user_id == self.actor.pk,
            cases=cases,
            n_verified=sum(case.state == AdoptionState.VERIFIED for case in cases),
            n_asked=sum(case.state != EXCUSED for case in cases),
        )

    def _case(
        self, homework: Homework, assignment: Assignment, case: HomeworkCase, *, is_own: bool
    ) -> CaseProgress:
        met = [
            one
            for one in self._met.get((assignment.member_id, (case.stage, case.case)), [])
            if in_span(homework, one.meeting.done_at)
        ]
        asked, zone = asked_of(homework), ZoneInfo(homework.club.time_zone)
        check = case_check(
            [one.meeting for one in met if not one.is_drill],
            [one.meeting for one in met if one.is_drill],
            asked=asked,
        )
        excuse = _excuse(assignment, case)
        is_excused = excuse is not None and check.state is not AdoptionState.VERIFIED
        return CaseProgress(
            taught=taught_of(case, self._books[homework.club_id]),
            state=EXCUSED if is_excused else check.state.value,
            short=EXCUSED if is_excused else short_words(check),
            words=state_words(check, asked=asked, zone=zone, is_own=is_own),
            drills=drill_words(check),
            is_ready=check.is_ready,
            excuse=_excuse_words(excuse, zone) if excuse else "",
            meetings=_meetings(check, asked, zone),
        )


def cases_of(homework: Homework) -> list[HomeworkCase]:
    """The cases of a homework in their order."""
    return sorted(homework.cases.all(), key=lambda case: case.place)


def taught_of(case: HomeworkCase, book: Book | None = None) -> TaughtCase:
    """A case of a homework as ``book`` teaches it."""
    found = find_case(case.stage, case.case)
    assert found is not None  # held by a constraint
    return taught(found, book)


def _excuse(assignment: Assignment, case: HomeworkCase) -> Excuse | None:
    excused = [e for e in assignment.excuses.all() if (e.stage, e.case) == (case.stage, case.case)]
    return excused[0] if excused else None


def _excuse_words(excuse: Excuse, zone: ZoneInfo) -> str:
    return f"Excused on {day_words(excuse.at.astimezone(zone).date())}: {excuse.reason}"


def _meetings(check: CaseCheck, asked: Asked, zone: ZoneInfo) -> tuple[MeetingLine, ...]:
    return tuple(
        MeetingLine(
            solve_id=one.solve_id,
            done=moment(one.done_at, zone),
            looks=_looks(one),
            recognition=split(one.recognition_ms),
            is_hit=_is_hit(one, asked),
        )
        for one in reversed(check.read)
    )


def _looks(one: Meeting) -> str:
    if one.is_one_look:
        return "one look"
    return "one look, but no algorithm of the book" if one.n_looks == 1 else f"{one.n_looks} looks"


def _is_hit(one: Meeting, asked: Asked) -> bool:
    if asked.recognition_ms is None:
        return one.is_one_look
    is_within = one.recognition_ms is not None and one.recognition_ms <= asked.recognition_ms
    return one.is_one_look and is_within
