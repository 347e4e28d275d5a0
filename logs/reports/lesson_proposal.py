"""Which cases an evening should hold: what those who come gain most from, look-alikes apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from logs.analytics.teaching_order import Traits
from logs.reports.case_facts import cases_by_code, chance_of
from logs.reports.ranking import Gains

MAX_CASES = 10


@dataclass(frozen=True, slots=True)
class Proposed:
    """A case for the evening.

    Attributes:
        code: The case.
        members: Those who do not do it in one look yet and would gain.
        per_100_s: What those of them whose times are known would save together, in 100 solves.
    """

    code: str
    members: tuple[str, ...]
    per_100_s: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """Cases in the order to be taught, and those left out as ``(code, look-alike in it)``."""

    cases: tuple[Proposed, ...]
    left_out: tuple[tuple[str, str], ...]


def propose(
    gains: Mapping[str, Gains], *, traits: Mapping[str, Traits], most: int = MAX_CASES
) -> Proposal:
    """The cases for an evening.

    Each member weighs alike: their gain for an hour of learning counts as a share of their own
    largest, so that a slow member does not decide for all. Where a member's times are not known,
    the chance of the case times what does not go in one look stands in. The largest sums are taken,
    but never two look-alikes; then families are put together, each where its first case stood.

    Args:
        gains: Of those who will come, by name.
        traits: Of every case.
        most: How many cases at most.
    """
    shares: dict[str, dict[str, float]] = {}
    for name in sorted(gains):
        for code, share in _shares(gains[name]).items():
            shares.setdefault(code, {})[name] = share
    ranked = sorted(shares, key=lambda code: (-sum(shares[code].values()), code))
    chosen: list[str] = []
    left_out: list[tuple[str, str]] = []
    for code in ranked:
        if len(chosen) == most:
            break
        rivals = [other for other in chosen if other in traits[code].look_alikes]
        if rivals:
            left_out.append((code, rivals[0]))
        else:
            chosen.append(code)
    return Proposal(
        tuple(
            Proposed(code, tuple(shares[code]), _together(gains, code))
            for code in _by_family(chosen, traits)
        ),
        tuple(left_out),
    )


def _shares(gains: Gains) -> dict[str, float]:
    """The member's gain from each case as a share of their largest; none below 0."""
    values = {one.case: one.value_ms / one.effort_h for one in gains.candidates}
    if not values:
        values = {
            str(code): chance_of(cases_by_code()[str(code)]) * (1 - rate)
            for code, rate in gains.table["rate"].items()
        }
    largest = max(values.values(), default=0.0)
    return {code: value / largest for code, value in values.items() if value > 0}


def _together(gains: Mapping[str, Gains], code: str) -> float:
    return sum(
        one.value_ms / 10
        for found in gains.values()
        for one in found.candidates
        if one.case == code and one.value_ms > 0
    )


def _by_family(chosen: Sequence[str], traits: Mapping[str, Traits]) -> list[str]:
    families = list(dict.fromkeys(traits[code].family for code in chosen))
    return sorted(chosen, key=lambda code: families.index(traits[code].family))
