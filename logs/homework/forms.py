"""The forms of homework: setting and changing it, reasons, cases shown to the coach."""

from decimal import Decimal
from typing import Any

from django import forms

from logs.cases.forms import CasesField
from logs.homework.figures import MOST_WANTED, USUAL_NUMBER, DrillWord, Way
from logs.homework.models import Goal
from logs.homework.plan import Change, Plan
from logs.limits import NOTE, REASON, RECOGNITION_TARGET_S

DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


WAYS = (
    (Way.DRILLS.value, "Drills of the case go clean, so many of them"),
    (Way.PRACTICE.value, "Told right and held right on the practice page, so many times running"),
    (Way.COACH.value, "Shown to the coach"),
)


GOALS = (
    (Goal.ONE_LOOK.value, "One look in real solves"),
    (Goal.RECOGNITION.value, "Seen within a target, for cases that go in one look already"),
    (Goal.BOTH.value, "Both: one look, and seen within a target"),
)


class MembersField(forms.TypedMultipleChoiceField):
    """Memberships by number; whether they are there is for the services to say."""

    def __init__(self) -> None:
        super().__init__(coerce=int, error_messages={"required": "Choose at least one member."})

    def valid_value(self, value: object) -> bool:
        """Any whole number that a database can hold."""
        text = str(value)
        return text.isascii() and text.isdecimal() and len(text) < 10


class ChangeForm(forms.Form):
    """What an open homework is changed to."""

    member = MembersField()
    case = CasesField(error_messages={"required": "Choose at least one case."})
    due_on = forms.DateField(required=False, input_formats=["%Y-%m-%d"], widget=DAY)
    note = forms.CharField(
        required=False, max_length=NOTE, widget=forms.Textarea(attrs={"rows": 3})
    )

    def change(self) -> Change:
        """What was filled in."""
        values = self.cleaned_data
        return Change(
            cases=tuple(values["case"]),
            membership_ids=tuple(values["member"]),
            due_on=values["due_on"],
            note=values["note"],
        )


class HomeworkForm(ChangeForm):
    """A homework to set."""

    way = forms.ChoiceField(
        choices=WAYS, widget=forms.RadioSelect, initial=Way.DRILLS.value, required=False
    )
    n_wanted = forms.IntegerField(required=False, min_value=1, max_value=MOST_WANTED)
    goal = forms.ChoiceField(
        choices=GOALS, widget=forms.RadioSelect, initial=Goal.ONE_LOOK.value, required=False
    )
    target = forms.DecimalField(
        required=False,
        min_value=RECOGNITION_TARGET_S[0],
        max_value=RECOGNITION_TARGET_S[1],
        decimal_places=2,
    )

    def clean(self) -> dict[str, Any]:
        """Ask for a target where the goal has one; drop what the choices have none of.

        Raises:
            ValidationError: The target is missing.
        """
        values = super().clean() or {}
        values["way"] = Way(values.get("way") or Way.DRILLS)
        values["goal"] = values.get("goal") or Goal.ONE_LOOK.value
        if values["way"] is Way.COACH:
            values["n_wanted"] = None
        elif values.get("n_wanted") is None:
            values["n_wanted"] = USUAL_NUMBER[values["way"]]
        if values["goal"] == Goal.ONE_LOOK:
            values["target"] = None
        elif values.get("target") is None and "target" not in self.errors:
            self.add_error("target", "This goal needs a target in seconds, such as 1.20.")
        return values

    def plan(self) -> Plan:
        """What was filled in."""
        values = self.cleaned_data
        target: Decimal | None = values["target"]
        return Plan(
            cases=tuple(values["case"]),
            membership_ids=tuple(values["member"]),
            way=values["way"],
            n_wanted=values["n_wanted"],
            goal=values["goal"],
            recognition_target_ms=None if target is None else int(1000 * target),
            due_on=values["due_on"],
            note=values["note"],
        )


class ReasonForm(forms.Form):
    """Why a coach does something; members read it."""

    reason = forms.CharField(max_length=REASON, error_messages={"required": "Say why."})


class ExcuseForm(ReasonForm):
    """Cases to be excused from."""

    case = CasesField(error_messages={"required": "Choose at least one case."})


class CaseShownForm(forms.Form):
    """A case that a member showed the coach, or did not after all."""

    case = CasesField()
    is_shown = forms.BooleanField(required=False)


LONGEST_DRILL_S = 600
"""A drill that took longer was broken off."""


class DrillWordForm(forms.Form):
    """How a drill went."""

    seal = forms.CharField(max_length=2_000)
    word = forms.ChoiceField(choices=[(word.value, word.value) for word in DrillWord])
    time = forms.DecimalField(
        required=False, min_value=0, max_value=LONGEST_DRILL_S, decimal_places=3
    )

    @property
    def time_ms(self) -> int | None:
        """The time in whole ms; None where none, or zero, was written."""
        return int(1000 * (self.cleaned_data["time"] or 0)) or None
