"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import CaseId, Stage
from logs.cases.facts import case_of, cases_by_code, families_of
from logs.cases.report import StageInformation, information_report
from logs.http.api import ApiView, answers
from logs.http.pages import Items, StageQuery


class FamilyQuery(StageQuery):
    """A set of cases, or one family of it."""

    family = serializers.CharField(
        default="", allow_blank=True, max_length=60, help_text="Only this family of the set."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Hold the family to the set.

        Raises:
            ValidationError: The set has no such family.
        """
        known = families_of(Stage(attrs["stage"]))
        if attrs["family"] not in ("", *known):
            raise serializers.ValidationError({"family": f"One of {', '.join(known)}."})
        return attrs


class Information(ApiView):
    """What each look gives away."""

    @answers(StageInformation, is_list=True)
    def get(self, request: Request) -> tuple[StageInformation, ...]:
        """What each look at the last layer gives away, in bits."""
        return information_report()


class CaseField(serializers.ChoiceField):
    """A case by its code, such as oll-27; read as its `CaseId`."""

    def __init__(self, **said: Any) -> None:
        super().__init__(list(cases_by_code()), **said)

    def to_internal_value(self, data: Any) -> CaseId:  # type: ignore[override]  # noqa: ANN401 - as above
        """The case."""
        case = case_of(super().to_internal_value(data))
        assert case is not None
        return case.id


def _cases() -> Items:
    return Items(child=CaseField(), max_length=20, help_text="Such as oll-27.")
