"""Which cases an evening should hold: what those who come are missing most, look-alikes apart."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from logs.cases.facts import Traits
from logs.limits import PROPOSED_CASES

Missing = Mapping[str, float]
"""By case, what a member is missing in one solve: chance of the case times what does not go in one
look, for an hour of learning it. Cases that go in one look are not in it."""


FITS_FROM = 0.6
"""One list suits a group where it brings each, on average, so much of what their own would."""


GROUPS_GAIN = 0.15
"""Two groups are named where their lists bring so much more than the one list: our own choice."""


FEWEST_IN_GROUP = 2


@dataclass(frozen=True, slots=True)
class Proposal:
    """Cases in the order to be taught.

    Attributes:
        cases: Codes of the cases.
        left_out: Code of each case that waits for another evening, with its look-alike's.
    """

    cases: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Members whom one list suits.

    Attributes:
        members: Their keys.
        cases: Codes of the cases in the order to be taught.
    """

    members: tuple[int, ...]
    cases: tuple[str, ...]


def propose(
    missing: Mapping[int, Missing],
    *,
    traits: Mapping[str, Traits],
    most: int = PROPOSED_CASES,
) -> Proposal:
    """The cases for an evening.

    Each member weighs alike: a case counts as a share of what they are missing most, so neither a
    slow member nor one who knows little decides for all. The largest sums are taken, but never two
    look-alikes; then families are put together, each where its first case stood.

    Args:
        missing: Of those who will come and whose logs tell, by a key.
        traits: Of every case.
        most: How many cases at most.
    """
    sums: dict[str, float] = {}
    for key in sorted(missing):
        largest = max(missing[key].values(), default=0.0)
        for code, value in missing[key].items():
            sums[code] = sums.get(code, 0.0) + value / largest
    chosen: list[str] = []
    left_out: list[tuple[str, str]] = []
    for code in sorted(sums, key=lambda code: (-round(sums[code], 12), code)):
        if len(chosen) == most:
            break
        rivals = [other for other in chosen if other in traits[code].look_alikes]
        if rivals:
            left_out.append((code, rivals[0]))
        else:
            chosen.append(code)
    families = list(dict.fromkeys(traits[code].family for code in chosen))
    in_order = sorted(chosen, key=lambda code: families.index(traits[code].family))
    return Proposal(tuple(in_order), tuple(left_out))


def fit(wanted: Missing, cases: Collection[str], *, most: int = PROPOSED_CASES) -> float:
    """What a list brings a member, as a share of what their own list would; 1 with nothing missing."""
    own_list = sum(sorted(wanted.values(), reverse=True)[:most])
    return sum(wanted.get(code, 0.0) for code in cases) / own_list if own_list else 1.0


def two_groups(
    missing: Mapping[int, Missing],
    *,
    traits: Mapping[str, Traits],
    most: int = PROPOSED_CASES,
) -> tuple[Group, ...]:
    """Two groups where one list would suit nobody; none where it suits, or two would be no better.

    Groups are told by what members are missing, not by speed: begun with the two whose lists have
    least in common, everybody goes where the list brings them more, until nobody moves.
    """
    if len(missing) < 2 * FEWEST_IN_GROUP:
        return ()

    def list_of(keys: Collection[int]) -> tuple[str, ...]:
        return propose({key: missing[key] for key in keys}, traits=traits, most=most).cases

    together = _mean_fit(missing, list_of(missing), most)
    if together >= FITS_FROM:
        return ()
    groups = _settle(missing, list_of, most)
    if min(len(group.members) for group in groups) < FEWEST_IN_GROUP:
        return ()
    apart = sum(
        fit(missing[key], group.cases, most=most) for group in groups for key in group.members
    ) / len(missing)
    return groups if apart >= together + GROUPS_GAIN else ()


def _mean_fit(missing: Mapping[int, Missing], cases: Sequence[str], most: int) -> float:
    return sum(fit(wanted, cases, most=most) for wanted in missing.values()) / len(missing)


def _settle(
    missing: Mapping[int, Missing], list_of: Callable[[Collection[int]], tuple[str, ...]], most: int
) -> tuple[Group, ...]:
    alone = {key: list_of([key]) for key in sorted(missing)}
    first, second = min(
        combinations(alone, 2), key=lambda pair: len({*alone[pair[0]]} & {*alone[pair[1]]})
    )
    lists = (alone[first], alone[second])
    sides: tuple[tuple[int, ...], ...] = ()
    for _ in range(10):
        left = tuple(
            key
            for key, wanted in sorted(missing.items())
            if fit(wanted, lists[0], most=most) >= fit(wanted, lists[1], most=most)
        )
        right = tuple(key for key in sorted(missing) if key not in left)
        if (left, right) == sides or not left or not right:
            sides = (left, right)
            break
        sides = (left, right)
        lists = (list_of(left), list_of(right))
    return tuple(Group(side, cases) for side, cases in zip(sides, lists, strict=True))
