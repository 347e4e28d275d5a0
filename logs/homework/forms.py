"""The forms of a coach's desk: homework, lessons, reasons, words on what is next."""

from decimal import Decimal
from typing import Any

from django import forms

from logs.cases.forms import CasesField
from logs.homework.services import Plan

DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


ONE_LOOK = "one_look"


GOALS = (
    (ONE_LOOK, "One look in real solves"),
    ("recognition", "Seen within a target, for cases that go in one look already"),
    ("both", "Both: one look, and seen within a target"),
)


class MembersField(forms.TypedMultipleChoiceField):
    """Memberships by number; whether they are there is for the services to say."""

    def __init__(self) -> None:
        super().__init__(coerce=int, error_messages={"required": "Choose at least one member."})

    def valid_value(self, value: object) -> bool:
        """Any whole number that a database can hold."""
        text = str(value)
        return text.isascii() and text.isdecimal() and len(text) < 10


class HomeworkForm(forms.Form):
    """A homework to look ahead on, or to set."""

    member = MembersField()
    case = CasesField(error_messages={"required": "Choose at least one case."})
    due_on = forms.DateField(required=False, input_formats=["%Y-%m-%d"], widget=DAY)
    goal = forms.ChoiceField(choices=GOALS, widget=forms.RadioSelect, initial=ONE_LOOK)
    target = forms.DecimalField(
        required=False, min_value=Decimal("0.1"), max_value=Decimal(30), decimal_places=2
    )
    note = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def clean(self) -> dict[str, Any]:
        """Ask for a target where the goal has one, and drop it where it has none.

        Raises:
            ValidationError: The target is missing.
        """
        values = super().clean() or {}
        if values.get("goal") == ONE_LOOK:
            values["target"] = None
        elif "goal" in values and values.get("target") is None and "target" not in self.errors:
            self.add_error("target", "This goal needs a target in seconds, such as 1.20.")
        return values

    def plan(self) -> Plan:
        """What was filled in."""
        values = self.cleaned_data
        target: Decimal | None = values["target"]
        return Plan(
            cases=tuple(values["case"]),
            membership_ids=tuple(values["member"]),
            goal=values["goal"],
            recognition_target_ms=None if target is None else int(1000 * target),
            due_on=values["due_on"],
            note=values["note"],
        )


class ReasonForm(forms.Form):
    """Why a coach does something; members read it."""

    reason = forms.CharField(max_length=300, error_messages={"required": "Say why."})


class ExcuseForm(ReasonForm):
    """Cases to be excused from."""

    case = CasesField(error_messages={"required": "Choose at least one case."})
