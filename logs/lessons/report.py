"""Lessons as their pages and the API tell them: who comes, which cases, and whether it took."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clubsite.accounts.models import User
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import books_of_clubs, holds_of_club
from logs.cases.facts import case_of, cases_by_code, chance_of, hours_to_learn, traits
from logs.lessons.figures import Missing, propose, two_groups
from logs.lessons.models import Lesson
from logs.lessons.selectors import (
    CaseRecord,
    attendance_list,
    case_records,
    last_lesson,
    lesson_get,
    lesson_list,
)
from logs.people.models import Club, Membership
from logs.people.sight import ClubName, coached_club_get, members_visible
from logs.solves.figures.standing import Standing, standing


@dataclass(frozen=True, slots=True)
class LessonLine:
    """A lesson on a line.

    Attributes:
        id: Its number.
        on: Its day.
        title: Its name.
        cases: Names of its cases in order.
        n_members: Members who come or came, guests apart.
        homework_id: The homework set from it; null for none.
    """

    id: int
    on: date
    title: str
    cases: tuple[str, ...]
    n_members: int
    homework_id: int | None


@dataclass(frozen=True, slots=True)
class LessonsReport:
    """The lessons of a club.

    Attributes:
        club: The club.
        lessons: The latest day first.
    """

    club: ClubName
    lessons: tuple[LessonLine, ...]


@dataclass(frozen=True, slots=True)
class LessonCaseLine:
    """A case of a lesson, or one proposed for it.

    Attributes:
        case: The case as the club's book teaches it.
        place: Its place, 1 being first.
        reason: The coach's words on why it is there, or empty.
        needed_by: Names of those who come and show their log, and with whom the case has come up
            and does not go in one look yet.
        n_unmet: How many more of them have not met it.
    """

    case: TaughtCase
    place: int
    reason: str
    needed_by: tuple[str, ...]
    n_unmet: int


@dataclass(frozen=True, slots=True)
class Comer:
    """Somebody in the club, and whether they come to a lesson.

    Attributes:
        membership_id: Names the member in addresses.
        name: The name in the club.
        comes: Whether they come.
        is_missing: Whether a coach says that they did not come after all.
        is_visible: Whether the reader may read their log; of others nothing is said.
    """

    membership_id: int
    name: str
    comes: bool
    is_missing: bool
    is_visible: bool


@dataclass(frozen=True, slots=True)
class LessonReport:
    """A lesson.

    Attributes:
        id: Its number.
        club: The club.
        on: Its day.
        title: Its name.
        note: The coach's words, or empty.
        guests: Names of others who come, as the coach wrote them, or empty.
        cases: In the order to be taught.
        members: Everybody in the club, by name.
        homework_id: The homework set from it; null for none.
    """

    id: int
    club: ClubName
    on: date
    title: str
    note: str
    guests: str
    cases: tuple[LessonCaseLine, ...]
    members: tuple[Comer, ...]
    homework_id: int | None


@dataclass(frozen=True, slots=True)
class GroupReport:
    """A group whom one list suits.

    Attributes:
        membership_ids: Its members.
        names: Their names.
        cases: Names of the cases of their list.
    """

    membership_ids: tuple[int, ...]
    names: tuple[str, ...]
    cases: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A case that waits for another evening.

    Attributes:
        case: Its name.
        look_alike: The name of the case in the lesson that it looks like.
    """

    case: str
    look_alike: str


@dataclass(frozen=True, slots=True)
class ProposalReport:
    """What is proposed for those who come.

    Attributes:
        club: The club.
        members: Everybody in it, by name.
        cases: In the order to be taught.
        left_out: What looks like one of them.
        groups: Two groups where one list would suit nobody; else none.
        last_time: Memberships of who came to the latest lesson.
        next_on: The next day of the week on which the latest lesson was; else today.
    """

    club: ClubName
    members: tuple[Comer, ...]
    cases: tuple[LessonCaseLine, ...]
    left_out: tuple[LeftOut, ...]
    groups: tuple[GroupReport, ...]
    last_time: tuple[int, ...]
    next_on: date


def lessons_report(*, actor: User, slug: str) -> LessonsReport:
    """The lessons of a club.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    lines = tuple(
        LessonLine(
            id=lesson.pk,
            on=lesson.on,
            title=lesson.title,
            cases=tuple(str(cases_by_code()[code]) for code in codes_of(lesson)),
            n_members=sum(not row.is_missing for row in lesson.members.all()),
            homework_id=lesson.homework_id,
        )
        for lesson in lesson_list(actor=actor, club=club)
    )
    return LessonsReport(ClubName(club.name, club.slug), lines)


def codes_of(lesson: Lesson) -> list[str]:
    """The cases of a lesson in their order."""
    in_order = sorted(lesson.cases.all(), key=lambda row: row.place)
    return [f"{row.stage}-{row.case}" for row in in_order]


def lesson_report(*, actor: User, lesson_id: int) -> LessonReport:
    """One lesson, each case with who needs it.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    rows = {row.member_id: row.is_missing for row in lesson.members.all()}
    room = _Room(actor, lesson.club, rows.keys())
    reasons = {f"{row.stage}-{row.case}": row.reason for row in lesson.cases.all()}
    return LessonReport(
        id=lesson.pk,
        club=ClubName(lesson.club.name, lesson.club.slug),
        on=lesson.on,
        title=lesson.title,
        note=lesson.note,
        guests=lesson.guests,
        cases=room.lines(codes_of(lesson), reasons),
        members=room.comers({user for user, is_missing in rows.items() if is_missing}),
        homework_id=lesson.homework_id,
    )


