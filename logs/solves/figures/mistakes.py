"""What a look was in place of the algorithm of the case it met. Nothing here touches the database.

Which case is taken for which: misfires the engine could name, with how sure they make one.
"""

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.optimize import minimize
from scipy.special import betaln
from scipy.stats import beta as beta_distribution

from cubecore.outcomes import Outcome
from cubecore.words import Word
from logs.solves.figures.standing import RatePrior
from logs.stats.distributions import Floats
from logs.stats.rates import worth_saying

KNOWN_FOR_US: Final = 365 * 24 * 3600 * 1_000_000
"""For how long a case that went in one look counts as known: a year, in microseconds."""
STEP_FROM: Final = 3
"""An algorithm that somebody makes first where so many other cases show, and does not finish by, is
how they take a step (a setting of ours): it tells nothing of what they took the case for."""


class MistakeKind(Word):
    """Another case's algorithm, or the case's own from a wrong hold."""

    OTHER_CASE = "other_case"
    WRONG_HOLD = "wrong_hold"


class Mistake(NamedTuple):
    """What a look was in place of the shown case's own algorithm.

    Attributes:
        done_stage: Stage of the case whose algorithm it was.
        done: That case.
        misfire_kind: A `MistakeKind`.
    """

    done_stage: str
    done: str
    misfire_kind: str


class Cell(NamedTuple):
    """What was shown and what was done in its place."""

    stage: str
    shown: str
    done_stage: str
    done: str
    misfire_kind: str

    @property
    def back(self) -> "Cell":
        """The other way round."""
        return Cell(self.done_stage, self.done, self.stage, self.shown, self.misfire_kind)


class FirstLook(NamedTuple):
    """What a first look may have been mistaken for.

    Attributes:
        mistake: None where there was none.
        if_known: Whether it counts only where the member knows the case: who does not takes steps,
            and holds the case by the half of it that they look at.
    """

    mistake: Mistake | None
    if_known: bool = False


def read_first_look(look: Mapping[str, Any]) -> FirstLook:
    """What a look may have been in place of the algorithm of the case it met.

    Args:
        look: As `cubecore.jsonlines.look_json` gives it.
    """
    done, outcome = look.get("done"), look["outcome"]
    if done is None or outcome in (Outcome.FINISHED, Outcome.REPAIR):
        return FirstLook(None)
    is_wrong_hold = done["quarter_turns"] is not None
    is_half = outcome in (Outcome.EDGES, Outcome.CORNERS)
    kind = MistakeKind.WRONG_HOLD if is_wrong_hold else MistakeKind.OTHER_CASE
    mistake = Mistake(done["stage"], str(done["case"]), kind.value)
    return FirstLook(mistake, if_known=is_half or not is_wrong_hold)


def step_algorithms(cells: Iterable[Cell]) -> frozenset[tuple[str, str]]:
    """The cases whose algorithms one member takes steps by, each as its stage and number.

    Args:
        cells: What the member may have mistaken, known or not, each cell once.
    """
    others = Counter(
        (cell.done_stage, cell.done)
        for cell in cells
        if cell.misfire_kind == MistakeKind.OTHER_CASE
    )
    return frozenset(done for done, n in others.items() if n >= STEP_FROM)


def is_known(one_looks_us: Sequence[int | None], at_us: int | None) -> bool:
    """Whether a case is known: done in one look within a year before; dates that lack count as near.

    Args:
        one_looks_us: When it went in one look before, in microseconds, None without a date.
        at_us: When it is met now.
    """
    return any(
        before_us is None or at_us is None or at_us - before_us <= KNOWN_FOR_US
        for before_us in one_looks_us
    )


BAND = 0.80


LIMIT = 0.05


PRINTED_FROM = 2


_DRAWS = 20_000


_SEED = 20_260


_ALPHAS: Final = (1e-3, 50.0)


_BETAS: Final = (0.5, 5000.0)


