"""Members by cases: what a member's speed and a case's length do not explain.

Each cell's mean log time is ``level + member + case + own + noise``: any member may be fast, cases
lie ``tau`` apart for everybody, ``own`` is what this member is slow at beyond both, ``N(0, own^2)``,
and the noise is that of the member's sightings. All of it is normal, so that for a given tau and own
the answer is exact; both are averaged over on a grid, flat on each sd (Gelman 2006). Source: mixed
models with crossed effects, Gelman and Hill 2007, ch. 13; each member's own variance is drawn towards
the club's, as Smyth 2004 has it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from logs.stats.distributions import Floats, NormalMixture

_TAUS: Final = np.linspace(0.05, 0.8, 8)


_OWNS: Final = np.linspace(0.0, 0.63, 15) ** 1.5


_FLAT = 1e-6
"""Precision of what is not drawn anywhere: a member's speed."""


_LEAST_SD: Final = 0.02
"""No hand is surer: equal times are few, not exact."""


VARIANCE_WORTH = 10.0
"""A club's variance counts as much as so many sightings of a member."""


@dataclass(frozen=True, slots=True)
class CellSums:
    """The times of one member at one case, all done the same way.

    Attributes:
        n: How many, at least 1.
        mean: Mean of their logs.
        square_sum: Sum of squares about it.
    """

    n: int
    mean: float
    square_sum: float


@dataclass(frozen=True, slots=True, eq=False)
class OwnEffects:
    """What each cell departs from its member's speed and its case.

    Attributes:
        cells: Names of the cells, member and case.
        effects: Log of the time over what both would have it take; one column a cell.
    """

    cells: tuple[tuple[int, str], ...]
    effects: NormalMixture

    def means(self) -> Floats:
        """Expected effect of each cell."""
        return np.asarray(self.effects.weights @ self.effects.means, dtype=float)


def own_effects(
    sums: Mapping[tuple[int, str], CellSums], *, shown: frozenset[int]
) -> OwnEffects | None:
    """The own effects of the members ``shown``; None without their times, or no case timed by two.

    Args:
        sums: Of every member and case with a time.
        shown: Members whose cells are wanted; the others tell how long a case takes.
    """
    members = sorted({member for member, _ in sums})
    cases = sorted({case for _, case in sums})
    by_case = [sum(case == own for _, own in sums) for case in cases]
    if len(members) < 2 or max(by_case) < 2:
        return None
    n, mean = np.zeros((len(members), len(cases))), np.zeros((len(members), len(cases)))
    squares = np.zeros(len(members))
    for (member, case), cell in sums.items():
        row, column = members.index(member), cases.index(case)
        n[row, column], mean[row, column] = cell.n, cell.mean
        squares[row] += cell.square_sum
    variance = _variances(n, squares)
    wanted = [member for member in members if member in shown]
    rows = [members.index(member) for member in wanted]
    at = [(row, int(column)) for row in rows for column in np.flatnonzero(n[row])]
    if not at:
        return None
    nodes = [_node(n, mean, variance, tau, own, at) for tau in _TAUS for own in _OWNS]
    log_weights = np.array([node[0] for node in nodes])
    weights = np.exp(log_weights - log_weights.max())
    # midpoints of an uneven grid: each node stands for the stretch round it
    weights = weights * np.tile(np.gradient(_OWNS), len(_TAUS))
    mixture = NormalMixture(
        weights / weights.sum(),
        np.array([node[1] for node in nodes]),
        np.sqrt(np.array([node[2] for node in nodes])),
    )
    return OwnEffects(tuple((members[row], cases[column]) for row, column in at), mixture)


def _variances(n: Floats, squares: Floats) -> Floats:
    """Each member's variance within a case, drawn towards the club's; shape (members,)."""
    degrees = (n - (n > 0)).sum(axis=1)
    club = squares.sum() / degrees.sum() if degrees.sum() else 0.05
    drawn = (squares + VARIANCE_WORTH * club) / (degrees + VARIANCE_WORTH)
    return np.asarray(np.maximum(drawn, _LEAST_SD**2), dtype=float)


def _node(
    n: Floats,
    mean: Floats,
    variance: Floats,
    tau: float,
    own: float,
    at: list[tuple[int, int]],
) -> tuple[float, Floats, Floats]:
    """Log likelihood of a tau and an own, and mean and variance of the cells' own effects there.

    The normal equations of members and cases, members eliminated: they stand on the diagonal.
    """
    has = n > 0
    spread = np.where(has, own**2 + variance[:, None] / np.where(has, n, 1.0), 1.0)
    precision = np.where(has, 1 / spread, 0.0)
    by_member = precision.sum(axis=1) + _FLAT
    to_case = precision / by_member[:, None]
    information = np.diag(precision.sum(axis=0) + 1 / tau**2) - precision.T @ to_case
    moment_member = (precision * mean).sum(axis=1)
    moment = (precision * mean).sum(axis=0) - to_case.T @ moment_member
    covariance = np.linalg.inv(information)
    case = covariance @ moment
    member = (moment_member - precision @ case) / by_member
    left = mean - member[:, None] - case[None, :]
    log_likelihood = 0.5 * (
        np.log(precision[has]).sum()
        - (precision * left**2).sum()
        - (case**2).sum() / tau**2
        - n.shape[1] * np.log(tau**2)
        - np.linalg.slogdet(information)[1]
        - np.log(by_member).sum()
    )
    rows, columns = np.array(at).T
    # Var(member + case) of a cell: member = free part - to_case' case
    lean = -to_case[rows]
    lean[np.arange(len(rows)), columns] += 1
    doubt = np.einsum("kc,cd,kd->k", lean, covariance, lean) + 1 / by_member[rows]
    weight = own**2 * precision[rows, columns]
    means = weight * left[rows, columns]
    return float(log_likelihood), means, own**2 * (1 - weight) + weight**2 * doubt
