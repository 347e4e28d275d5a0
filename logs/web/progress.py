"""The Progress page."""

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_safe

from cubecore.cases import CASES, Stage
from logs.analytics.cases import CaseOrder
from logs.reports.progress import Choice, progress_report
from logs.web.looks import looked
from logs.web.pages import actor_of
from logs.web.refusals import answers_refusals

ORDERS = {
    CaseOrder.COST: "what it costs in 100 solves",
    CaseOrder.COUNT: "times met",
    CaseOrder.RECOGNITION: "recognition",
    CaseOrder.EXECUTION: "execution",
    CaseOrder.NUMBER: "number",
}


@require_safe
@answers_refusals
def progress(request: HttpRequest, membership_id: int | None = None) -> HttpResponse:
    """The actor's progress, or that of a member whose log they may read."""
    report = progress_report(
        actor=actor_of(request), membership_id=membership_id, choice=_choice(request.GET)
    )
    looked(request, "progress", [report.whose.membership_id])
    return render(request, "logs/progress.html", {"report": report, "orders": ORDERS})


def _choice(query: QueryDict) -> Choice:
    """What the address asks for; what it asks wrongly is as if it did not."""
    stage, order = query.get("stage", ""), query.get("order", "")
    chosen = Stage(stage) if stage in Stage.__members__.values() else Stage.OLL
    families = {case.family for case in CASES.values() if case.id.stage is chosen}
    family = query.get("family", "")
    return Choice(
        stage=chosen,
        family=family if family in families else "",
        order=CaseOrder(order) if order in CaseOrder.__members__.values() else CaseOrder.COST,
        one_look_only=query.get("looks") == "one",
    )
