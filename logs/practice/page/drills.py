"""A sheet of drills as a PDF: each scramble with a line for its time."""

from datetime import datetime
from random import SystemRandom

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from logs.http.pages import actor_of, whole_number
from logs.practice.report.drills import (
    MOST_SEED,
    USUAL_NUMBER,
    Ask,
    DrillSheet,
    drill_log,
    drill_sheet,
    drill_start,
    drill_text,
    settled,
)
from logs.sheets.page import paper_of, papers
from logs.sheets.pdf import FACE, MARGIN, TURNS, opened, write_heading
from logs.sheets.report import Paper

# All lengths in mm.
ROW_H = 8.4


NUMBER_W = 9.0


TIME_W = 32.0


HANDS = "Mind your hands: stop when it hurts, rest, and see a doctor if the pain stays."


def drill_pdf(sheet: DrillSheet, *, paper: Paper, now: datetime) -> bytes:
    """The bytes of a PDF of ``sheet``.

    Args:
        sheet: What to print.
        paper: A4 or US Letter, upright.
        now: The moment that the file says it was made.
    """
    pdf = opened(sheet.heading, paper=paper, now=now)
    write_heading(pdf, sheet.heading, [f"{line}." for line in sheet.lines])
    pdf.set_line_width(0.15)
    for one in sheet.drills:
        if pdf.get_y() + 2 * ROW_H > pdf.h - MARGIN:
            pdf.add_page()
        y, right = pdf.get_y(), pdf.w - MARGIN
        pdf.set_font(FACE, "", 10)
        pdf.set_xy(MARGIN, y)
        pdf.cell(NUMBER_W, ROW_H, f"{one.number}.")
        pdf.set_font(TURNS, "", 11)
        pdf.cell(right - TIME_W - MARGIN - NUMBER_W, ROW_H, one.scramble)
        pdf.line(right - TIME_W, y + ROW_H - 2, right, y + ROW_H - 2)
        pdf.set_xy(MARGIN, y + ROW_H)
    pdf.set_font(FACE, "", 9)
    pdf.set_xy(MARGIN, pdf.get_y() + 2)
    pdf.cell(0, 4, HANDS)
    return bytes(pdf.output())


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """The form that drills are asked for with."""
    report = drill_start(actor=actor_of(request), ask=_ask(request), now=timezone.now())
    return render(request, "practice/drills.html", {"report": report})


@require_safe
def sheet(request: HttpRequest) -> HttpResponse:
    """The drills asked for; at an address with a seed of its own where none was given."""
    actor, ask = actor_of(request), _ask(request)
    seed = ask.seed or SystemRandom().randint(1, MOST_SEED)
    fixed = settled(actor=actor, ask=ask, seed=seed)
    if fixed != ask:
        return redirect(f"{reverse('logs:drill-sheet')}?{_query(request, fixed)}")
    query = _query(request, ask)
    paper = paper_of(request)
    context = {
        "sheet": drill_sheet(actor=actor, ask=ask),
        "query": query,
        "again": _query(request, settled(actor=actor, ask=ask, seed=0)),
        "paper": paper.value,
        "papers": papers(paper, _pairs(ask)),
    }
    return render(request, "practice/drill_sheet.html", context)


@require_safe
def pdf(request: HttpRequest) -> HttpResponse:
    """The drills as PDF."""
    made = drill_sheet(actor=actor_of(request), ask=_ask(request))
    content = drill_pdf(made, paper=paper_of(request), now=timezone.now())
    return _file(made, content, "application/pdf", "pdf", "inline")


@require_safe
def text(request: HttpRequest) -> HttpResponse:
    """The scrambles as plain text."""
    made = drill_sheet(actor=actor_of(request), ask=_ask(request))
    return _file(made, drill_text(made).encode(), "text/plain; charset=utf-8", "txt")


@require_safe
def log(request: HttpRequest) -> HttpResponse:
    """The scrambles as a log to fill in."""
    made = drill_sheet(actor=actor_of(request), ask=_ask(request))
    return _file(made, drill_log(made).encode(), "text/csv; charset=utf-8", "csv")


def _ask(request: HttpRequest) -> Ask:
    """What the address asks for; what it asks wrongly is as if it did not."""
    asked = request.GET
    return Ask(
        codes=tuple(asked.getlist("case")),
        what=asked.get("what", ""),
        is_mixed=asked.get("mix", "") == "1",
        n=whole_number(asked.get("n"), USUAL_NUMBER),
        seed=whole_number(asked.get("seed"), 0),
        last=asked.get("last", ""),
    )


def _pairs(ask: Ask) -> list[tuple[str, str]]:
    pairs = [("case", code) for code in ask.codes]
    pairs += [("what", ask.what)] if ask.what else []
    pairs += [("mix", "1")] if ask.is_mixed else []
    pairs += [("n", str(ask.n)), ("last", ask.last)]
    return pairs + ([("seed", str(ask.seed))] if ask.seed else [])


def _query(request: HttpRequest, ask: Ask) -> str:
    return urlencode([*_pairs(ask), ("paper", paper_of(request).value)])


def _file(
    made: DrillSheet, content: bytes, content_type: str, ending: str, how: str = "attachment"
) -> HttpResponse:
    response = HttpResponse(content, content_type=content_type)
    name = f"{slugify(made.heading)[:60].strip('-')}-{made.seed}.{ending}"
    response["Content-Disposition"] = f'{how}; filename="{name}"'
    return response
