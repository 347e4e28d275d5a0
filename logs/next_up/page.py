"""Next up: a member's list, and a coach's word on it."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from logs.cases.forms import CasesField
from logs.homework.forms import ReasonForm
from logs.http.pages import actor_of, answers_refusals
from logs.next_up.order import OverrideKind
from logs.next_up.report import next_up_report
from logs.next_up.services import MAX_PLACE, override_set, override_withdraw
from logs.next_up.words import KINDS, savings_scale
from logs.people.services.trail import looked
from logs.people.sight import coached_membership_get

UNPROCESSABLE = 422


OPEN_ON_PAGE = 6
"""So many of the later cases stand open on the page; the others are folded away."""


class OverrideForm(ReasonForm):
    """A coach's word on one case of the list."""

    case = CasesField(error_messages={"required": "Choose a case."})
    kind = forms.ChoiceField(choices=[(kind.value, kind.value) for kind in OverrideKind])
    place = forms.IntegerField(required=False, min_value=1, max_value=MAX_PLACE)

    def clean(self) -> dict[str, Any]:
        """Ask for a place for a move alone.

        Raises:
            ValidationError: The move has none.
        """
        values = super().clean() or {}
        if values.get("kind") != OverrideKind.MOVE:
            values["place"] = None
        elif values.get("place") is None and "place" not in self.errors:
            self.add_error("place", "A move needs the place to move to; the first is 1.")
        return values


@require_safe
@answers_refusals
def next_up(request: HttpRequest, membership_id: int | None = None) -> HttpResponse:
    """The list of the actor, or of a member whose log they may read."""
    return _page(request, membership_id)


def _page(
    request: HttpRequest, membership_id: int | None, form: OverrideForm | None = None
) -> HttpResponse:
    report = next_up_report(
        actor=actor_of(request), membership_id=membership_id, now=timezone.now()
    )
    looked(request, "next_up", [report.whose.membership_id])
    context = {
        "report": report,
        "later": report.later[:OPEN_ON_PAGE],
        "rest": report.later[OPEN_ON_PAGE:],
        "scale": savings_scale([*report.now, *report.later, *report.skipped]),
        "kinds": KINDS,
        "max_place": MAX_PLACE,
        "form": form or OverrideForm(),
    }
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "next_up/next_up.html", context, status=status)


@require_POST
@answers_refusals
def override(request: HttpRequest, membership_id: int) -> HttpResponse:
    """Pin, skip or move a case on a member's list."""
    actor = actor_of(request)
    coached_membership_get(actor=actor, membership_id=membership_id)
    form = OverrideForm(request.POST)
    if not form.is_valid():
        return _page(request, membership_id, form)
    try:
        override_set(
            actor=actor,
            membership_id=membership_id,
            case=form.cleaned_data["case"][0],
            kind=OverrideKind(form.cleaned_data["kind"]),
            place=form.cleaned_data["place"],
            reason=form.cleaned_data["reason"],
            now=timezone.now(),
        )
    except ValidationError as error:
        form.add_error(None, error)
        return _page(request, membership_id, form)
    return redirect("logs:member-next-up", membership_id=membership_id)


@require_POST
@answers_refusals
def withdraw(request: HttpRequest, membership_id: int, override_id: int) -> HttpResponse:
    """Take a word on a member's list back."""
    override_withdraw(
        actor=actor_of(request),
        membership_id=membership_id,
        override_id=override_id,
        now=timezone.now(),
    )
    return redirect("logs:member-next-up", membership_id=membership_id)