def cell_prior(n_events: npt.ArrayLike, n: npt.ArrayLike, *, looks: Mapping[int, int]) -> RatePrior:
    """The Beta distribution of the rates of all cells there could be, those without an event too.

    Somebody who slips evenly has many cells with a few events, and each of them is chance: what a
    cell's own counts say is held against how the rates of all cells lie (empirical Bayes; the most
    likely parameters of a beta-binomial: Gelman et al., BDA3, 5.3).

    Args:
        n_events: Mix-ups of each cell that has any.
        n: Looks at the shown case.
        looks: How many cells there could be, by the looks at their shown case; those of ``n`` are
            among them.
    """
    counted = Counter(zip(np.asarray(n_events).tolist(), np.asarray(n).tolist(), strict=True))
    empty = Counter(looks)
    for (_, of), times in counted.items():
        empty[of] -= times
    counted.update({(0, of): times for of, times in empty.items() if times > 0})
    if not counted:
        return RatePrior(0.5, 0.5)
    hits, looked = np.array(sorted(counted), dtype=float).T
    weights = np.array([counted[cell] for cell in sorted(counted)], dtype=float)

    def loss(logs: Floats) -> float:
        alpha, beta = np.exp(logs)
        return -float(weights @ (betaln(alpha + hits, beta + looked - hits) - betaln(alpha, beta)))

    bounds = [tuple(map(float, np.log(ends))) for ends in (_ALPHAS, _BETAS)]
    alpha, beta = np.exp(minimize(loss, np.log([0.05, 20.0]), method="L-BFGS-B", bounds=bounds).x)
    return RatePrior(float(alpha), float(beta))


def mix_up_rates(n_events: pd.Series, n: pd.Series, *, prior: RatePrior) -> pd.DataFrame:
    """``rate``, ``low``, ``high``, ``p_above_limit`` and ``is_printed`` of each cell.

    A cell is printed as a finding from two events on where it is likely that the rate is above
    ``LIMIT``; of all cells that are printed together at most one in ten is expected to be wrong.

    Args:
        n_events: Mix-ups of each cell.
        n: Looks at the shown case, on the same index.
        prior: As from `cell_prior`.
    """
    hits, looks = n_events.to_numpy(dtype=float), n.to_numpy(dtype=float)
    posterior = beta_distribution(hits + prior.alpha, looks - hits + prior.beta)
    above = posterior.sf(LIMIT)
    is_printed = np.zeros(hits.size, dtype=bool)
    is_printed[hits >= PRINTED_FROM] = worth_saying(above[hits >= PRINTED_FROM])
    return pd.DataFrame(
        {
            "rate": posterior.median(),
            "low": posterior.ppf((1 - BAND) / 2),
            "high": posterior.ppf((1 + BAND) / 2),
            "p_above_limit": above,
            "is_printed": is_printed,
        },
        index=n_events.index,
    )


@dataclass(frozen=True, slots=True)
class CellFinding:
    """What may be said of one case taken for another, or held wrong.

    Attributes:
        n_events: How often: by the members who are ``sure``, or by all where nobody is.
        n: Their looks at the shown case.
        rate: The middle of what the rate may be, 0..1.
        low: Lower end of its band.
        high: Upper end.
        sure: Members whose own counts are enough to say so.
        is_finding: Whether it may be said, of one of them or of all together.
    """

    n_events: int
    n: int
    rate: float
    low: float
    high: float
    sure: frozenset[int]
    is_finding: bool


Key = TypeVar("Key", bound=Hashable)


Counts = tuple[int, int]
"""Events, and looks at the shown case."""


