"""A member's log: the actor's own, or one that is shown to them."""

from typing import Any

from django.utils import timezone
from rest_framework.request import Request

from cubecore.cases import Stage
from logs.analytics.cases import CaseOrder
from logs.api.authentication import actor_of
from logs.api.queries import AngleQuery, PageQuery, ProgressQuery, SolvesQuery
from logs.api.views import ApiView, answers, looked
from logs.reports.case_pages import CaseReport, CasesReport, case_report, cases_report
from logs.reports.log import LogReport, log_report
from logs.reports.mistaken import MemberMistakenReport, member_mistaken_report
from logs.reports.next_up import NextUpReport, next_up_report
from logs.reports.people import MembersReport, members_report
from logs.reports.progress import Choice, ProgressReport, progress_report
from logs.reports.solve import SolveReport, solve_report
from logs.reports.solves import SolvesReport, solves_report
from logs.reports.upload_pages import SetAsidePage, set_aside_page


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
        return set_aside_page(actor=actor_of(request), upload_id=upload_id, page=query["page"])


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
            one_look_only=query["looks"] == "one",
        )
        report = progress_report(
            actor=actor_of(request),
            membership_id=membership_id,
            choice=choice,
            now=timezone.now(),
        )
        looked(request, "progress", [report.whose.membership_id])
        return report


class Mistaken(ApiView):
    """What a member takes for what."""

    @answers(MemberMistakenReport)
    def get(self, request: Request, membership_id: int | None = None) -> MemberMistakenReport:
        """What is taken for what, with how often and how sure that is."""
        report = member_mistaken_report(actor=actor_of(request), membership_id=membership_id)
        looked(request, "mistaken", [report.whose.membership_id])
        return report


class NextUp(ApiView):
    """What a member learns next."""

    @answers(NextUpReport)
    def get(self, request: Request, membership_id: int | None = None) -> NextUpReport:
        """The cases to learn next, with why each stands where it does."""
        report = next_up_report(
            actor=actor_of(request), membership_id=membership_id, now=timezone.now()
        )
        looked(request, "next_up", [report.whose.membership_id])
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


class Members(ApiView):
    """Members whose logs are shown to the actor."""

    @answers(MembersReport)
    def get(self, request: Request) -> MembersReport:
        """The members whose logs you may read, by club."""
        return members_report(actor=actor_of(request))
