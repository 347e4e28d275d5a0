"""The forms of a coach's desk: homework, lessons, reasons, words on what is next."""

from typing import Any

from django import forms

from logs.cases.forms import CasesField
from logs.homework.forms import ReasonForm
from logs.next_up.order import OverrideKind
from logs.next_up.services import MAX_PLACE


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
