"""Clubs as their members and coaches read them."""

from typing import Any

from django.utils import timezone
from rest_framework.request import Request

from cubecore.cases import Stage
from logs.analytics.standing import Standing
from logs.api.authentication import actor_of
from logs.api.queries import ClubQuery, CompareQuery, NamesQuery, ProposalQuery, TriedQuery
from logs.api.views import ApiView, answers, looked
from logs.reports.book import BookReport, book_report
from logs.reports.book_case import BookCaseReport, book_case_report
from logs.reports.club_case import ClubCaseReport, club_case_report
from logs.reports.club_page import ClubChoice, ClubReport, club_report
from logs.reports.clubs import ClubLine, PeopleReport, clubs_report, people_report
from logs.reports.compare import CompareChoice, CompareReport, Part, compare_report
from logs.reports.homework import (
    AssignmentReport,
    ClubHomework,
    HomeworkReport,
    OwnHomework,
    assignment_report,
    club_homework,
    homework_report,
    own_homework,
)
from logs.reports.information import StageInformation, information_report
from logs.reports.lessons import (
    LessonReport,
    LessonsReport,
    ProposalReport,
    lesson_report,
    lessons_report,
    proposal_report,
)
from logs.reports.mistaken import ClubMistakenReport, club_mistaken_report
from logs.reports.privacy import PrivacyReport, privacy_report


class Clubs(ApiView):
    """The actor's clubs."""

    @answers(ClubLine, is_list=True)
    def get(self, request: Request) -> tuple[ClubLine, ...]:
        """The clubs that you are in."""
        return clubs_report(actor=actor_of(request))


class Club(ApiView):
    """A club's coverage."""

    @answers(ClubReport, query=ClubQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> ClubReport:
        """The members who show their log, their coverage, and their standing in each case."""
        choice = ClubChoice(
            stage=Stage(query["stage"]),
            family=query["family"],
            standing=Standing(query["standing"]) if query["standing"] else None,
            hides_names=query["names"] == "hidden",
        )
        report = club_report(actor=actor_of(request), slug=slug, choice=choice)
        looked(request, "club", [member.membership_id for member in report.view.members])
        return report


class Compare(ApiView):
    """Members side by side."""

    @answers(CompareReport, query=CompareQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> CompareReport:
        """Some members side by side: who could teach whom what, and who is slow at what."""
        choice = CompareChoice(
            membership_ids=tuple(query["member"]),
            stage=Stage(query["stage"]),
            part=Part(query["part"]),
            hides_names=query["names"] == "hidden",
        )
        report = compare_report(actor=actor_of(request), slug=slug, choice=choice)
        looked(request, "compare", report.membership_ids)
        return report


class ClubMistaken(ApiView):
    """What a club takes for what."""

    @answers(ClubMistakenReport, query=NamesQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> ClubMistakenReport:
        """What the members who show their log take for what."""
        report = club_mistaken_report(
            actor=actor_of(request), slug=slug, hides_names=query["names"] == "hidden"
        )
        looked(request, "mistaken", report.lines.membership_ids)
        return report


class ClubCase(ApiView):
    """A case in a club."""

    @answers(ClubCaseReport, query=NamesQuery)
    def get(
        self, request: Request, slug: str, stage: str, number: str, query: dict[str, Any]
    ) -> ClubCaseReport:
        """One case over the last weeks, by week and by member, for the club's coaches."""
        report = club_case_report(
            actor=actor_of(request),
            slug=slug,
            stage=stage,
            number=number,
            hides_names=query["names"] == "hidden",
            now=timezone.now(),
        )
        looked(request, "club_case", report.membership_ids)
        return report


class People(ApiView):
    """The people of a club."""

    @answers(PeopleReport)
    def get(self, request: Request, slug: str) -> PeopleReport:
        """Everybody in the club and its invitations, for its coaches."""
        return people_report(actor=actor_of(request), slug=slug, now=timezone.now())


class ClubHomeworks(ApiView):
    """All homework of a club."""

    @answers(ClubHomework)
    def get(self, request: Request, slug: str) -> ClubHomework:
        """All homework of a club, for its coaches."""
        report = club_homework(actor=actor_of(request), slug=slug, now=timezone.now())
        looked(request, "homework", report.membership_ids)
        return report


class OwnHomeworks(ApiView):
    """The actor's homework."""

    @answers(OwnHomework)
    def get(self, request: Request) -> OwnHomework:
        """What is asked of you, and how far you are."""
        return own_homework(actor=actor_of(request), now=timezone.now())


class Homework(ApiView):
    """One homework."""

    @answers(HomeworkReport)
    def get(self, request: Request, homework_id: int) -> HomeworkReport:
        """All of a homework, for the coaches of its club."""
        report = homework_report(
            actor=actor_of(request), homework_id=homework_id, now=timezone.now()
        )
        looked(request, "homework", [member.membership_id for member in report.members])
        return report


class Assignment(ApiView):
    """A part of a homework."""

    @answers(AssignmentReport)
    def get(
        self, request: Request, homework_id: int, membership_id: int | None = None
    ) -> AssignmentReport:
        """One member's part of a homework, with the sightings behind it."""
        report = assignment_report(
            actor=actor_of(request),
            homework_id=homework_id,
            membership_id=membership_id,
            now=timezone.now(),
        )
        looked(request, "homework", [report.member.membership_id])
        return report


class Lessons(ApiView):
    """The lessons of a club."""

    @answers(LessonsReport)
    def get(self, request: Request, slug: str) -> LessonsReport:
        """The lessons of a club, for its coaches."""
        return lessons_report(actor=actor_of(request), slug=slug)


class Proposal(ApiView):
    """What a lesson might hold."""

    @answers(ProposalReport, query=ProposalQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> ProposalReport:
        """The cases worth teaching to those who come, for the coaches of the club."""
        report = proposal_report(actor=actor_of(request), slug=slug, membership_ids=query["member"])
        looked(request, "lesson", [one.membership_id for one in report.members if one.comes])
        return report


class Lesson(ApiView):
    """One lesson."""

    @answers(LessonReport)
    def get(self, request: Request, lesson_id: int) -> LessonReport:
        """One lesson, for the coaches of its club."""
        return lesson_report(actor=actor_of(request), lesson_id=lesson_id)


class Book(ApiView):
    """A club's book."""

    @answers(BookReport, query=TriedQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> BookReport:
        """The club's algorithms, and what an algorithm that is tried out does."""
        return book_report(
            actor=actor_of(request), slug=slug, tried=query["tried"], now=timezone.now()
        )


class BookCase(ApiView):
    """A case of a club's book."""

    @answers(BookCaseReport)
    def get(self, request: Request, slug: str, stage: str, number: str) -> BookCaseReport:
        """The algorithms of one case, and who uses which."""
        return book_case_report(actor=actor_of(request), slug=slug, stage=stage, number=number)


class Information(ApiView):
    """What each look gives away."""

    @answers(StageInformation, is_list=True)
    def get(self, request: Request) -> tuple[StageInformation, ...]:
        """What each look at the last layer gives away, in bits."""
        return information_report()


class Privacy(ApiView):
    """The actor's privacy."""

    @answers(PrivacyReport)
    def get(self, request: Request) -> PrivacyReport:
        """Who sees your log, who looked, what was changed, what you sent."""
        return privacy_report(actor=actor_of(request))
