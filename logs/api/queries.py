"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.http import QueryDict
from rest_framework import serializers

from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.analytics.cases import CaseOrder
from logs.analytics.standing import Standing
from logs.reports.case_facts import cases_by_code
from logs.reports.case_pages import all_case_titles
from logs.reports.compare import MOST, Part
from logs.reports.practice_pools import HOMEWORK, standing_pools
from logs.reports.standing_grid import families_of

Query = serializers.Serializer[Any]
MAX_PAGE = 1_000_000


class Items(serializers.ListField):
    """Several of one kind. Too many are refused before one is looked at; each has the same name."""

    def get_value(self, dictionary: Mapping[str, Any]) -> Any:  # noqa: ANN401 - as the framework's
        """What was sent under the field's name, in an address every one of them."""
        name = self.field_name or ""
        if isinstance(dictionary, QueryDict) and name in dictionary:
            return dictionary.getlist(name)
        return dictionary.get(name, serializers.empty)

    def to_internal_value(self, data: Any) -> list[Any]:  # noqa: ANN401 - as the framework's
        """The items as read.

        Raises:
            ValidationError: It is no list, there are too many, or one cannot be read.
        """
        if self.max_length is not None and isinstance(data, list) and len(data) > self.max_length:
            self.fail("max_length", max_length=self.max_length)
        items: list[Any] = super().to_internal_value(data)
        return items


def choice(values: Iterable[str], default: str, words: str) -> serializers.ChoiceField:
    """One of ``values``, ``default`` when not asked for."""
    return serializers.ChoiceField([str(one) for one in values], default=default, help_text=words)


def pool_choice(words: str) -> serializers.ChoiceField:
    """What to practise or to drill: homework, a set or family, or a case."""
    pools = (pool.code for pool in standing_pools())
    return choice(["", HOMEWORK, *pools, *cases_by_code()], "", words)


class PageQuery(Query):
    """A page of a list."""

    page = serializers.IntegerField(
        min_value=1, max_value=MAX_PAGE, default=1, help_text="Which page, the first being 1."
    )


class SolvesQuery(PageQuery):
    """Solves of a kind, or that met a case."""

    kind = choice(["", *Kind], "", "Only solves, or only drills.")
    case = serializers.ChoiceField(
        ["", *(code for code, _ in all_case_titles())],
        default="",
        help_text="Only solves that met this case, such as oll-27 or pll-skip.",
    )


class StageQuery(Query):
    """One set of cases."""

    stage = choice(Stage, Stage.OLL, "The set of cases.")


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


class ProgressQuery(FamilyQuery):
    """What of a member's progress."""

    order = choice(CaseOrder, CaseOrder.COST, "The order of the cases.")
    looks = choice(["all", "one"], "all", "Times of all sightings, or of those in one look.")


class ClubQuery(FamilyQuery):
    """What of a club's coverage."""

    standing = choice(["", *Standing], "", "Only cells of this standing.")
    names = choice(["shown", "hidden"], "shown", "Letters in the place of names.")


class NamesQuery(Query):
    """Whether names are hidden."""

    names = choice(["shown", "hidden"], "shown", "Letters in the place of names.")


class CompareQuery(StageQuery):
    """Whom to compare, on what."""

    member = Items(
        child=serializers.IntegerField(min_value=0, max_value=10**9),
        default=list,
        max_length=10 * MOST,
        help_text=f"Membership ids; at most {MOST} are compared.",
    )
    part = choice(Part, Part.RECOGNITION, "Which part of a look.")
    names = choice(["shown", "hidden"], "shown", "Letters in the place of names.")


class AngleQuery(Query):
    """From where a case is seen."""

    angle = serializers.IntegerField(
        min_value=0, max_value=3, default=None, help_text="Quarter turns from its hold."
    )


class ProposalQuery(Query):
    """Who comes to a lesson."""

    member = Items(
        child=serializers.IntegerField(min_value=0, max_value=10**9),
        default=list,
        max_length=200,
        help_text="Membership ids of those who come.",
    )


class TriedQuery(Query):
    """An algorithm to try out against the book."""

    tried = serializers.CharField(
        default="", allow_blank=True, max_length=500, help_text="An algorithm to try out."
    )
