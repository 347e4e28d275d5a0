"""Lists of solves, and one solve turn by turn."""

from datetime import date

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_safe

from logs.cases.facts import all_case_titles
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.people.services.trail import looked
from logs.solves.charts import solve_strip
from logs.solves.report.solve import solve_report
from logs.solves.report.solves import FigureAsked, figure_asked, solves_report
from logs.solves.words import letters, part_name, turn_end
from logs.words import whole_ms


@require_safe
@answers_refusals
def solve_list(request: HttpRequest, membership_id: int | None = None) -> HttpResponse:
    """A page of the actor's solves, or of those of a member whose log they may read."""
    report = solves_report(
        actor=actor_of(request),
        membership_id=membership_id,
        page=whole_number(request.GET.get("page"), 1),
        kind=request.GET.get("kind", ""),
        case=request.GET.get("case", ""),
        figure=_figure(request.GET),
    )
    looked(request, "solves", [report.whose.membership_id])
    context = {"report": report, "case_choices": all_case_titles()}
    return render(request, "solves/solves.html", context)


def _figure(query: QueryDict) -> FigureAsked:
    """The figure whose solves the address asks for; what it asks wrongly is as if it did not."""
    try:
        since = date.fromisoformat(query.get("since", ""))
    except ValueError:
        since = None
    return figure_asked(
        behind=query.get("behind", ""),
        until=whole_number(query.get("until"), 0),
        last=whole_number(query.get("last"), 0),
        since=since,
        days=whole_number(query.get("days"), 1),
    )


@require_safe
@answers_refusals
def solve(request: HttpRequest, solve_id: int) -> HttpResponse:
    """One solve."""
    report = solve_report(actor=actor_of(request), solve_id=solve_id)
    looked(request, "solve", [report.whose.membership_id])
    steps = [
        {
            "token": step.token,
            "at_ms": step.at_ms,
            "at": "" if step.at_ms is None else turn_end(step.at_ms, report.step_ms),
            "pause": "" if step.pause_ms is None else whole_ms(step.pause_ms, report.step_ms),
            "part": part_name(step.part),
            "letters": letters(step.cube),
        }
        for step in report.steps
    ]
    context = {
        "report": report,
        "strip": solve_strip(report) if report.is_timed else "",
        "steps": steps,
    }
    return render(request, "solves/solve.html", context)
