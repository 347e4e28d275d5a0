"""A club's algorithm book: read by its members, changed by its coaches."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from cubecore.cases import CaseId, Stage
from logs.algorithms.figures import BEFORE, CoachHold
from logs.algorithms.services import (
    algorithm_add,
    algorithm_move,
    algorithm_retire,
    case_hold_write,
    case_words_write,
    trigger_add,
    trigger_remove,
)
from logs.book.report import TRIED_TEXT, BookCaseReport, book_case_report, book_report
from logs.errors import AlgorithmRefusedError, ConflictError
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.people.services.trail import looked
from logs.solves.services.relabel import club_relabel
from logs.words import find_case

UNPROCESSABLE = 422


@require_safe
@answers_refusals
def book(request: HttpRequest, slug: str) -> HttpResponse:
    """The club's book, and what an algorithm that is tried out does."""
    tried = request.GET.get("try", "")
    report = book_report(actor=actor_of(request), slug=slug, now=timezone.now(), tried=tried)
    return render(request, "book/book.html", {"report": report})


@require_safe
@answers_refusals
def book_case(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """One case of the book."""
    return _case_page(request, slug, stage, number)


def _case_page(
    request: HttpRequest,
    slug: str,
    stage: str,
    number: str,
    refusal: str = "",
    status: int = 200,
    *,
    hold_refusal: str = "",
) -> HttpResponse:
    report = book_case_report(actor=actor_of(request), slug=slug, stage=stage, number=number)
    looked(request, "book_case", report.membership_ids)
    context = {
        "report": report,
        "refusal": refusal,
        "hold_refusal": hold_refusal,
        "turns_before": BEFORE,
        "before": request.POST.get("before", "") if hold_refusal else _before_of(report),
        "angle": whole_number(request.POST.get("angle"), 0) if hold_refusal else report.held.angle,
        "text": request.POST.get("text", "")[:TRIED_TEXT] if refusal else "",
        "note": request.POST.get("note", "")[:TRIED_TEXT] if refusal else "",
    }
    return render(request, "book/book_case.html", context, status=status)


def _before_of(report: BookCaseReport) -> str:
    return report.hold.before if report.hold is not None and report.is_hold_fitting else ""


@require_POST
@answers_refusals
def add(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """Prove an algorithm and add it to a case of the book."""
    try:
        added = algorithm_add(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            text=request.POST.get("text", ""),
            note=request.POST.get("note", ""),
            now=timezone.now(),
        )
    except (AlgorithmRefusedError, ConflictError) as error:
        return _case_page(request, slug, stage, number, error.message, UNPROCESSABLE)
    except ValidationError as error:
        said = " ".join(error.messages)
        return _case_page(request, slug, stage, number, said, UNPROCESSABLE)
    messages.success(request, f"{added.text} solves it and is in the book.")
    _relabel(request, slug, is_book_new=True)
    return redirect("logs:book-case", slug=slug, stage=stage, number=number)


@require_POST
@answers_refusals
def write_words(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """Write the coach's words beside a case of the book."""
    try:
        text = case_words_write(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            text=request.POST.get("words", ""),
            now=timezone.now(),
        )
    except ValidationError as error:
        messages.warning(request, "Nothing was changed. " + " ".join(error.messages))
    else:
        messages.success(request, "Your words stand beside the case." if text else "No words now.")
    return redirect("logs:book-case", slug=slug, stage=stage, number=number)


@require_POST
@answers_refusals
def teach_hold(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """Teach a case from the hold that was picked, if the algorithm solves it so."""
    sent = request.POST
    asked = CoachHold(whole_number(sent.get("angle"), 0), sent.get("before", ""))
    try:
        hold = case_hold_write(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            hold=asked,
            now=timezone.now(),
        )
    except AlgorithmRefusedError as error:
        return _case_page(
            request, slug, stage, number, hold_refusal=error.message, status=UNPROCESSABLE
        )
    kept = "Your hold is taught from now on." if hold else "It is taught as its algorithm starts."
    messages.success(request, kept)
    return redirect("logs:book-case", slug=slug, stage=stage, number=number)


@require_POST
@answers_refusals
def retire(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """Take an algorithm out of the book."""
    try:
        retired = algorithm_retire(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            text=request.POST.get("text", ""),
            now=timezone.now(),
        )
    except ConflictError as error:
        messages.warning(request, error.message)
    else:
        messages.success(request, f"{retired.text} is out of the book.")
        _relabel(request, slug, is_book_new=True)
    return redirect("logs:book-case", slug=slug, stage=stage, number=number)


@require_POST
@answers_refusals
def move(request: HttpRequest, slug: str, stage: str, number: str) -> HttpResponse:
    """Move an algorithm among those of its case; no label hangs on the order."""
    try:
        algorithm_move(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            text=request.POST.get("text", ""),
            place=whole_number(request.POST.get("place"), 0),
            now=timezone.now(),
        )
    except ConflictError as error:
        messages.warning(request, error.message)
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
    return redirect("logs:book-case", slug=slug, stage=stage, number=number)


@require_POST
@answers_refusals
def name_trigger(request: HttpRequest, slug: str) -> HttpResponse:
    """Give a run of turns a name."""
    try:
        named = trigger_add(
            actor=actor_of(request),
            slug=slug,
            name=request.POST.get("name", ""),
            turns=request.POST.get("turns", ""),
        )
    except (AlgorithmRefusedError, ConflictError) as error:
        messages.warning(request, f"No name was given. {error.message}")
    except ValidationError as error:
        messages.warning(request, "No name was given. " + " ".join(error.messages))
    else:
        messages.success(request, f"{named.turns} is called {named.name} in this club.")
    return redirect("logs:book", slug=slug)


@require_POST
@answers_refusals
def forget_trigger(request: HttpRequest, slug: str) -> HttpResponse:
    """Forget a name that the club gave."""
    name = request.POST.get("name", "")
    try:
        trigger_remove(actor=actor_of(request), slug=slug, name=name)
    except ConflictError as error:
        messages.warning(request, error.message)
    else:
        messages.success(request, f"The club calls nothing {name} any more.")
    return redirect("logs:book", slug=slug)


@require_POST
@answers_refusals
def relabel(request: HttpRequest, slug: str) -> HttpResponse:
    """Make the labels of the club's members anew by the book as it stands."""
    if _relabel(request, slug, is_book_new=False):
        messages.success(request, "All solves are labelled by the book as it stands.")
    return redirect("logs:book", slug=slug)


def _relabel(request: HttpRequest, slug: str, *, is_book_new: bool) -> bool:
    is_done = club_relabel(
        actor=actor_of(request), slug=slug, now=timezone.now(), is_book_new=is_book_new
    )
    if not is_done:
        messages.info(
            request,
            "The members have many solves, so they are labelled anew while you go on. The page of"
            " the book shows how far it is.",
        )
    return is_done


def _case_id(stage: str, number: str) -> CaseId:
    """The case of an address; one that is none is refused by the services."""
    found = find_case(stage, number)
    return found.id if found else CaseId(Stage.OLL, 0)
