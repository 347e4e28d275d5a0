"""Clubs as their members and coaches read them."""

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.cases.api import _cases
from logs.homework.report.homework import (
    AssignmentReport,
    ClubHomework,
    HomeworkReport,
    OwnHomework,
    assignment_report,
    club_homework,
    homework_report,
    own_homework,
)
from logs.homework.services import Plan, assignment_excuse, homework_close, homework_set
from logs.http.api import CREATED, EMPTY, MANAGE, ApiView, Values, answers
from logs.http.pages import actor_of
from logs.http.queries import Made, Sent, SentReason, _members, choice
from logs.people.services.trail import looked


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


class SentHomework(Sent):
    """A homework to set."""

    case = _cases()
    member = _members()
    goal = choice(["one_look", "recognition", "both"], "one_look", "What is asked of each case.")
    recognition_target_ms = serializers.IntegerField(
        min_value=100, max_value=30_000, default=None, help_text="For a goal that has a target."
    )
    due_on = serializers.DateField(default=None)
    note = serializers.CharField(default="", allow_blank=True, max_length=1000)

    def validate(self, attrs: Values) -> Values:
        """Ask for a target where the goal has one, and for none where it has none.

        Raises:
            ValidationError: It is missing, or one too many.
        """
        if (attrs["goal"] == "one_look") != (attrs["recognition_target_ms"] is None):
            words = "The goals recognition and both need a target; one_look takes none."
            raise serializers.ValidationError({"recognition_target_ms": words})
        return attrs


class SentExcuse(SentReason):
    """Cases that a member is excused from."""

    case = _cases()


class ManagedHomeworks(ClubHomeworks):
    """The homework of a club."""

    @answers(Made, scope=MANAGE, body=SentHomework, status=CREATED)
    def post(self, request: Request, slug: str, sent: Values) -> Made:
        """Set homework; it fills itself from the logs that members add from now on."""
        plan = Plan(
            cases=tuple(sent["case"]),
            membership_ids=tuple(sent["member"]),
            goal=sent["goal"],
            recognition_target_ms=sent["recognition_target_ms"],
            due_on=sent["due_on"],
            note=sent["note"],
        )
        homework = homework_set(actor=actor_of(request), slug=slug, plan=plan, now=timezone.now())
        return Made(homework.pk)


class HomeworkClosing(ApiView):
    """A homework, closed."""

    @answers(None, scope=MANAGE, body=SentReason, status=EMPTY)
    def post(self, request: Request, homework_id: int, sent: Values) -> None:
        """Close a homework, with a reason."""
        homework_close(actor=actor_of(request), homework_id=homework_id, **sent, now=timezone.now())


class Excusing(ApiView):
    """A member, excused."""

    @answers(None, scope=MANAGE, body=SentExcuse, status=EMPTY)
    def post(self, request: Request, homework_id: int, membership_id: int, sent: Values) -> None:
        """Excuse a member from cases of a homework, with a reason."""
        assignment_excuse(
            actor=actor_of(request),
            homework_id=homework_id,
            membership_id=membership_id,
            cases=sent["case"],
            reason=sent["reason"],
            now=timezone.now(),
        )