def cell_findings(
    own: Mapping[Key, Mapping[int, Counts]],
    of_all: Mapping[Key, Counts],
    *,
    own_looks: Mapping[int, int],
    looks_of_all: Mapping[int, int],
) -> dict[Key, CellFinding]:
    """What may be said of each cell: by member first, then of all together.

    Args:
        own: Each cell's counts by member, of those who did it.
        of_all: Its counts over all who looked at the shown case.
        own_looks: How many cells there could be, by a member's looks at their shown case.
        looks_of_all: The same by the looks of all.
    """
    keys = [(cell, member) for cell, counts in own.items() for member in counts]
    counted = [own[cell][member] for cell, member in keys]
    priors = [_prior_of(counted, own_looks), _prior_of(list(of_all.values()), looks_of_all)]
    is_printed = _rates_of(counted, priors[0])["is_printed"]
    printed = _rates_of([of_all[cell] for cell in own], priors[1])["is_printed"]
    together = dict(zip(own, map(bool, printed), strict=True))
    sure: dict[Key, set[int]] = {cell: set() for cell in own}
    for (cell, member), is_sure in zip(keys, is_printed, strict=True):
        if is_sure:
            sure[cell].add(member)
    found = {}
    for is_own, prior in ((True, priors[0]), (False, priors[1])):
        cells = [cell for cell in own if bool(sure[cell]) is is_own]
        said = [
            _added([own[cell][member] for member in sure[cell]]) if is_own else of_all[cell]
            for cell in cells
        ]
        for cell, (n_events, n), row in zip(
            cells, said, _rates_of(said, prior).to_dict("records"), strict=True
        ):
            is_finding = is_own or (together[cell] and len(own[cell]) > 1)
            found[cell] = CellFinding(
                n_events, n, row["rate"], row["low"], row["high"], frozenset(sure[cell]), is_finding
            )
    return found


def _added(counted: Sequence[Counts]) -> Counts:
    return sum(events for events, _ in counted), sum(looks for _, looks in counted)


def _prior_of(counted: Sequence[Counts], looks: Mapping[int, int]) -> RatePrior:
    return cell_prior([pair[0] for pair in counted], [pair[1] for pair in counted], looks=looks)


def _rates_of(counted: Sequence[Counts], prior: RatePrior) -> pd.DataFrame:
    events, looks = (pd.Series([pair[i] for pair in counted], dtype="int64") for i in (0, 1))
    return mix_up_rates(events, looks, prior=prior)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a mix-up costs in an average solve.

    Attributes:
        mean_ms: On average.
        low_ms: Lower end of its 80 % band; below 0 where nothing may be lost.
        high_ms: Upper end.
        n_timed: Timed mix-ups behind it.
    """

    mean_ms: float
    low_ms: float
    high_ms: float
    n_timed: int


def mix_up_cost(
    slipped_ms: pd.Series, clean_ms: pd.Series, *, chance: float, n_events: int, n: int
) -> Cost | None:
    """The cost with the doubt about the rate and about what is lost each time.

    None below ``PRINTED_FROM`` times on either side. What is lost is the difference of the mean
    times (Student's pooled standard error); the band is that of seeded draws of rate times loss.

    Args:
        slipped_ms: float64 ms, whole stage, of sightings with this mix-up; NaN left out.
        clean_ms: The same of the member's one-look sightings of the shown case.
        chance: Of the shown case in one solve.
        n_events: Its mix-ups of this kind.
        n: Its sightings.
    """
    slipped, clean = (
        np.sort(times.dropna().to_numpy(dtype=float)) for times in (slipped_ms, clean_ms)
    )
    if min(slipped.size, clean.size) < PRINTED_FROM:
        return None
    degrees = slipped.size + clean.size - 2
    square_sum = slipped.size * slipped.var() + clean.size * clean.var()
    error = float(np.sqrt(square_sum / degrees * (1 / slipped.size + 1 / clean.size)))
    lost = float(slipped.mean() - clean.mean())
    rng = np.random.default_rng(_SEED)
    rates = rng.beta(n_events + 0.5, n - n_events + 0.5, _DRAWS)
    draws = chance * rates * (lost + error * rng.standard_t(degrees, _DRAWS))
    low, high = np.quantile(draws, [(1 - BAND) / 2, (1 + BAND) / 2])
    mean = mix_up_cost_ms(chance=chance, n_events=n_events, n=n, lost_ms=lost)
    return Cost(mean, float(low), float(high), slipped.size)


def mix_up_cost_ms(*, chance: float, n_events: int, n: int, lost_ms: float) -> float:
    """What a mix-up costs in an average solve, ms: in the same currency as what is learnt next.

    Args:
        chance: Of the shown case in one solve.
        n_events: Its mix-ups of this kind.
        n: Its sightings.
        lost_ms: What one such misfire loses.
    """
    return chance * (n_events + 0.5) / (n + 1) * lost_ms
