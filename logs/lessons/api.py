"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from datetime import date
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from logs.cases.api import CaseField
from logs.http.api import CREATED, MANAGE, ApiView, Values, answers
from logs.http.pages import actor_of
from logs.http.queries import Items, Made, Query, Sent, _members
from logs.lessons.report import (
    LessonReport,
    LessonsReport,
    ProposalReport,
    lesson_report,
    lessons_report,
    proposal_report,
)
from logs.lessons.services import LessonPlan, lesson_create, lesson_edit
from logs.people.services.trail import looked


class ProposalQuery(Query):
    """Who comes to a lesson."""

    member = Items(
        child=serializers.IntegerField(min_value=0, max_value=10**9),
        default=list,
        max_length=200,
        help_text="Membership ids of those who come.",
    )


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
