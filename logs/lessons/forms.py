"""The form of a lesson."""

from typing import Any

from django import forms

from cubecore.cases import CaseId
from logs.cases.forms import CasesField
from logs.homework.forms import DAY, MembersField
from logs.lessons.services import LessonPlan
from logs.limits import NOTE, REASON, TITLE


class LessonForm(forms.Form):
    """A lesson; each case may have its place in a field of its own, ``place-oll-27``."""

    on = forms.DateField(
        input_formats=["%Y-%m-%d"],
        widget=DAY,
        error_messages={"required": "Choose the day of the lesson."},
    )
    title = forms.CharField(
        max_length=TITLE, error_messages={"required": "Give the lesson a title."}
    )
    note = forms.CharField(
        required=False, max_length=NOTE, widget=forms.Textarea(attrs={"rows": 3})
    )
    guests = forms.CharField(required=False, max_length=NOTE)
    member = MembersField()
    case = CasesField(error_messages={"required": "Choose at least one case."})

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["member"].required = not self.data.get("guests", "").strip()

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
            guests=values["guests"],
        )

    def _place(self, case: CaseId) -> int:
        text = str(self.data.get(f"place-{case.stage}-{case.number}", ""))
        return int(text) if text.isascii() and text.isdecimal() and len(text) < 4 else 999

    def _reason(self, case: CaseId) -> str:
        return str(self.data.get(f"reason-{case.stage}-{case.number}", ""))[:REASON]
