"""What members change about themselves, and coaches in their clubs."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import CaseId
from logs.analytics.teaching_order import OverrideKind
from logs.api.authentication import actor_of
from logs.api.clubs import ClubHomeworks, Lesson, Lessons
from logs.api.queries import Items, choice
from logs.api.views import CREATED, EMPTY, MANAGE, ApiView, Values, answers, origin_of
from logs.reports.case_facts import case_of, cases_by_code
from logs.reports.clubs import ClubLine, club_line
from logs.reports.privacy import VISIBILITIES
from logs.services.homework import Plan, assignment_excuse, homework_close, homework_set
from logs.services.invitations import MAX_DAYS, MAX_USES, invitation_create, invitation_withdraw
from logs.services.lessons import LessonPlan, lesson_create, lesson_edit
from logs.services.memberships import display_name_change, visibility_change
from logs.services.next_up import MAX_PLACE, override_set, override_withdraw

Sent = serializers.Serializer[Any]


@dataclass(frozen=True, slots=True)
class Made:
    """Something that was made, by its number."""

    id: int


@dataclass(frozen=True, slots=True)
class MadeInvitation:
    """An invitation; its code is kept nowhere and not shown again."""

    id: int
    code: str


class CaseField(serializers.ChoiceField):
    """A case by its code, such as oll-27; read as its `CaseId`."""

    def __init__(self, **said: Any) -> None:
        super().__init__(list(cases_by_code()), **said)

    def to_internal_value(self, data: Any) -> CaseId:  # type: ignore[override]  # noqa: ANN401 - as above
        """The case."""
        case = case_of(super().to_internal_value(data))
        assert case is not None
        return case.id


def _members() -> Items:
    number = serializers.IntegerField(min_value=0, max_value=10**9)
    return Items(child=number, max_length=200, help_text="Membership ids.")


def _cases() -> Items:
    return Items(child=CaseField(), max_length=20, help_text="Such as oll-27.")


def _reason() -> serializers.CharField:
    return serializers.CharField(max_length=300, help_text="Why; the member reads it.")


class SentVisibility(Sent):
    """Who sees your log in a club from now on."""

    visibility = choice([value for value, _, _ in VISIBILITIES], "only_me", "Who sees the log.")


class SentName(Sent):
    """The name that a club knows you by."""

    display_name = serializers.CharField(max_length=60)


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


class SentReason(Sent):
    """Why a coach does something."""

    reason = _reason()


class SentExcuse(SentReason):
    """Cases that a member is excused from."""

    case = _cases()


class SentWord(SentReason):
    """A coach's word on a case of a member's list."""

    case = CaseField(help_text="Such as oll-27.")
    kind = serializers.ChoiceField([kind.value for kind in OverrideKind])
    place = serializers.IntegerField(
        min_value=1, max_value=MAX_PLACE, default=None, help_text="For a move alone."
    )


class SentLessonCase(Sent):
    """A case of a lesson."""

    case = CaseField(help_text="Such as oll-27.")
    reason = serializers.CharField(default="", allow_blank=True, max_length=300)


class SentLesson(Sent):
    """A lesson to keep, its cases in the order to be taught."""

    on = serializers.DateField()
    title = serializers.CharField(max_length=100)
    note = serializers.CharField(default="", allow_blank=True, max_length=1000)
    member = _members()
    cases = Items(child=SentLessonCase(), max_length=20)


class SentInvitation(Sent):
    """An invitation to make."""

    role = choice(["member", "coach"], "member", "As what people join.")
    max_uses = serializers.IntegerField(min_value=1, max_value=MAX_USES, default=1)
    days = serializers.IntegerField(min_value=1, max_value=MAX_DAYS, default=14)


def plan_of(sent: Values) -> LessonPlan:
    """The lesson that was sent."""
    on: date = sent["on"]
    return LessonPlan(
        on=on,
        title=sent["title"],
        note=sent["note"],
        membership_ids=tuple(sent["member"]),
        cases=tuple((one["case"], one["reason"]) for one in sent["cases"]),
    )


class Visibility(ApiView):
    """Who sees the actor's log."""

    @answers(ClubLine, scope=MANAGE, body=SentVisibility)
    def post(self, request: Request, slug: str, sent: Values) -> ClubLine:
        """Have your log in this club be seen by those chosen, from now on."""
        actor, now = actor_of(request), timezone.now()
        visibility_change(actor=actor, slug=slug, **sent, now=now, origin=origin_of(request))
        return club_line(actor=actor, slug=slug)


class DisplayName(ApiView):
    """The actor's name in a club."""

    @answers(ClubLine, scope=MANAGE, body=SentName)
    def post(self, request: Request, slug: str, sent: Values) -> ClubLine:
        """Change the name that the club knows you by."""
        actor, now = actor_of(request), timezone.now()
        display_name_change(actor=actor, slug=slug, **sent, now=now, origin=origin_of(request))
        return club_line(actor=actor, slug=slug)


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


class Words(ApiView):
    """A coach's words on a member's list."""

    @answers(Made, scope=MANAGE, body=SentWord, status=CREATED)
    def post(self, request: Request, membership_id: int, sent: Values) -> Made:
        """Pin, skip or move a case on a member's list, with a reason."""
        word = override_set(
            actor=actor_of(request),
            membership_id=membership_id,
            case=sent["case"],
            kind=OverrideKind(sent["kind"]),
            place=sent["place"],
            reason=sent["reason"],
            now=timezone.now(),
        )
        return Made(word.pk)


class Word(ApiView):
    """One word on a member's list."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, membership_id: int, override_id: int) -> None:
        """Take a word on a member's list back."""
        override_withdraw(
            actor=actor_of(request),
            membership_id=membership_id,
            override_id=override_id,
            now=timezone.now(),
        )


class ManagedLessons(Lessons):
    """The lessons of a club."""

    @answers(Made, scope=MANAGE, body=SentLesson, status=CREATED)
    def post(self, request: Request, slug: str, sent: Values) -> Made:
        """Plan a lesson."""
        made = lesson_create(actor=actor_of(request), slug=slug, plan=plan_of(sent))
        return Made(made.pk)


class ManagedLesson(Lesson):
    """One lesson."""

    @answers(Made, scope=MANAGE, body=SentLesson)
    def put(self, request: Request, lesson_id: int, sent: Values) -> Made:
        """Change a lesson; all of it is sent."""
        lesson_edit(actor=actor_of(request), lesson_id=lesson_id, plan=plan_of(sent))
        return Made(lesson_id)


class Invitations(ApiView):
    """A club's invitations; they are listed with its people."""

    @answers(MadeInvitation, scope=MANAGE, body=SentInvitation, status=CREATED)
    def post(self, request: Request, slug: str, sent: Values) -> MadeInvitation:
        """Make an invitation; its code is in this answer and nowhere else."""
        invitation, code = invitation_create(
            actor=actor_of(request),
            slug=slug,
            **sent,
            now=timezone.now(),
            origin=origin_of(request),
        )
        return MadeInvitation(invitation.pk, code)


class Invitation(ApiView):
    """One invitation."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, slug: str, invitation_id: int) -> None:
        """Have an invitation work no more."""
        invitation_withdraw(
            actor=actor_of(request),
            slug=slug,
            invitation_id=invitation_id,
            now=timezone.now(),
            origin=origin_of(request),
        )
