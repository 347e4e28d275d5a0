"""Sheets to print, as pages and as PDF."""

from collections.abc import Sequence
from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from cubecore.cases import Case
from logs.algorithms.report import families
from logs.http.pages import actor_of, answers_refusals, several, whole_number
from logs.limits import SHEET_CASES
from logs.sheets.pdf import sheet_pdf
from logs.sheets.report import (
    MOST_SCRAMBLES,
    USUAL_ROOM,
    Paper,
    Room,
    Sheet,
    homework_sheet,
    lesson_sheet,
    picked_sheet,
)


@require_safe
def sheet(request: HttpRequest) -> HttpResponse:
    """A sheet of the cases in the address, or a form to choose them."""
    codes = several(request.GET, "case")
    picked = picked_sheet(actor=actor_of(request), codes=codes, room=_room(request))
    if not picked.cases:
        context = {"families": families(), "most": SHEET_CASES, "paper": paper_of(request)}
        return render(request, "sheets/sheet_choice.html", context)
    return _page(request, picked, reverse("logs:sheet-pdf"), reverse("logs:sheet"))


@require_safe
def pdf(request: HttpRequest) -> HttpResponse:
    """A sheet of the cases in the address as PDF."""
    codes = several(request.GET, "case")
    return _file(request, picked_sheet(actor=actor_of(request), codes=codes, room=_room(request)))


@require_safe
@answers_refusals
def lesson(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """The sheet of a lesson."""
    paper_sheet = lesson_sheet(
        actor=actor_of(request),
        lesson_id=lesson_id,
        is_for_coach=_is_for_coach(request),
        room=_room(request),
    )
    back = reverse("logs:lesson", args=[lesson_id])
    return _page(request, paper_sheet, reverse("logs:lesson-sheet-pdf", args=[lesson_id]), back)


@require_safe
@answers_refusals
def lesson_pdf(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """The sheet of a lesson as PDF."""
    paper_sheet = lesson_sheet(
        actor=actor_of(request),
        lesson_id=lesson_id,
        is_for_coach=_is_for_coach(request),
        room=_room(request),
    )
    return _file(request, paper_sheet)


def _is_for_coach(request: HttpRequest) -> bool:
    """Whether the coach's own copy is asked for, with names."""
    return request.GET.get("names") == "1"


@require_safe
@answers_refusals
def homework(request: HttpRequest, homework_id: int) -> HttpResponse:
    """The one page of a homework."""
    paper_sheet = homework_sheet(
        actor=actor_of(request), homework_id=homework_id, now=timezone.now()
    )
    back = reverse("logs:homework", args=[homework_id])
    return _page(request, paper_sheet, reverse("logs:homework-sheet-pdf", args=[homework_id]), back)


@require_safe
@answers_refusals
def homework_pdf(request: HttpRequest, homework_id: int) -> HttpResponse:
    """The one page of a homework as PDF."""
    return _file(
        request,
        homework_sheet(actor=actor_of(request), homework_id=homework_id, now=timezone.now()),
    )


def _room(request: HttpRequest) -> Room:
    """The room for practice that the address asks for; asked wrongly is as if it did not."""
    n_scrambles = whole_number(request.GET.get("scrambles"), USUAL_ROOM.n_scrambles)
    return Room(min(max(n_scrambles, 0), MOST_SCRAMBLES), request.GET.get("lines") == "1")


def _page(request: HttpRequest, paper_sheet: Sheet, pdf_at: str, back: str) -> HttpResponse:
    asked = [("case", code) for code in several(request.GET, "case")]
    asked += [("names", "1")] if _is_for_coach(request) else []
    kept, paper, room = list(asked), paper_of(request), paper_sheet.room
    if room != USUAL_ROOM:
        asked += [("scrambles", str(room.n_scrambles)), ("lines", str(int(room.has_lines)))]
    context = {
        "sheet": paper_sheet,
        "pages": [
            [(case, _address(request, case.case)) for case in cases] for cases in paper_sheet.pages
        ],
        "paper": paper.value,
        "pdf_url": f"{pdf_at}?{urlencode([*asked, ('paper', paper.value)])}",
        "papers": papers(paper, asked),
        "kept": [*kept, ("paper", paper.value)],
        "back": back,
    }
    return render(request, "sheets/sheet.html", context)


def _file(request: HttpRequest, paper_sheet: Sheet) -> HttpResponse:
    content = sheet_pdf(
        paper_sheet,
        paper=paper_of(request),
        now=timezone.now(),
        address=partial(_address, request),
    )
    response = HttpResponse(content, content_type="application/pdf")
    name = slugify(paper_sheet.heading) or "sheet"
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _address(request: HttpRequest, case: Case) -> str:
    """The address of a case's page, as this site is called."""
    path = reverse("logs:case", args=[case.id.stage.value, case.id.text])
    return request.build_absolute_uri(path)


def paper_of(request: HttpRequest) -> Paper:
    """The paper that the address asks for; A4 for none, or for what is none."""
    asked = request.GET.get("paper", "")
    return Paper(asked) if asked in Paper.__members__.values() else Paper.A4


def papers(chosen: Paper, asked: Sequence[tuple[str, str]]) -> list[tuple[str, bool, str]]:
    """The papers there are: name, whether it is chosen, and the address with it."""
    return [
        (name, one == chosen, f"?{urlencode([*asked, ('paper', one.value)])}")
        for one, name in ((Paper.A4, "A4"), (Paper.LETTER, "US Letter"))
    ]
