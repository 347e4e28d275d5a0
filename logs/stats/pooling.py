"""Times of cases now, by partial pooling: each case leans on the member's other cases as it must.

Within a member ``ln(time) = theta_case + drift + day + e``, ``e ~ N(0, sigma^2)``, ``theta ~
N(mu_case, tau^2)``. Sources: Efron and Morris 1975 (JASA 70); Gelman et al., Bayesian Data Analysis
3rd ed., ch. 5; Fay and Herriot 1979 for the regression of ``mu_case`` on the turns.

Members get faster and slower: all their cases share a random walk over the blocks of their log, which
is 0 in the newest block, so that theta is the time *now*; and each block has an effect of its own,
as no two sittings are alike (structural time series: Harvey 1989). All of it is normal, so for given
ratios of the spreads the answer is exact: best linear unbiased prediction (Robinson 1991).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from logs.stats.distributions import Floats

BLOCKS = 32
"""A log is cut into at most so many blocks."""


BLOCK_OF = 4
"""A block has at least so many sightings."""


SLOPE = 1.0


SLOPE_SD = 0.5
"""Twice the turns take twice as long, give or take: what is believed before times are seen."""


def blocks_ago(n: int) -> npt.NDArray[np.int64]:
    """For each of ``n`` sightings in the order of time how many blocks ago it was; the newest 0."""
    n_blocks = min(BLOCKS, max(1, n // BLOCK_OF))
    return n_blocks - 1 - np.arange(n, dtype=np.int64) * n_blocks // max(n, 1)


@dataclass(frozen=True, slots=True, eq=False)
class CaseSums:
    """All that pooling needs of a member's times.

    Attributes:
        cases: Their names, in order.
        counts: Sightings of each by block; rows of 0 for a case that was never timed.
        sums: Sum of their ln seconds, less the offset.
        square_sum: Sum of squares of all of these.
        within: Sum of squares within the cases.
        design: One row a case: 1, and ln turns where the centre follows them.
        offset: Known part of ln seconds of each case, taken out before pooling.
    """

    cases: tuple[str, ...]
    counts: Floats
    sums: Floats
    square_sum: float
    within: float
    design: Floats
    offset: Floats

    @property
    def n(self) -> Floats:
        """Sightings of each case."""
        return np.asarray(self.counts.sum(axis=1), dtype=float)


def case_sums(
    times_ms: pd.Series,
    *,
    cases: Sequence[str] = (),
    turns: Mapping[str, int] | None = None,
    expected_ms: Mapping[str, float] | None = None,
    blocks: npt.ArrayLike | None = None,
) -> CaseSums:
    """The sums of a member's times of one kind: recognition, execution or whole stage.

    Args:
        times_ms: float64 ms above 0, indexed by case, any order; NaN is left out. All done the same
            way: in solves or in drills, in one look or in more.
        cases: Cases wanted beside those that were timed.
        turns: Turns of each case's algorithm, which their centre follows.
        expected_ms: What is expected of each case before its own times are looked at; pooled is
            then the departure from it.
        blocks: How many blocks ago each time was, as from `blocks_ago` of the whole log; None where
            nothing is known of that, which is all in one.

    Raises:
        ValueError: A time is not above 0, or a case is missing from ``turns`` or ``expected_ms``.
    """
    is_timed = times_ms.notna().to_numpy()
    times = times_ms.to_numpy(dtype=float)[is_timed]
    if (times <= 0).any():
        raise ValueError(f"times_ms has {times.min()} ms: every time must be above 0")
    index = times_ms.index.astype(str).to_numpy()[is_timed]
    names = tuple(sorted({*map(str, index), *cases}))
    offset = np.zeros(len(names))
    if expected_ms is not None:
        offset = np.log([_of(expected_ms, name, "expected_ms") / 1000 for name in names])
    case = np.searchsorted(np.array(names, dtype=str), index) if names else np.zeros(0, int)
    ago = np.zeros(times.size, int) if blocks is None else np.asarray(blocks)[is_timed]
    logs = np.log(times / 1000) - offset[case]
    order = np.lexsort((logs, ago, case))  # sums then hang on no order of sightings
    case, ago, logs = case[order], ago[order], logs[order]
    shape = (len(names), int(ago.max(initial=0)) + 1)
    counts, sums = np.zeros(shape), np.zeros(shape)
    np.add.at(counts, (case, ago), 1.0)
    np.add.at(sums, (case, ago), logs)
    means = sums.sum(axis=1) / np.maximum(counts.sum(axis=1), 1)
    within = float(((logs - means[case]) ** 2).sum())
    design = _design(names, counts.sum(axis=1), turns)
    return CaseSums(names, counts, sums, float(logs @ logs), within, design, np.asarray(offset))


def _of(values: Mapping[str, float], case: str, what: str) -> float:
    if case not in values:
        raise ValueError(f"{what} has no entry for case {case!r}: give one for every case")
    return float(values[case])


def _design(names: tuple[str, ...], n: Floats, turns: Mapping[str, int] | None) -> Floats:
    ones = np.ones((len(names), 1))
    if turns is None or not names:
        return ones
    log_turns = np.log([_of(turns, name, "turns") for name in names])
    return np.column_stack(
        [ones, log_turns - np.average(log_turns, weights=n if n.any() else None)]
    )


@dataclass(frozen=True, slots=True, eq=False)
class Ratios:
    """Spreads over sigma, one of each a node; shape (nodes,).

    Attributes:
        cases: tau, how far cases lie apart; above 0.
        drift: sd of the walk over a whole log of ``BLOCKS`` blocks.
        block: sd of a block's own effect.
    """

    cases: Floats
    drift: Floats
    block: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Conditional:
    """What the model says at each of some nodes; shapes (nodes, ...).

    Attributes:
        means: Time of each case now, ln seconds.
        unit_sds: Its standard deviation over sigma.
        weights: ``n / (n + 1 / tau^2)``, tau over sigma: how far a case stands on its own feet.
        square_sum: Generalised residual sum of squares.
        degrees: Of freedom of it.
        log_likelihood: Restricted log likelihood but for what hangs on sigma, up to a constant.
    """

    means: Floats
    unit_sds: Floats
    weights: Floats
    square_sum: Floats
    degrees: int
    log_likelihood: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Blocks:
    """The blocks at each node, cases integrated out: all over sigma^2.

    Attributes:
        whiten: ``R`` with ``R' R`` the covariance of the blocks' effects once times are seen.
        log_determinant: Of their precision over their prior's.
        products: Of design and times with each other, cases and blocks integrated out.
        design: What a block's times weigh on the design, and on the times.
    """

    whiten: Floats
    log_determinant: Floats
    products: Floats
    design: Floats


def conditional(sums: CaseSums, at: Ratios) -> Conditional:
    """Times of all cases now given the ratios, the doubt of centre and slope included.

    Args:
        sums: At least one timed case.
        at: The nodes.
    """
    n, x, p = sums.n, sums.design, sums.design.shape[1]
    shrink = 1 / (n + 1 / at.cases[:, None] ** 2)
    blocks = _blocks(sums, at, shrink)
    products = blocks.products + _slope_prior(sums)
    inverse = np.linalg.inv(products[:, :p, :p])
    coefficients = np.einsum("gij,gj->gi", inverse, products[:, :p, p])
    square_sum = products[:, p, p] - np.einsum("gi,gi->g", products[:, :p, p], coefficients)
    # Effects of the blocks, and what is left of each case once they and the centre are taken out.
    unexplained = blocks.design[:, :, p] - np.einsum(
        "gsp,gp->gs", blocks.design[:, :, :p], coefficients
    )
    effects = np.einsum(
        "gts,gt->gs", blocks.whiten, np.einsum("gts,gs->gt", blocks.whiten, unexplained)
    )
    fitted = coefficients @ x.T
    own = shrink * (sums.sums.sum(axis=1) - n * fitted - effects @ sums.counts.T)
    spread = blocks.whiten @ sums.counts.T
    lean = np.swapaxes(spread, 1, 2) @ (blocks.whiten @ blocks.design[:, :, :p])
    lever = x - shrink[:, :, None] * (n[:, None] * x - lean)
    doubt = np.einsum("gcp,gpq,gcq->gc", lever, inverse, lever, optimize=True)
    variance = shrink + shrink**2 * (spread**2).sum(axis=1) + doubt
    log_likelihood = -0.5 * (
        np.log1p(n * at.cases[:, None] ** 2).sum(axis=1)
        + blocks.log_determinant
        + np.linalg.slogdet(products[:, :p, :p])[1]
    )
    return Conditional(
        means=fitted + own + sums.offset,
        unit_sds=np.sqrt(variance),
        weights=n * shrink,
        square_sum=np.maximum(square_sum, 0.0),
        degrees=int(n.sum()) - 1,
        log_likelihood=log_likelihood,
    )


def _slope_prior(sums: CaseSums) -> Floats:
    """What is believed of the slope, as products over sigma^2; nothing of the centre."""
    p = sums.design.shape[1]
    prior = np.zeros((p + 1, p + 1))
    if p > 1:
        degrees = sums.n.sum() - np.count_nonzero(sums.n)
        variance = (sums.within + 0.04) / (degrees + 1)
        precision = variance / SLOPE_SD**2
        prior[1, 1], prior[1, p] = precision, precision * SLOPE
        prior[p, 1], prior[p, p] = precision * SLOPE, precision * SLOPE**2
    return prior


def _blocks(sums: CaseSums, at: Ratios, shrink: Floats) -> _Blocks:
    """Integrate cases and blocks out (Woodbury's identity, once for each)."""
    counts, n = sums.counts, sums.n
    x = np.column_stack([n[:, None] * sums.design, sums.sums.sum(axis=1)])
    plain = np.zeros((x.shape[1], x.shape[1]))
    plain[:-1, :-1] = sums.design.T @ x[:, :-1]
    plain[:-1, -1] = plain[-1, :-1] = sums.design.T @ x[:, -1]
    plain[-1, -1] = sums.square_sum
    products = plain - np.einsum("gc,ci,cj->gij", shrink, x, x, optimize=True)
    by_block = np.column_stack([counts.T @ sums.design, sums.sums.sum(axis=0)])
    design = by_block - np.einsum("gc,cs,ci->gsi", shrink, counts, x, optimize=True)
    precision = np.diag(counts.sum(axis=0)) - np.einsum(
        "gc,cs,ct->gst", shrink, counts, counts, optimize=True
    )
    ago = np.arange(counts.shape[1], dtype=float)
    walk = np.minimum(ago[:, None], ago) / (BLOCKS - 1)
    unit = np.eye(ago.size)
    prior = at.drift[:, None, None] ** 2 * walk + (at.block[:, None, None] ** 2 + 1e-9) * unit
    root = np.linalg.cholesky(prior)
    turned = np.swapaxes(root, 1, 2)
    inner = np.linalg.cholesky(unit + turned @ precision @ root)
    whiten = np.linalg.solve(inner, turned)
    seen = whiten @ design
    return _Blocks(
        whiten=whiten,
        log_determinant=2 * np.log(np.diagonal(inner, axis1=1, axis2=2)).sum(axis=1),
        products=products - np.swapaxes(seen, 1, 2) @ seen,
        design=design,
    )
