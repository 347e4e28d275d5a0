"""The forms of a coach's desk: homework, lessons, reasons, words on what is next."""

from typing import Any

from django import forms

from cubecore.cases import CaseId
from logs.cases.facts import case_of, cases_by_code


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
