"""Homework for programs."""

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.cases.api import _cases
from logs.homework.figures import MOST_WANTED, USUAL_NUMBER, Way
from logs.homework.models import Goal
from logs.homework.plan import Change, Plan
from logs.homework.report.data import AssignmentReport, ClubHomework, HomeworkReport, OwnHomework
from logs.homework.report.homework import (
    assignment_report,
    club_homework,
    homework_report,
    own_homework,
)
from logs.homework.services import (
    assignment_excuse,
    cases_mark_shown,
    homework_close,
    homework_edit,
    homework_set,
    homework_take_back,
)
from logs.http.api import CREATED, EMPTY, MANAGE, ApiView, Values, answers
from logs.http.pages import Made, Sent, SentReason, _members, actor_of, choice
from logs.limits import NOTE, RECOGNITION_TARGET_MS
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


class SentChange(Sent):
    """What an open homework is changed to; all of it is sent."""

    case = _cases()
    member = _members()
    due_on = serializers.DateField(default=None, help_text="The date to learn the cases by.")
    note = serializers.CharField(
        default="", allow_blank=True, max_length=NOTE, help_text="Words to the members."
    )


class SentHomework(SentChange):
    """A homework to set."""

    way = choice(Way, Way.DRILLS, "How each case is learnt.")
    n_wanted = serializers.IntegerField(
        min_value=1,
        max_value=MOST_WANTED,
        default=None,
        help_text="Clean drills (5 where left out), or right answers running (6).",
    )
    goal = choice(Goal.values, Goal.ONE_LOOK, "What solves show of each case afterwards.")
    recognition_target_ms = serializers.IntegerField(
        min_value=RECOGNITION_TARGET_MS[0],
        max_value=RECOGNITION_TARGET_MS[1],
        default=None,
        help_text="For a goal that has a target, ms.",
    )

    def validate(self, attrs: Values) -> Values:
        """Ask for a target where the goal has one, and for none where it has none.

        Raises:
            ValidationError: It is missing, or one too many.
        """
        if (attrs["goal"] == Goal.ONE_LOOK) != (attrs["recognition_target_ms"] is None):
            words = "The goals recognition and both need a target; one_look takes none."
            raise serializers.ValidationError({"recognition_target_ms": words})
        if attrs["way"] == Way.COACH and attrs["n_wanted"] is not None:
            words = "What is shown to the coach has no number."
            raise serializers.ValidationError({"n_wanted": words})
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
            way=Way(sent["way"]),
            n_wanted=sent["n_wanted"] or USUAL_NUMBER.get(Way(sent["way"])),
            goal=sent["goal"],
            recognition_target_ms=sent["recognition_target_ms"],
            due_on=sent["due_on"],
            note=sent["note"],
        )
        homework = homework_set(actor=actor_of(request), slug=slug, plan=plan, now=timezone.now())
        return Made(homework.pk)


class ManagedHomework(Homework):
    """One homework."""

    @answers(Made, scope=MANAGE, body=SentChange)
    def put(self, request: Request, homework_id: int, sent: Values) -> Made:
        """Change the cases, members, date and words of an open homework; all of it is sent."""
        change = Change(
            cases=tuple(sent["case"]),
            membership_ids=tuple(sent["member"]),
            due_on=sent["due_on"],
            note=sent["note"],
        )
        homework_edit(
            actor=actor_of(request), homework_id=homework_id, change=change, now=timezone.now()
        )
        return Made(homework_id)

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, homework_id: int) -> None:
        """Take back a homework that was set within the last day."""
        homework_take_back(actor=actor_of(request), homework_id=homework_id, now=timezone.now())


class SentShown(Sent):
    """Cases that a member showed the coach, or did not after all."""

    case = _cases()
    is_shown = serializers.BooleanField(
        default=True, help_text="Whether the coach was shown them; false takes that back."
    )


class ShownCases(ApiView):
    """Cases shown to a coach."""

    @answers(None, scope=MANAGE, body=SentShown, status=EMPTY)
    def post(self, request: Request, homework_id: int, membership_id: int, sent: Values) -> None:
        """Keep a coach's word that a member showed them cases, or take it back."""
        cases_mark_shown(
            actor=actor_of(request),
            homework_id=homework_id,
            membership_id=membership_id,
            cases=sent["case"],
            is_shown=sent["is_shown"],
            now=timezone.now(),
        )


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
