"""The pages of one club: its coverage, members compared, what is mistaken for what, one case."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from cubecore.cases import Stage
from logs.cases.facts import families_of
from logs.club.report.compare import CompareChoice, Part, compare_report
from logs.club.report.coverage import ClubChoice, club_report
from logs.club.report.mistaken import club_mistaken_report, member_mistaken_report
from logs.club.report.weeks import ClubCaseReport, club_case_report, club_weeks
from logs.http.pages import actor_of, answers_refusals, group_of, several, whole_number
from logs.people.services.trail import looked
from logs.people.sight import club_sight, sight_of
from logs.practice.report.question import club_practice_mistakes, member_practice_mistakes
from logs.progress.report.time import PeriodTimes
from logs.progress.time_charts import over_time_figure
from logs.solves.figures.standing import Standing
from logs.stats.sketch import ALPHA


@require_safe
@answers_refusals
def club(request: HttpRequest, slug: str) -> HttpResponse:
    """The coverage of the club's members, as far as the reader may see them."""
    actor, choice = actor_of(request), _choice(request.GET)
    view = club_sight(
        actor=actor, slug=slug, hides_names=choice.hides_names, group_id=group_of(request.GET)
    )
    report = club_report(view=view, choice=choice)
    weeks = club_weeks(sight=view, now=timezone.now())
    looked(request, "club", [member.membership_id for member in report.view.members])
    context = {
        "report": report,
        "weeks": weeks,
        "families": families_of(report.choice.stage),
        "error_share": ALPHA,
    }
    return render(request, "club/club.html", context)


@require_safe
@answers_refusals
def compare(request: HttpRequest, slug: str) -> HttpResponse:
    """Some of the club's members side by side."""
    query = request.GET
    part = query.get("part", "")
    choice = CompareChoice(
        membership_ids=tuple(whole_number(text, 0) for text in several(query, "member")),
        stage=chosen_stage(query),
        part=Part(part) if part in Part.__members__.values() else Part.RECOGNITION,
        hides_names=hides_names(query),
        group_id=group_of(query),
    )
    report = compare_report(actor=actor_of(request), slug=slug, choice=choice)
    looked(request, "compare", report.membership_ids)
    return render(request, "club/compare.html", {"report": report})


@require_safe
@answers_refusals
def mistaken(request: HttpRequest, slug: str) -> HttpResponse:
    """What the club's members take for what, as far as the reader may see them."""
    actor, query = actor_of(request), request.GET
    view = club_sight(
        actor=actor, slug=slug, hides_names=hides_names(query), group_id=group_of(query)
    )
    report = club_mistaken_report(view=view)
    practice = club_practice_mistakes(actor=actor, view=view)
    looked(request, "mistaken", {*report.lines.membership_ids, *practice.membership_ids})
    context = {"report": report, "practice": practice}
    return render(request, "club/club_mistaken.html", context)


@require_safe
@answers_refusals
def case(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """One case in the club week by week, for its coaches."""
    report = club_case_report(
        actor=actor_of(request),
        slug=slug,
        stage=stage,
        number=number,
        hides_names=hides_names(request.GET),
        group_id=group_of(request.GET),
        now=timezone.now(),
    )
    looked(request, "club_case", report.membership_ids)
    context = {"report": report, "figure": weeks_figure(report)}
    return render(request, "club/club_case.html", context)


@require_safe
@answers_refusals
def member_mistaken(request: HttpRequest, membership_id: int | None = None) -> HttpResponse:
    """What the actor takes for what, or a member whose log they may read."""
    member = sight_of(actor=actor_of(request), membership_id=membership_id)
    report = member_mistaken_report(member=member)
    practice = member_practice_mistakes(member=member)
    looked(request, "mistaken", [report.whose.membership_id])
    context = {"report": report, "practice": practice}
    return render(request, "club/member_mistaken.html", context)


def weeks_figure(report: ClubCaseReport) -> dict[str, Any] | None:
    """The weeks that have enough, as dots with bands; None below two."""
    weeks = [
        PeriodTimes(
            start=week.first_on,
            n=week.met.n_timed,
            median_ms=week.met.recognition.median_ms,
            range_ms=week.met.recognition.range_ms,
        )
        for week in reversed(report.weeks)
        if week.met.recognition is not None
    ]
    if len(weeks) < 2:
        return None
    label = f"{report.case.stage.upper()} {report.case.number}"
    return over_time_figure(weeks, unit="week", title=f"seconds to recognise {label}")


def chosen_stage(query: QueryDict) -> Stage:
    """The set that the address asks for; OLL for none, or for what is none."""
    stage = query.get("stage", "")
    return Stage(stage) if stage in Stage.__members__.values() else Stage.OLL


def hides_names(query: QueryDict) -> bool:
    """Whether the address asks for letters in the place of names."""
    return query.get("names") == "hidden"


def _choice(query: QueryDict) -> ClubChoice:
    """What the address asks for; what it asks wrongly is as if it did not."""
    stage = chosen_stage(query)
    family, standing = query.get("family", ""), query.get("standing", "")
    return ClubChoice(
        stage=stage,
        family=family if family in families_of(stage) else "",
        standing=Standing(standing) if standing in Standing.__members__.values() else None,
        hides_names=hides_names(query),
    )
