"""Clubs: members who differ in speed alone or in cases too; slips that are even, or of one member."""

from collections import Counter
from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from logs.club.report.own_speed import Speed, named_cells
from logs.solves.figures.mistakes import LIMIT, cell_findings
from logs.stats.two_way import CellSums, own_effects
from tests.logs.stats.worked import OLL_CHANCES

Floats = npt.NDArray[np.float64]

N_MEMBERS, N_SHOWN = 8, 4
CASE_SD, SIGMA = 0.25, 0.22
CHANCES: Final = np.array(list(OLL_CHANCES.values()))


class ComparePage(NamedTuple):
    """What a page says, and what is true of it.

    Attributes:
        n_named: Cells called slow.
        n_true: Those of them that are slow for their member's own speed.
        held: Share of all cells whose 80 % range holds what is true of them.
    """

    n_named: int
    n_true: int
    held: float


def compare_pages(
    n: int, seed: int, *, own_sd: float, n_solves: int = 400
) -> Iterator[ComparePage]:
    """What pages of four members, out of a club of eight, call slow.

    Args:
        n: Pages.
        seed: Of the draws.
        own_sd: How far a member's time of a case departs from their speed and the case, in logs.
        n_solves: Solves of each member, by whose number cases come up.
    """
    rng = np.random.default_rng(seed)
    for _ in range(n):
        shape = (N_MEMBERS, CHANCES.size)
        usual = rng.normal(0, 0.3, N_MEMBERS)[:, None] + rng.normal(0, CASE_SD, CHANCES.size)
        own = own_sd * rng.standard_normal(shape)
        is_known = rng.random(shape) < rng.uniform(0.5, 1, N_MEMBERS)[:, None]
        counts = rng.poisson(n_solves * CHANCES, shape) * is_known
        sums = {}
        for member, case in np.argwhere(counts):
            logs = rng.normal((usual + own)[member, case], SIGMA, counts[member, case])
            squares = float(((logs - logs.mean()) ** 2).sum())
            sums[int(member), str(case)] = CellSums(len(logs), float(logs.mean()), squares)
        found = own_effects(sums, shown=frozenset(range(N_SHOWN)))
        assert found is not None
        true = np.array([own[member, int(case)] for member, case in found.cells])
        is_slow = np.array([cell.speed is Speed.SLOW for cell in named_cells(found)])
        low, high = found.effects.quantile(0.1), found.effects.quantile(0.9)
        held = float(np.mean((low <= true) & (true <= high)))
        yield ComparePage(int(is_slow.sum()), int((true[is_slow] > 0).sum()), held)


LOOK_ALIKES: Final = (1, 7, 20)
"""Each case looks like those so many places on."""


class MistakenPage(NamedTuple):
    """What a page tells as mistaken, and how much of it is."""

    n_told: int
    n_true: int
    n_there: int


def mistaken_pages(
    n: int, seed: int, *, even: float, n_confused: int = 0, n_solves: int = 400
) -> Iterator[MistakenPage]:
    """What pages of a club of thirteen tell of cases taken for one another.

    Args:
        n: Pages.
        seed: Of the draws.
        even: How often each look at a known case goes wrong, spread evenly over its look-alikes.
        n_confused: Cases of each member that they take for a look-alike 12 to 30 times in 100.
        n_solves: Solves of each member.
    """
    rng = np.random.default_rng(seed)
    for _ in range(n):
        own: dict[tuple[int, int], dict[int, tuple[int, int]]] = {}
        own_looks: Counter[int] = Counter()
        looks_of_all: Counter[int] = Counter()
        rates = np.full((13, CHANCES.size, len(LOOK_ALIKES)), even / len(LOOK_ALIKES))
        for member in range(13):
            confused = rng.choice(CHANCES.size, n_confused, replace=False)
            rates[member, confused, 0] = rng.uniform(0.12, 0.30, n_confused)
        looks = rng.poisson(n_solves * CHANCES, (13, CHANCES.size))
        looks *= rng.random(looks.shape) < 0.6
        for member, case in np.argwhere(looks):
            of = int(looks[member, case])
            own_looks[of] += CHANCES.size - 1
            shares = rates[member, case]
            for alike, times in enumerate(rng.multinomial(of, [*shares, 1 - shares.sum()])[:-1]):
                if times:
                    done = int(case + LOOK_ALIKES[alike]) % CHANCES.size
                    own.setdefault((int(case), done), {})[int(member)] = (int(times), of)
        for of in looks.sum(axis=0).tolist():
            looks_of_all[of] += CHANCES.size - 1
        of_all = {
            cell: (sum(x for x, _ in by.values()), int(looks[:, cell[0]].sum()))
            for cell, by in own.items()
        }
        said = cell_findings(own, of_all, own_looks=own_looks, looks_of_all=looks_of_all)
        told = [(cell, one) for cell, found in said.items() for one in found.sure]
        together = [cell for cell, found in said.items() if found.is_finding and not found.sure]
        n_true = sum(
            rates[member, cell[0], LOOK_ALIKES.index((cell[1] - cell[0]) % CHANCES.size)] > LIMIT
            for cell, member in told
        )
        yield MistakenPage(len(told) + len(together), int(n_true), 13 * n_confused)
