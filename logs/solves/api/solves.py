"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.replay import Kind
from logs.cases.facts import all_case_titles
from logs.http.api import ApiView, answers
from logs.http.pages import actor_of
from logs.http.queries import PageQuery, choice
from logs.people.services.trail import looked
from logs.solves.report.log import LogReport, SetAsidePage, log_report, set_aside_page
from logs.solves.report.solve import SolveReport, solve_report
from logs.solves.report.solves import SolvesReport, solves_report


class SolvesQuery(PageQuery):
    """Solves of a kind, or that met a case."""

    kind = choice(["", *Kind], "", "Only solves, or only drills.")
    case = serializers.ChoiceField(
        ["", *(code for code, _ in all_case_titles())],
        default="",
        help_text="Only solves that met this case, such as oll-27 or pll-skip.",
    )


class Log(ApiView):
    """The newest solves and uploads, with the counts of all."""

    @answers(LogReport)
    def get(self, request: Request) -> LogReport:
        """The log at a glance."""
        return log_report(actor=actor_of(request), now=timezone.now())


class SetAside(ApiView):
    """Rows of an upload that wait to be mended."""

    @answers(SetAsidePage, query=PageQuery)
    def get(self, request: Request, upload_id: int, query: dict[str, Any]) -> SetAsidePage:
        """The rows of an upload that wait to be mended, with the reason and the mend of each."""
        return set_aside_page(
            actor=actor_of(request), upload_id=upload_id, now=timezone.now(), page=query["page"]
        )


class SolvesOf(ApiView):
    """A member's solves."""

    @answers(SolvesReport, query=SolvesQuery)
    def get(
        self, request: Request, query: dict[str, Any], membership_id: int | None = None
    ) -> SolvesReport:
        """A page of solves, newest first; past the end the last page."""
        report = solves_report(actor=actor_of(request), membership_id=membership_id, **query)
        looked(request, "solves", [report.whose.membership_id])
        return report


class Solve(ApiView):
    """One solve."""

    @answers(SolveReport)
    def get(self, request: Request, solve_id: int) -> SolveReport:
        """One solve turn by turn: its parts, its two cases, the looks taken."""
        report = solve_report(actor=actor_of(request), solve_id=solve_id)
        looked(request, "solve", [report.membership_id])
        return report
