"""A sheet of drills as a PDF: each scramble with a line for its time.

A drill dealt on screen: done, and then the member's own word on how it went.
"""

from datetime import datetime
from http import HTTPStatus
from random import SystemRandom
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from cubecore.cases import CASES, CaseId
from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member, holds_of_member
from logs.cases.facts import case_of
from logs.errors import ConflictError
from logs.homework.figures import DrillWord
from logs.homework.forms import LONGEST_DRILL_S, DrillWordForm
from logs.homework.services import drill_answer, drill_seal
from logs.http.pages import actor_of, answers_refusals, several, whole_number
from logs.practice.report.drills import (
    MOST_SEED,
    USUAL_NUMBER,
    Ask,
    DrillSheet,
    drill_log,
    drill_sheet,
    drill_start,
    one_drill,
    settled,
)
from logs.practice.report.practice import known_code
from logs.practice.selectors import cases_asked, drills_left
from logs.practice.words import drills_lines, drills_text, drills_title
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
    title = drills_title(sheet)
    pdf = opened(title, paper=paper, now=now)
    write_heading(pdf, title, [f"{line}." for line in drills_lines(sheet)])
    pdf.set_line_width(0.15)
    for line in sheet.drills:
        if pdf.get_y() + 2 * ROW_H > pdf.h - MARGIN:
            pdf.add_page()
        y, right = pdf.get_y(), pdf.w - MARGIN
        pdf.set_font(FACE, "", 10)
        pdf.set_xy(MARGIN, y)
        pdf.cell(NUMBER_W, ROW_H, f"{line.number}.")
        pdf.set_font(TURNS, "", 11)
        pdf.cell(right - TIME_W - MARGIN - NUMBER_W, ROW_H, line.scramble)
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
    paper, dealt = paper_of(request), drill_sheet(actor=actor, ask=ask)
    context = {
        "sheet": dealt,
        "in_hand": [
            {
                "scramble": line.scramble,
                "title": line.case.title,
                "seal": drill_seal(
                    actor=actor,
                    case=CaseId.read(line.case.stage, line.case.number),
                    scramble=line.scramble,
                ),
            }
            for line in dealt.drills
        ],
        "member": actor.pk,
        "query": query,
        "again": _query(request, settled(actor=actor, ask=ask, seed=0)),
        "paper": paper.value,
        "papers": papers(paper, _pairs(ask)),
    }
    return render(request, "practice/drill_sheet.html", context)


@require_safe
def pdf(request: HttpRequest) -> HttpResponse:
    """The drills as PDF."""
    drills = drill_sheet(actor=actor_of(request), ask=_ask(request))
    content = drill_pdf(drills, paper=paper_of(request), now=timezone.now())
    return _file(drills, content, "application/pdf", "pdf", "inline")


@require_safe
def text(request: HttpRequest) -> HttpResponse:
    """The scrambles as plain text."""
    drills = drill_sheet(actor=actor_of(request), ask=_ask(request))
    return _file(drills, drills_text(drills).encode(), "text/plain; charset=utf-8", "txt")


@require_safe
def log(request: HttpRequest) -> HttpResponse:
    """The scrambles as a log to fill in."""
    drills = drill_sheet(actor=actor_of(request), ask=_ask(request))
    return _file(drills, drill_log(drills).encode(), "text/csv; charset=utf-8", "csv")


def _ask(request: HttpRequest) -> Ask:
    """What the address asks for; what it asks wrongly is as if it did not."""
    asked = request.GET
    return Ask(
        codes=tuple(several(asked, "case")),
        what=known_code(asked.get("what", "")),
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
    drills: DrillSheet, content: bytes, content_type: str, ending: str, how: str = "attachment"
) -> HttpResponse:
    response = HttpResponse(content, content_type=content_type)
    name = f"{slugify(drills_title(drills))[:60].strip('-')}-{drills.seed}.{ending}"
    response["Content-Disposition"] = f'{how}; filename="{name}"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def drill(request: HttpRequest) -> HttpResponse:
    """Deal a drill of the case in the address, or of one that homework asks; take the word on it."""
    if request.method == "POST":
        return _take_word(request)
    actor, now = actor_of(request), timezone.now()
    rng = SystemRandom()
    asked = cases_asked(actor=actor)
    code = request.GET.get("case", "")
    case = case_of(code) or (CASES[rng.choice(asked)] if asked else None)
    n_left = drills_left(actor=actor, now=now)
    context: dict[str, object] = {"n_left": n_left, "code": code}
    if case is not None and n_left:
        dealt, hold = one_drill(actor=actor, case=case, rng=rng)
        context |= {
            "scramble": dealt.scramble,
            "hold": hold,
            "taught": taught(case, book_of_member(member=actor), holds_of_member(member=actor)),
            "seal": drill_seal(actor=actor, case=case.id, scramble=dealt.scramble),
        }
    return render(request, "practice/drill_one.html", context)


def _take_word(request: HttpRequest) -> HttpResponse:
    """Keep a word; deal the next drill, unless the page stays where it is and is told alone."""
    actor, now = actor_of(request), timezone.now()
    form = DrillWordForm(request.POST)
    said, is_kept = "Kept: by your own word.", False
    if form.is_valid():
        try:
            drill_answer(
                actor=actor,
                seal=form.cleaned_data["seal"],
                word=DrillWord(form.cleaned_data["word"]),
                n_left=drills_left(actor=actor, now=now),
                now=now,
                time_ms=form.time_ms,
            )
            is_kept = True
        except ConflictError as error:
            said = error.message
    elif "time" in form.errors:
        said = f"Write the time in seconds, up to {LONGEST_DRILL_S}, or leave it out."
    else:
        said = "Say how it went by one of the three buttons."
    if request.POST.get("stay"):
        status = HTTPStatus.NO_CONTENT if is_kept else HTTPStatus.CONFLICT
        return HttpResponse("" if is_kept else said, status=status, content_type="text/plain")
    (messages.success if is_kept else messages.warning)(request, said)
    case = request.POST.get("case", "")
    query = f"?{urlencode({'case': case})}" if case_of(case) else ""
    return redirect(reverse("logs:drill-one") + query)
