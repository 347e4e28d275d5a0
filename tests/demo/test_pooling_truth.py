"""Pooling held against the demo club's own truth: the bar of worked example W1c.

Every member with timed turns, every case of both stages that they do in one look: about 620 truths
of each part (see `tests.demo.one_look_times`), nothing of which is log-normal by construction.
A log is drawn from the pools with replacement: 200 solves as in W1c, or as many as the member's own
log has, at the cases' chances and the rates at which they go in one look.

Held of what is said, 80 / 95 %, with 250 in a pool and 120 logs of each member (``-m bench``); the
standard error from drawing logs is 0.2 / 0.1 points, and 1.1 to 1.9 / 0.7 to 1.2 if other cases had
been drawn:

================  ===========  ===========  ===========
solves in a log   recognition  execution    stage
================  ===========  ===========  ===========
200, as in W1c    80.4 / 93.6  81.6 / 94.1  79.9 / 94.1
the log's own     79.7 / 93.7  79.9 / 93.2  78.8 / 93.4
================  ===========  ===========  ===========

The bands hold over the club's cases together, as the page on them says; they do not in each corner
of it. A case more than two sd from its member's centre (7 in 100) is held by about 28 to 35 of 100 bands
of 80 %, one within one sd by 87 to 89: that is what leaning on the others costs and gains.
An earlier form of this test (the 57 OLLs of the four members who know all; a speed that does not
drift; ends with a rotation, which no log knows of) held 83.7 / 94.0 % of recognition and 77.8 /
92.6 % of the stage. One suspect at a time switched off there, with 60 logs of each:

- no stumbles 83.4 / 93.9 and 78.0 / 92.4; one sd for every case 83.7 / 94.1 and 78.1 / 92.8;
- normal noise 83.5 / 94.2 and 79.1 / 93.4; speed drifting with the days 83.3 / 93.8, 78.9 / 93.2;
- the turns of the member's own algorithm, not the book's: stage 77.9 / 92.8;
- no slow family 91.1 / 99.1 and 81.9 / 94.5;
- cases that lie normally about their centre, 77.3 / 94.2 and 77.2 / 94.3;
- everything as the model has it, and tau and sigma as measured: 76.1 / 93.8 and 75.8 / 93.6.

So the cause is no fault of the times but where the cases lie: most together, a family apart, and a
tau of 0.2 to 0.4 of sigma, where such bands are off even in the model's own world
(`tests.logs.stats.test_pooling_worlds`). Nor could that club show 2 points: with one set of 57
algorithms the standard error by case was 1.1 to 3.1 points. Run with ``-s`` to see the counts.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import pandas as pd
import pytest

from logs.cases.facts import cases_by_code, chance_of, turns_by_code
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from tests.demo.one_look_times import (
    PARTS,
    Pool,
    demo_rows_in_one_look,
    pools,
    timed_members,
)

SEED = 20_260_301
NOISY_BELOW = 200
"""With fewer estimates of a count the comparison is noise."""


class Size(NamedTuple):
    """How much is drawn: sightings in a pool, logs of a member, solves in a log (None: their own)."""

    n_pool: int
    n_logs: int
    n_solves: int | None


SIZES = [
    pytest.param(Size(100, 30, 200), id="W1c"),
    pytest.param(Size(250, 120, 200), id="W1c at length", marks=pytest.mark.bench),
    pytest.param(Size(250, 120, None), id="own logs at length", marks=pytest.mark.bench),
]


@pytest.fixture(scope="module", params=SIZES)
def size(request: pytest.FixtureRequest) -> Size:
    found: Size = request.param
    return found


@pytest.fixture(scope="module", params=PARTS)
def errors(request: pytest.FixtureRequest, size: Size) -> pd.DataFrame:
    """Raw and shrunk error of every case met in every log, and where the truth lies."""
    return pd.concat(_errors(request.param, size), ignore_index=True)


def _errors(part: str, size: Size) -> Iterator[pd.DataFrame]:
    rng = np.random.default_rng(SEED)
    n_solves = timed_members()
    for name, by_code in pools(size.n_pool, SEED).items():
        for stage in ("oll-", "pll-"):
            own = {case: pool for case, pool in by_code.items() if case.startswith(stage)}
            for log in range(size.n_logs):
                found = _one_log(own, part, size.n_solves or n_solves[name], rng)
                yield found.assign(member=name, log=log)


def _one_log(
    own: dict[str, Pool], part: str, n_solves: int, rng: np.random.Generator
) -> pd.DataFrame:
    shares = [chance_of(cases_by_code()[case]) * pool.rate for case, pool in own.items()]
    n_met = rng.multinomial(n_solves, [*shares, 1 - sum(shares)])[:-1]
    drawn = {
        case: rng.choice(pool.logs[part], n)
        for (case, pool), n in zip(own.items(), n_met, strict=True)
        if n
    }
    index = [case for case, logs in drawn.items() for _ in logs]
    times = pd.Series(1000 * np.exp(np.concatenate(list(drawn.values()))), index=index)
    turns = None if part == "recognition" else turns_by_code()
    pooled = pooled_times(case_sums(times, turns=turns))
    assert pooled is not None
    true = np.array([own[case].truth[part] for case in pooled.cases])
    return pd.DataFrame(
        {
            "case": pooled.cases,
            "n": pooled.n,
            "raw": np.array([drawn[case].mean() for case in pooled.cases]) - true,
            "shrunk": pooled.log_times.weights @ pooled.log_times.means - true,
            "place": pooled.log_times.cdf(true),
        }
    )


def test_shrunk_beats_raw_at_every_count(errors: pd.DataFrame) -> None:
    root_mean_square = (errors[["raw", "shrunk"]] ** 2).groupby(errors["n"]).mean() ** 0.5
    table = root_mean_square.assign(cases=errors.groupby("n").size())
    print(table.round(3).to_string())  # noqa: T201 - the counts behind the bar
    often = table[table["cases"] >= NOISY_BELOW]
    assert len(often) > 5
    assert (often["shrunk"] < often["raw"]).all(), often.to_string()


@pytest.mark.parametrize("band", [0.80, 0.95])
def test_bands_hold_what_they_say(errors: pd.DataFrame, band: float) -> None:
    is_held = (errors["place"] > (1 - band) / 2) & (errors["place"] < (1 + band) / 2)
    held = is_held.mean()
    shares = is_held.groupby(errors["log"]).mean().to_numpy(dtype=float)
    by_log = shares.std(ddof=1) / np.sqrt(len(shares))
    by_case = standard_error(is_held - held, errors["case"])
    print(  # noqa: T201 - the counts behind the bar
        f"band {band:.0%}: held {held:.4f} of {len(is_held)}; standard error {by_log:.4f} from drawing"
        f" logs, {by_case:.4f} if other cases had been drawn"
    )
    assert by_log < 0.006, "too few logs to know two points from noise"
    assert band - 0.02 <= held <= band + 0.04, "wide rather than narrow: flat on tau squared"


def standard_error(residual: pd.Series, cluster: pd.Series) -> float:
    """Of a mean, where rows of one cluster go together (Liang and Zeger 1986, Biometrika 73)."""
    sums = residual.groupby(cluster).sum().to_numpy()
    n_clusters = len(sums)
    return float(np.sqrt((sums**2).sum() * n_clusters / (n_clusters - 1)) / len(residual))


def test_pools_are_what_the_shipped_logs_are_made_of(size: Size) -> None:
    """The logs in fixtures/demo, sighting by sighting, lie in their pools as any draw would."""
    found = []
    for name, case, times in demo_rows_in_one_look():
        pool = pools(size.n_pool, SEED)[name].get(case)
        if pool is not None:
            for part, ms in times.items():
                logs = pool.logs[part]
                z = (np.log(ms / 1000) - pool.truth[part]) / logs.std(ddof=1)
                found.append({"part": part, "z": z})
    table = pd.DataFrame(found).groupby("part")["z"].agg(["size", "mean", "std"])
    print(table.round(3).to_string())  # noqa: T201 - the counts behind the bar
    assert (table["size"] > 3_000).all()
    # Four standard errors: of the sightings', and of the pools' own means.
    doubt = np.sqrt(1 / table["size"] + 1 / (600 * size.n_pool))
    assert (table["mean"].abs() < 4 * doubt).all(), table.to_string()
    assert table["std"].to_numpy() == pytest.approx(1, abs=0.06)