def proposal_report(
    *, actor: User, slug: str, membership_ids: Collection[int], today: date
) -> ProposalReport:
    """What is proposed for the chosen members; nothing while none is chosen.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    everyone = attendance_list(club=club)
    coming = {member.user_id for member in everyone if member.pk in set(membership_ids)}
    room = _Room(actor, club, coming, everyone)
    proposal = propose(room.missing, traits=traits())
    last = last_lesson(actor=actor, club=club)
    came = {row.member_id for row in last.members.all() if not row.is_missing} if last else set()
    return ProposalReport(
        club=ClubName(club.name, club.slug),
        members=room.comers(set()),
        cases=room.lines(proposal.cases, {}),
        left_out=tuple(
            LeftOut(str(cases_by_code()[code]), str(cases_by_code()[other]))
            for code, other in proposal.left_out
        ),
        groups=room.groups(),
        last_time=tuple(member.pk for member in everyone if member.user_id in came),
        next_on=next_same_weekday(last.on, today) if last else today,
    )


def next_same_weekday(day: date, today: date) -> date:
    """The first day after ``today`` of the weekday of ``day``."""
    return today + timedelta(days=(day.weekday() - today.weekday() - 1) % 7 + 1)


class _Room:
    """Those who come to a lesson, and what is known of them."""

    def __init__(
        self,
        actor: User,
        club: Club,
        coming: Collection[int],
        everyone: Sequence[Membership] | None = None,
    ) -> None:
        self.club = club
        self.coming = set(coming)
        self.everyone = attendance_list(club=club) if everyone is None else everyone
        self.visible = {member.user_id for member in members_visible(actor=actor, club=club)}
        self.records: dict[int, dict[str, CaseRecord]] = {}
        for record in case_records(actor=actor, club=club, users=self.coming):
            self.records.setdefault(record.user_id, {})[record.code] = record
        self.missing = {user: missing_of(records) for user, records in self.records.items()}

    def comers(self, missing: Collection[int]) -> tuple[Comer, ...]:
        return tuple(
            Comer(
                membership_id=member.pk,
                name=member.display_name,
                comes=member.user_id in self.coming,
                is_missing=member.user_id in missing,
                is_visible=member.user_id in self.visible,
            )
            for member in self.everyone
        )

    def lines(self, codes: Sequence[str], reasons: Mapping[str, str]) -> tuple[LessonCaseLine, ...]:
        book = books_of_clubs(clubs=[self.club.pk])[self.club.pk]
        holds = holds_of_club(club=self.club.pk)
        return tuple(
            LessonCaseLine(
                case=taught(cases_by_code()[code], book, holds),
                place=place,
                reason=reasons.get(code, ""),
                needed_by=tuple(
                    member.display_name
                    for member in self.everyone
                    if code in self.missing.get(member.user_id, {})
                    and code in self.records[member.user_id]
                ),
                n_unmet=sum(code not in records for records in self.records.values()),
            )
            for place, code in enumerate(codes, start=1)
        )

    def groups(self) -> tuple[GroupReport, ...]:
        return tuple(
            GroupReport(
                membership_ids=tuple(m.pk for m in self.everyone if m.user_id in group.members),
                names=tuple(m.display_name for m in self.everyone if m.user_id in group.members),
                cases=tuple(str(cases_by_code()[code]) for code in group.cases),
            )
            for group in two_groups(self.missing, traits=traits())
        )


def missing_of(records: Mapping[str, CaseRecord]) -> Missing:
    """What a member with a log is missing; of cases that they have not met half is reckoned."""
    one_look = {
        code for code, record in records.items() if standing(record.recent) is Standing.ONE_LOOK
    }
    missing = {}
    for code, case in cases_by_code().items():
        if code not in one_look:
            record = records.get(code)
            n, n_hits = (record.n_looked, record.n_one_look) if record else (0, 0)
            misses = 1 - (n_hits + 0.5) / (n + 1)  # Beta(1/2, 1/2), as for every rate of looks
            missing[code] = chance_of(case) * misses / hours_to_learn(code, one_look)
    return missing


def picked_lines(codes: Sequence[str], *, first: int) -> tuple[LessonCaseLine, ...]:
    """Cases that a coach picked by hand, in their order, from place ``first`` on.

    Codes of no case are left out.
    """
    cases = [case for code in codes if (case := case_of(code)) is not None]
    return tuple(
        LessonCaseLine(taught(case), place, "", (), 0) for place, case in enumerate(cases, first)
    )


@dataclass(frozen=True, slots=True)
class LessonStart:
    """What homework from a lesson begins with.

    Attributes:
        slug: Names the club in addresses.
        codes: Its cases in order.
        membership_ids: Memberships of who came.
    """

    slug: str
    codes: tuple[str, ...]
    membership_ids: tuple[int, ...]


def lesson_start(*, actor: User, lesson_id: int) -> LessonStart:
    """What homework from a lesson begins with.

    Raises:
        NotFoundError: There is no such lesson, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    came = {row.member_id for row in lesson.members.all() if not row.is_missing}
    everyone = attendance_list(club=lesson.club)
    return LessonStart(
        slug=lesson.club.slug,
        codes=tuple(codes_of(lesson)),
        membership_ids=tuple(member.pk for member in everyone if member.user_id in came),
    )
