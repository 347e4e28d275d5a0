"""Write a solve down: where to begin, the page to write on, and what its script asks."""

from typing import Any

from csp.decorators import csp_update
from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from cubecore.notation import MAX_TEXT
from logs.errors import ConflictError, UploadRejectedError
from logs.http.pages import actor_of, address_of, answers_refusals, origin_of, whole_number
from logs.people.sight import time_zone_of
from logs.solves.selectors.draws import drawn_next
from logs.writeups.models import Writeup
from logs.writeups.report import writing_report
from logs.writeups.selectors import unwritten_list, writeup_get, writeup_list
from logs.writeups.services import (
    reading_count,
    writeup_begin,
    writeup_begin_for,
    writeup_drop,
    writeup_send,
    writeup_write,
)
from logs.writeups.words import writing_json

UNPROCESSABLE = 422
SEND, SEND_UNTIMED = "send", "send-untimed"
PAD = (
    ("R", "U", "F", "L", "D", "B"),
    ("r", "u", "f", "l", "d", "b"),
    ("M", "E", "S", "x", "y", "z"),
)
MARK_LABELS = (
    "First two layers done",
    "First turn after them",
    "OLL done",
    "First turn after that",
    "PLL done, but for the last turn of the layer",
)


class BeginForm(forms.Form):
    """A solve to write down that the log does not have."""

    scramble = forms.CharField(
        max_length=MAX_TEXT,
        widget=forms.Textarea(attrs={"rows": 2, "spellcheck": "false", "autocapitalize": "off"}),
        help_text="The turns that mixed the cube, white up, green in front.",
    )
    time = forms.CharField(
        label="Time on the timer", max_length=40, help_text="12.34 or 1:02.34, without a penalty."
    )
    penalty = forms.ChoiceField(
        required=False, choices=(("", "none"), ("+2", "+2"), ("DNF", "DNF"))
    )
    done_at = forms.CharField(
        label="When",
        required=False,
        max_length=40,
        help_text="2026-03-14 18:04. Empty: not known.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def begin(request: HttpRequest) -> HttpResponse:
    """Where to begin: a new solve, one of the log without a solution, one begun before."""
    actor, now = actor_of(request), timezone.now()
    if request.method != "POST":
        return _begin_page(request, BeginForm())
    if request.POST.get("solve"):
        solve_id = whole_number(request.POST["solve"], 0)
        try:
            begun = writeup_begin_for(actor=actor, solve_id=solve_id, now=now)
        except ConflictError as error:
            messages.warning(request, error.message)
            return redirect("logs:writeup-begin")
        return redirect("logs:writeup", writeup_id=begun.pk)
    form = BeginForm(request.POST)
    if form.is_valid():
        try:
            begun = writeup_begin(actor=actor, now=now, **form.cleaned_data)
        except UploadRejectedError as error:
            form.add_error(error.problems[0].field, error.message)
        except ConflictError as error:
            form.add_error(None, error.message)
        else:
            return redirect("logs:writeup", writeup_id=begun.pk)
    return _begin_page(request, form, UNPROCESSABLE)


def _begin_page(request: HttpRequest, form: BeginForm, status: int = 200) -> HttpResponse:
    actor = actor_of(request)
    context = {
        "form": form,
        "begun": writeup_list(actor=actor),
        "unwritten": unwritten_list(actor=actor),
        "next_drawn": drawn_next(actor=actor),
        "zone": time_zone_of(actor=actor),
    }
    return render(request, "writeups/begin.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@csp_update({"media-src": ["blob:"]})  # type: ignore[arg-type]  # its types know no view with arguments
@answers_refusals
def writeup(request: HttpRequest, writeup_id: int) -> HttpResponse:
    """The page to write on; take what was written, or say what is wrong with it."""
    actor = actor_of(request)
    own = writeup_get(actor=actor, writeup_id=writeup_id)
    if request.method != "POST":
        return _page(request, own)
    now, sent = timezone.now(), request.POST.dict()
    then, solution = sent.get("then"), sent.get("solution", "")
    own = writeup_write(
        actor=actor,
        writeup_id=writeup_id,
        sent=sent | {"solution": sent.get("offer", solution)},
        edition=own.edition + 1,
        now=now,
    )
    if then not in (SEND, SEND_UNTIMED):
        return _page(request, own, is_whole=True)
    try:
        solve_id = writeup_send(
            actor=actor,
            writeup_id=writeup_id,
            solution=solution,
            time_zone=time_zone_of(actor=actor),
            now=now,
            origin=origin_of(request),
            is_timed=then == SEND,
        )
    except UploadRejectedError as error:
        return _page(request, own, message=error.message, is_whole=True)
    except ConflictError as error:
        return _page(request, own, message=error.message)
    messages.success(request, "Written down: your log has its solution now.")
    return redirect("logs:solve", solve_id=solve_id)


def _page(
    request: HttpRequest, own: Writeup, *, message: str = "", is_whole: bool = False
) -> HttpResponse:
    report = writing_report(actor=actor_of(request), writeup=own, is_whole=is_whole)
    context: dict[str, Any] = {
        "writeup": own,
        "report": report,
        "message": message,
        "pad": PAD,
        "marks": [
            {"label": label, "text": text}
            for label, text in zip(MARK_LABELS, report.timing.marks, strict=True)
        ],
        "max_text": MAX_TEXT,
        "writing": writing_json(report) | {"edition": own.edition},
    }
    status = UNPROCESSABLE if message else 200
    return render(request, "writeups/writeup.html", context, status=status)


@require_POST
@answers_refusals
def read(request: HttpRequest, writeup_id: int) -> HttpResponse:
    """Keep what is written, and answer how far it has come."""
    actor, now = actor_of(request), timezone.now()
    reading_count(actor=actor, address=address_of(request), now=now)
    own = writeup_write(
        actor=actor,
        writeup_id=writeup_id,
        sent=request.POST.dict(),
        edition=whole_number(request.POST.get("edition"), 0),
        now=now,
    )
    is_whole = request.POST.get("whole") == "1"
    report = writing_report(actor=actor, writeup=own, is_whole=is_whole)
    return JsonResponse(writing_json(report) | {"edition": own.edition})


@require_POST
@answers_refusals
def drop(request: HttpRequest, writeup_id: int) -> HttpResponse:
    """Forget what was written."""
    writeup_drop(actor=actor_of(request), writeup_id=writeup_id)
    messages.info(request, "Dropped. Nothing of it was added.")
    return redirect("logs:writeup-begin")
