"""Lessons: the list, one lesson with its sheet, and what is proposed for an evening."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from cubecore.book import Book
from logs.reports.case_facts import case_of, cases_by_code, traits
from logs.reports.desk import ClubName, Desk
from logs.reports.lesson_proposal import Proposed, propose
from logs.reports.member_gains import member_gains
from logs.reports.ranking import Gains
from logs.reports.teaching import TaughtCase, taught
from logs.reports.words import find_case
from logs.selectors.book import books_of_clubs
from logs.selectors.clubs import members_visible
from logs.selectors.coaching import coached_club_get
from logs.selectors.lessons import lesson_get, lesson_list
from logs.services.homework import chosen_members, day_words

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import Lesson, Membership


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


def lessons_report(*, actor: "User", slug: str) -> LessonsReport:
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


def lesson_report(*, actor: "User", lesson_id: int) -> LessonReport:
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


def proposal_report(*, actor: "User", slug: str, membership_ids: Sequence[int]) -> ProposalReport:
    """What is proposed for the chosen members; nothing while none is chosen.

    Raises:
        NotFoundError: The club is not the actor's to coach, or a member's log not theirs to read.
    """
    club = coached_club_get(actor=actor, slug=slug)
    chosen = (
        chosen_members(actor=actor, club=club, membership_ids=membership_ids)
        if membership_ids
        else []
    )
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


def _gains(actor: "User", members: Sequence["Membership"]) -> dict[str, Gains]:
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


def _comers(members: Sequence["Membership"], coming: set[int]) -> tuple[Comer, ...]:
    return tuple(
        Comer(member.pk, member.display_name, member.user_id in coming) for member in members
    )


def _case_lines(lesson: "Lesson", book: Book | None = None) -> tuple[LessonCaseLine, ...]:
    lines = []
    for stored in sorted(lesson.cases.all(), key=lambda one: one.place):
        case = find_case(stored.stage, stored.case)
        assert case is not None  # held by a constraint
        lines.append(LessonCaseLine(taught(case, book), stored.place, stored.reason))
    return tuple(lines)
