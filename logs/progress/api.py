"""The actor's own marks on the axis of their times; they are listed with the progress."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import Stage
from logs.cases.api import FamilyQuery
from logs.http.api import CREATED, EMPTY, MANAGE, THERE_BEFORE, ApiView, Reply, answers
from logs.http.pages import Made, Query, actor_of, choice
from logs.people.services.trail import looked
from logs.people.sight import today_of
from logs.progress.figures.cases import CaseOrder
from logs.progress.report.case import CaseReport, case_report
from logs.progress.report.cases import CasesReport, cases_report
from logs.progress.report.progress import Choice, LooksChoice, ProgressReport, progress_report
from logs.progress.services import MAX_WORD, time_mark_add, time_mark_remove


class SentMark(serializers.Serializer[Any]):
    """A day, and what happened."""

    day = serializers.DateField(help_text="Today at the latest.")
    word = serializers.CharField(max_length=MAX_WORD, help_text="Such as: new cube.")


class Marks(ApiView):
    """The actor's own marks."""

    @answers(Made, scope=MANAGE, body=SentMark, status=CREATED, also=THERE_BEFORE)
    def post(self, request: Request, sent: dict[str, Any]) -> Reply:
        """Mark a day on the axis of your times; the same mark again is the same."""
        actor = actor_of(request)
        today = today_of(actor=actor, now=timezone.now())
        mark, is_new = time_mark_add(actor=actor, **sent, today=today)
        return Reply(Made(mark.pk), CREATED if is_new else THERE_BEFORE)


class Mark(ApiView):
    """One mark."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, mark_id: int) -> None:
        """Remove a mark of your own."""
        time_mark_remove(actor=actor_of(request), mark_id=mark_id)


class ProgressQuery(FamilyQuery):
    """What of a member's progress."""

    order = choice(CaseOrder, CaseOrder.COST, "The order of the cases.")
    looks = choice(LooksChoice, LooksChoice.ONE, "Times in one look, or in more.")


class AngleQuery(Query):
    """From where a case is seen."""

    angle = serializers.IntegerField(
        min_value=0, max_value=3, default=None, help_text="Quarter turns from its hold."
    )


class Progress(ApiView):
    """A member's progress."""

    @answers(ProgressReport, query=ProgressQuery)
    def get(
        self, request: Request, query: dict[str, Any], membership_id: int | None = None
    ) -> ProgressReport:
        """Where the time goes, what each case costs, and which never came up."""
        choice = Choice(
            stage=Stage(query["stage"]),
            family=query["family"],
            order=CaseOrder(query["order"]),
            looks=LooksChoice(query["looks"]),
        )
        report = progress_report(
            actor=actor_of(request),
            membership_id=membership_id,
            choice=choice,
            now=timezone.now(),
        )
        looked(request, "progress", [report.whose.membership_id])
        return report


class Cases(ApiView):
    """All cases."""

    @answers(CasesReport)
    def get(self, request: Request) -> CasesReport:
        """All cases, with how often you met each in solves."""
        return cases_report(actor=actor_of(request))


class Case(ApiView):
    """One case."""

    @answers(CaseReport, query=AngleQuery)
    def get(self, request: Request, stage: str, number: str, query: dict[str, Any]) -> CaseReport:
        """One case: how to tell it, its algorithms, and your sightings of it."""
        return case_report(
            actor=actor_of(request),
            stage=stage,
            number=number,
            angle=query["angle"],
            now=timezone.now(),
        )
