"""What the reports of homework hold."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from logs.homework.figures import Way
from logs.homework.report.effect import EffectReport
from logs.people.sight import ClubName


@dataclass(frozen=True, slots=True)
class AskedCase:
    """A case in a report.

    Attributes:
        code: Names it, such as ``oll-27``.
        title: Such as ``OLL 27 Sune``.
    """

    code: str
    title: str


class CaseState(StrEnum):
    """Where a member is with a case: the first two are told of learning, the others of what follows.

    ``open`` and ``ready``: the number of drills or right answers is not reached, or is. ``shown``:
    a coach was shown it. ``verified``: solves show it. ``together``: the solves do not settle it,
    so member and coach look at it. ``excused``: it is asked no more.
    """

    OPEN = "open"
    READY = "ready"
    SHOWN = "shown"
    VERIFIED = "verified"
    TOGETHER = "together"
    EXCUSED = "excused"


DONE = frozenset({CaseState.VERIFIED, CaseState.EXCUSED})
"""States in which nothing more is asked."""


@dataclass(frozen=True, slots=True)
class LearnReport:
    """The first part: the case learnt by the date.

    Attributes:
        state: ``open``, ``ready`` or ``shown``.
        n_done: Drills that went clean; of practice the lesser of the two runs; 0 where the coach is
            shown the case.
        n_wanted: How many are wanted; null where the coach is shown it.
        n_from_log: Clean drills read from the turns of a log.
        n_by_word: Clean drills by the member's own word on the drill page.
        n_told_running: Most right answers running on which case it is.
        n_held_running: The same of how to hold it; null where every hold is the same.
        ready_at: When the number was reached; null while it is not.
        shown_at: When the coach said they were shown it; null while they did not.
    """

    state: str
    n_done: int
    n_wanted: int | None
    n_from_log: int
    n_by_word: int
    n_told_running: int
    n_held_running: int | None
    ready_at: datetime | None
    shown_at: datetime | None


@dataclass(frozen=True, slots=True)
class TestCount:
    """How often what is asked was so.

    Attributes:
        n_hits: Sightings that were as asked.
        n: Sightings that were read.
    """

    n_hits: int
    n: int


@dataclass(frozen=True, slots=True)
class SolvesCheck:
    """The second part: what solves show of the case since it was asked for.

    Attributes:
        state: Of the sequential test: ``open``, ``verified``, ``not_yet`` or ``ask_coach``.
        n_met: Solves in which it came up and was tried, up to the verdict.
        one_look: Those in one look by an algorithm of the book; null where that is not asked.
        recognition: Those within the target; null where none is asked.
        is_anew: Whether the count has begun anew and nothing since speaks for the case.
        is_gain_asked: Whether the target for recognition lies below what the member did before;
            where it does not, solves cannot show a gain.
        n_more: Fewest more sightings as asked that verify it; 0 when verified.
        verified_at: When the deciding solve was done; null while it is not verified.
    """

    state: str
    n_met: int
    one_look: TestCount | None
    recognition: TestCount | None
    is_anew: bool
    is_gain_asked: bool
    n_more: int
    verified_at: datetime | None


@dataclass(frozen=True, slots=True)
class Expectation:
    """How soon chance brings a case: information, and no date.

    Attributes:
        n_solves: Solves within which it comes up half of the time.
        per_week: Solves in the member's usual week (median of the last eight); 0 without any.
        n_weeks: Weeks that these solves take at that pace; null without a pace.
    """

    n_solves: int
    per_week: float
    n_weeks: float | None


@dataclass(frozen=True, slots=True)
class MeetingLine:
    """A solve in which the case came up.

    Attributes:
        solve_id: Its number.
        done_at: When it was done.
        n_looks: Looks that the case took.
        is_of_book: Whether one look was by an algorithm of the book.
        recognition_ms: Of that look, ms; null where the log does not tell.
        step_ms: How fine that was taken, ms; null where the log does not say.
        is_hit: Whether it was all that is asked.
        is_picked: Whether the member picked it to be written down: memory picks the good and the
            awful.
    """

    solve_id: int
    done_at: datetime
    n_looks: int
    is_of_book: bool
    recognition_ms: int | None
    step_ms: int | None
    is_hit: bool
    is_picked: bool


@dataclass(frozen=True, slots=True)
class ExcuseReport:
    """Why a case is asked no more.

    Attributes:
        at: When the member was excused.
        reason: The coach's words.
    """

    at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class CaseProgress:
    """How far a member is with a case, and what is behind it.

    Attributes:
        case: The case.
        asked_at: Since when it is asked; what was done before does not count.
        state: The one word for both parts.
        learn: The first part.
        solves: The second part.
        expectation: How soon chance brings it; null once it is verified or excused.
        excuse: Why it is asked no more; null where it still is, or was verified.
        meetings: The solves behind the second part, newest first.
        effect: What times and looks say of before and since; null but on the page of one member.
    """

    case: AskedCase
    asked_at: datetime
    state: CaseState
    learn: LearnReport
    solves: SolvesCheck
    expectation: Expectation | None
    excuse: ExcuseReport | None
    meetings: tuple[MeetingLine, ...]
    effect: EffectReport | None = None


@dataclass(frozen=True, slots=True)
class MemberProgress:
    """A member's part of a homework.

    Attributes:
        membership_id: Names the member in addresses.
        name: The name in the club.
        is_own: Whether it is the reader.
        cases: What is asked of them, in the homework's order.
        n_asked: Cases that they are not excused from.
        n_learnt: Those that are ready, shown or verified.
        n_verified: Those that solves verified.
    """

    membership_id: int
    name: str
    is_own: bool
    cases: tuple[CaseProgress, ...]
    n_asked: int
    n_learnt: int
    n_verified: int


@dataclass(frozen=True, slots=True)
class HiddenMember:
    """A member who shows the coach no log: the homework is set, and fills on their own page.

    Attributes:
        membership_id: Names the member in addresses.
        name: The name in the club.
        cases: What is asked of them, in the homework's order.
        shown: Codes of those that a coach says they were shown.
    """

    membership_id: int
    name: str
    cases: tuple[AskedCase, ...]
    shown: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Head:
    """What a homework is, without how far it is.

    Attributes:
        id: Its number.
        club: The club.
        set_at: When it was set.
        due_on: The date to learn the cases by; null for none.
        is_due_past: Whether that day is over in the club's time zone.
        way: How the cases are learnt: ``drills``, ``practice`` or ``coach``.
        n_wanted: Clean drills, or right answers running; null where the coach is shown the case.
        goal: What solves show afterwards: ``one_look``, ``recognition`` or ``both``.
        recognition_target_ms: The target for recognition, ms; null where the goal has none.
        note: The coach's words, or empty.
        cases: The cases in order.
        closed_at: When it was closed; null while it is open.
        close_reason: The coach's words on that, or empty.
        time_zone: The club's time zone.
    """

    id: int
    club: ClubName
    set_at: datetime
    due_on: date | None
    is_due_past: bool
    way: Way
    n_wanted: int | None
    goal: str
    recognition_target_ms: int | None
    note: str
    cases: tuple[AskedCase, ...]
    closed_at: datetime | None
    close_reason: str
    time_zone: ZoneInfo


@dataclass(frozen=True, slots=True)
class HomeworkLine:
    """A homework on a line; its counts are of the members who show the reader their log.

    Attributes:
        head: What it is.
        n_members: Members it was set for, whoever sees their logs.
        n_asked: Cases asked of the members counted, each for each.
        n_learnt: Those that are ready, shown or verified.
        n_verified: Those that solves verified.
        n_together: Those to look at together.
    """

    head: Head
    n_members: int
    n_asked: int
    n_learnt: int
    n_verified: int
    n_together: int


@dataclass(frozen=True, slots=True)
class HomeworkReport:
    """A homework as a coach sees it.

    Attributes:
        head: What it is.
        members: Those who show the coach their log, by name.
        hidden: Those who do not, by name: nothing is said of what they did.
        lesson_id: The lesson it was made from; null for none.
        can_take_back: Whether it was set within the last day.
    """

    head: Head
    members: tuple[MemberProgress, ...]
    hidden: tuple[HiddenMember, ...]
    lesson_id: int | None
    can_take_back: bool


@dataclass(frozen=True, slots=True)
class AssignmentReport:
    """One member's part of a homework, as they or their coach see it.

    Attributes:
        head: What the homework is.
        member: How far they are.
        is_coach: Whether the reader coaches the club.
    """

    head: Head
    member: MemberProgress
    is_coach: bool


@dataclass(frozen=True, slots=True)
class ClubHomework:
    """All homework of a club.

    Attributes:
        club: The club.
        open: What is open, the newest first.
        closed: What is closed, the newest first.
        practice_cap: Most drills wanted in a day; answers on the practice page three times as many.
        most_practice: The highest number that may be chosen for that.
        membership_ids: The members whose counts these are.
    """

    club: ClubName
    open: tuple[HomeworkLine, ...]
    closed: tuple[HomeworkLine, ...]
    practice_cap: int
    most_practice: int
    membership_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OwnHomework:
    """What is asked of the reader.

    Attributes:
        open: Open homework, the newest first.
        closed: Closed homework, the newest first.
        coached: Clubs where the reader sets homework.
    """

    open: tuple[AssignmentReport, ...]
    closed: tuple[HomeworkLine, ...]
    coached: tuple[ClubName, ...]


@dataclass(frozen=True, slots=True)
class OpenHomework:
    """A member's open homework in a club.

    Attributes:
        n_asked: Cases asked of them.
        n_learnt: Those that are ready, shown or verified; null of a member who shows no log.
        n_left: Those that are still to learn; of a member who shows no log, that they have shown to
            no coach.
    """

    n_asked: int
    n_learnt: int | None
    n_left: int


@dataclass(frozen=True, slots=True)
class MemberChoice:
    """A member homework can be for.

    Attributes:
        membership_id: Names the member in addresses.
        name: The name in the club.
        is_visible: Whether the coach may read their log; of the others only this is told.
        n_open: Cases that open homework of the club asks of them and that are still to learn.
        per_week: Solves in their usual week; null where the coach may not read their log.
    """

    membership_id: int
    name: str
    is_visible: bool
    n_open: int
    per_week: float | None
