"""What the tables hold of a case that can be taught: its stage and its number or letters."""

from django.db.models import Q

from cubecore.cases import CASES, Stage


def case_known() -> Q:
    """Holds where ``stage`` and ``case`` name a case; a skip is none."""
    known = Q()
    for stage in Stage:
        numbers = [str(case.number) for case in CASES if case.stage is stage]
        known |= Q(stage=stage.value, case__in=numbers)
    return known
