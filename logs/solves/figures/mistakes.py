"""What a look was in place of the algorithm of the case it met. Nothing here touches the database.

Which case is taken for which: misfires the engine could name, with how sure they make one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np
import pandas as pd
from scipy.stats import beta as beta_distribution

from cubecore.outcomes import Outcome
from cubecore.words import Word

KNOWN_FOR_US: Final = 365 * 24 * 3600 * 1_000_000
"""For how long a case that went in one look counts as known: a year, in microseconds."""


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


class FirstLook(NamedTuple):
    """What a first look may have been mistaken for.

    Attributes:
        mistake: None where there was none.
        if_known: Whether it counts only where the member knows the case: who does not takes steps.
        is_half: Whether it did half of the stage, as the two looks of somebody who does not know
            the case do: it counts only where the newest looks make it likely that they know it.
    """

    mistake: Mistake | None
    if_known: bool = False
    is_half: bool = False


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
    if is_wrong_hold and is_half:
        return FirstLook(None)  # Somebody who looks at half of the case holds it so.
    kind = MistakeKind.WRONG_HOLD if is_wrong_hold else MistakeKind.OTHER_CASE
    mistake = Mistake(done["stage"], str(done["case"]), kind.value)
    return FirstLook(mistake, if_known=not is_wrong_hold, is_half=is_half)


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


PRINTED_SURE = 0.9


_DRAWS = 20_000


_SEED = 20_260


MIX_UP_COLUMNS: Final = (
    "shown",
    "kind",
    "executed",
    "n_events",
    "n",
    "rate",
    "low",
    "high",
    "p_above_limit",
    "is_printed",
)


def mix_up_table(sightings: pd.DataFrame) -> pd.DataFrame:
    """Shown case against executed case, with the rate of each cell.

    Matrices of this kind mix likeness with leaning (Luce 1963): more of A as B than of B as A is
    a lean towards B, and A's mark is what to teach (`rate_order` compares the two).

    Args:
        sightings: Columns ``case``, ``misfire_kind`` and ``misfire_case`` of one stage of
            ``SIGHTING_COLUMNS``, any order; empty text where there was no misfire.

    Returns:
        ``MIX_UP_COLUMNS``, one row a cell with an event, the most events first. ``n`` counts all
        sightings of the shown case; ``rate`` is the median of Beta(1/2, 1/2) brought up to date,
        with its 80 % band; ``is_printed`` is True from two events on where P(rate > 5 %) is at
        least 0.9: the rest is not to be told as a finding.
    """
    seen = sightings["case"].value_counts()
    named = sightings[(sightings["misfire_kind"] != "") & (sightings["misfire_case"] != "")]
    keys = ["case", "misfire_kind", "misfire_case"]
    cells = named.groupby(keys).size().reset_index(name="n_events")
    table = pd.DataFrame(
        [
            {"shown": case, "kind": kind, "executed": executed, "n_events": count, "n": seen[case]}
            for case, kind, executed, count in cells.itertuples(index=False, name=None)
        ],
        columns=list(MIX_UP_COLUMNS),
    )
    rates = mix_up_rates(table["n_events"], table["n"])
    table = table.assign(**{str(name): rates[name] for name in rates.columns})
    table = table.astype({"n_events": "int64", "n": "int64"})
    return table.sort_values(
        ["n_events", "shown", "executed", "kind"],
        ascending=[False, True, True, True],
        ignore_index=True,
    )


def mix_up_rates(n_events: pd.Series, n: pd.Series) -> pd.DataFrame:
    """``rate``, ``low``, ``high``, ``p_above_limit`` and ``is_printed`` of each cell.

    Args:
        n_events: Mix-ups of each cell.
        n: Sightings of the shown case, on the same index.
    """
    hits, sightings = n_events.to_numpy(dtype=float), n.to_numpy(dtype=float)
    posterior = beta_distribution(hits + 0.5, sightings - hits + 0.5)
    above = posterior.sf(LIMIT)
    return pd.DataFrame(
        {
            "rate": posterior.median(),
            "low": posterior.ppf((1 - BAND) / 2),
            "high": posterior.ppf((1 + BAND) / 2),
            "p_above_limit": above,
            "is_printed": (hits >= PRINTED_FROM) & (above >= PRINTED_SURE),
        },
        index=n_events.index,
    )


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
