"""Lessons for programs."""

from datetime import date
from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.cases.api import CaseField
from logs.http.api import CREATED, EMPTY, MANAGE, ApiView, Values, answers
from logs.http.pages import Items, Made, Query, Sent, _members, actor_of
from logs.lessons.report import (
    LessonReport,
    LessonsReport,
    ProposalReport,
    lesson_report,
    lessons_report,
    proposal_report,
)
from logs.lessons.services import (
    LessonPlan,
    lesson_copy,
    lesson_create,
    lesson_delete,
    lesson_edit,
    lesson_set_for_all,
    missing_mark,
)
from logs.lessons.took import TookReport, took_report
from logs.limits import NOTE
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
        report = proposal_report(
            actor=actor_of(request),
            slug=slug,
            membership_ids=query["member"],
            today=timezone.localdate(),
        )
        _note_looks(request, report)
        return report


class Lesson(ApiView):
    """One lesson."""

    @answers(LessonReport)
    def get(self, request: Request, lesson_id: int) -> LessonReport:
        """One lesson, for the coaches of its club."""
        report = lesson_report(actor=actor_of(request), lesson_id=lesson_id)
        _note_looks(request, report)
        return report


class Took(ApiView):
    """Whether a lesson took."""

    @answers(TookReport)
    def get(self, request: Request, lesson_id: int) -> TookReport:
        """A lesson's cases since that day with those who came, for the coaches of its club."""
        report = took_report(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())
        looked(request, "lesson", [member.membership_id for member in report.members])
        return report


def _note_looks(request: Request, report: LessonReport | ProposalReport) -> None:
    looked(request, "lesson", [m.membership_id for m in report.members if m.comes and m.is_visible])


class SentLessonCase(Sent):
    """A case of a lesson."""

    case = CaseField(help_text="Such as oll-27.")
    reason = serializers.CharField(
        default="", allow_blank=True, max_length=300, help_text="Why it is taught; members read it."
    )


class SentLesson(Sent):
    """A lesson to keep, its cases in the order to be taught."""

    on = serializers.DateField(help_text="The day it is given.")
    title = serializers.CharField(max_length=100, help_text="What it is called.")
    note = serializers.CharField(
        default="", allow_blank=True, max_length=NOTE, help_text="The coach's own words."
    )
    guests = serializers.CharField(
        default="", allow_blank=True, max_length=NOTE, help_text="Names of others who come."
    )
    member = _members()
    cases = Items(child=SentLessonCase(), max_length=20, help_text="What is taught, in order.")


def plan_of(sent: Values) -> LessonPlan:
    """The lesson that was sent."""
    on: date = sent["on"]
    return LessonPlan(
        on=on,
        title=sent["title"],
        note=sent["note"],
        membership_ids=tuple(sent["member"]),
        guests=sent["guests"],
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

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, lesson_id: int) -> None:
        """Delete a lesson; homework set from it stays."""
        lesson_delete(actor=actor_of(request), lesson_id=lesson_id)


class SentCopy(Sent):
    """For whom a lesson is planned again."""

    is_for_missing = serializers.BooleanField(
        default=False, help_text="For those who were missing; else for all who were to come."
    )


class LessonCopy(ApiView):
    """A lesson again."""

    @answers(Made, scope=MANAGE, body=SentCopy, status=CREATED)
    def post(self, request: Request, lesson_id: int, sent: Values) -> Made:
        """Plan a lesson again a week later."""
        copy = lesson_copy(
            actor=actor_of(request), lesson_id=lesson_id, is_for_missing=sent["is_for_missing"]
        )
        return Made(copy.pk)


class SentMissing(Sent):
    """Who was missing."""

    member = Items(
        child=serializers.IntegerField(min_value=0, max_value=10**9),
        default=list,
        max_length=200,
        help_text="Membership ids; who is left out came.",
    )


class Missing(ApiView):
    """Who of those who were to come to a lesson did not."""

    @answers(Made, scope=MANAGE, body=SentMissing)
    def put(self, request: Request, lesson_id: int, sent: Values) -> Made:
        """Keep who was missing; all of it is sent."""
        missing_mark(actor=actor_of(request), lesson_id=lesson_id, membership_ids=sent["member"])
        return Made(lesson_id)


class LessonHomework(ApiView):
    """Homework from a lesson."""

    @answers(Made, scope=MANAGE, status=CREATED)
    def post(self, request: Request, lesson_id: int) -> Made:
        """Set homework for all who came, of each one to three of the lesson's cases."""
        homework = lesson_set_for_all(
            actor=actor_of(request), lesson_id=lesson_id, now=timezone.now()
        )
        return Made(homework.pk)
