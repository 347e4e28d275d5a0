"""The forms of a coach's desk: homework, lessons, reasons, words on what is next."""

from decimal import Decimal
from typing import Any

from django import forms

from cubecore.cases import CaseId
from logs.analytics.teaching_order import OverrideKind
from logs.reports.case_facts import case_of, cases_by_code
from logs.services.homework import Plan
from logs.services.lessons import LessonPlan
from logs.services.next_up import MAX_PLACE

DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
ONE_LOOK = "one_look"
GOALS = (
    (ONE_LOOK, "One look in real solves"),
    ("recognition", "Seen within a target, for cases that go in one look already"),
    ("both", "Both: one look, and seen within a target"),
)


class CasesField(forms.MultipleChoiceField):
    """Cases by code; gives their `CaseId`, in the order they were sent."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=[(code, code) for code in cases_by_code()], **options)

    def clean(self, value: object) -> list[CaseId]:
        """The cases.

        Raises:
            ValidationError: One of the codes is no case, or none was chosen where one must be.
        """
        cases = [case_of(code) for code in dict.fromkeys(super().clean(value))]
        return [case.id for case in cases if case is not None]


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


class LessonForm(forms.Form):
    """A lesson; each case may have its place in a field of its own, ``place-oll-27``."""

    on = forms.DateField(
        input_formats=["%Y-%m-%d"],
        widget=DAY,
        error_messages={"required": "Choose the day of the lesson."},
    )
    title = forms.CharField(max_length=100, error_messages={"required": "Give the lesson a title."})
    note = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
    )
    member = MembersField()
    case = CasesField(error_messages={"required": "Choose at least one case."})

    def plan(self) -> LessonPlan:
        """What was filled in, its cases by their places and then as they came."""
        values = self.cleaned_data
        chosen: list[CaseId] = values["case"]
        cases = sorted(chosen, key=self._place)
        return LessonPlan(
            on=values["on"],
            title=values["title"],
            note=values["note"],
            membership_ids=tuple(values["member"]),
            cases=tuple((case, self._reason(case)) for case in cases),
        )

    def _place(self, case: CaseId) -> int:
        text = str(self.data.get(f"place-{case.stage}-{case.number}", ""))
        return int(text) if text.isascii() and text.isdecimal() and len(text) < 4 else 999

    def _reason(self, case: CaseId) -> str:
        return str(self.data.get(f"reason-{case.stage}-{case.number}", ""))[:300]
