"""Members over a log: how fast they are now, what they know, and what learning a case would save."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from logs.cases.facts import steps_by_code, turns_by_code
from logs.next_up.gains import gains, ranked
from logs.next_up.selectors import NEXT_COLUMNS, TWO_LOOK_COLUMNS
from logs.solves.figures.frames import build_frame
from logs.solves.figures.standing import HIT, MISS, RECENT, coverage, rate_prior
from logs.stats.grid import pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from tests.logs.stats.worked import OLL_CHANCES

Floats = npt.NDArray[np.float64]

CHANCES: Final = np.array([*OLL_CHANCES.values(), 1 / 216])
NAMES: Final = tuple(OLL_CHANCES)


@dataclass(frozen=True, slots=True)
class NowWorld:
    """What is true of a member's times over their log.

    Attributes:
        name: Of the world.
        drift: How all log times go from the first solve (0) to the newest (1), less what they are
            now, by a name of `_drift`.
        n_solves: Solves.
        tau: How far cases lie apart.
        sigma: sd within a case.
        day: sd of a sitting of ten solves.
    """

    name: str
    drift: str = "none"
    n_solves: int = 400
    tau: float = 0.25
    sigma: float = 0.20
    day: float = 0.0


NOW_WORLDS: Final = (
    NowWorld("nothing changes"),
    NowWorld("30 % faster over the log", "steady"),
    NowWorld("a jump of 20 % late", "jump"),
    NowWorld("learning that slows down", "learning"),
    NowWorld("good and bad days", day=0.10),
    NowWorld("30 % faster, good and bad days", "steady", day=0.10),
    NowWorld("cases alike, 0.2 of a sighting", n_solves=200, tau=0.04),
    NowWorld("cases apart, 1.1 of a sighting", n_solves=200, tau=0.22),
    NowWorld("very uneven", n_solves=200, sigma=1.2, tau=0.3),
)


def _drift(name: str, at: Floats) -> Floats:
    """Log of the time over that of now; ``at`` runs from 0, the first solve, to 1, the newest."""
    by_name = {
        "none": 0 * at,
        "steady": -np.log(0.7) * (1 - at),
        "jump": np.where(at < 0.85, -np.log(0.8), 0.0),
        "learning": 0.4 * (np.exp(-3 * at) - np.exp(-3.0)),
    }
    return np.asarray(by_name[name], dtype=float)


class NowOutcome(NamedTuple):
    """Where what is true lies in what is said of each case met, 0..1, and the squared errors."""

    places: Floats
    errors: Floats


def now_outcomes(
    world: NowWorld, n: int, seed: int, *, is_drifting: bool = True
) -> Iterator[NowOutcome]:
    """What is said of the present time of each case of ``n`` members.

    ``is_drifting`` False tells the model that all sightings are of one time.
    """
    rng = np.random.default_rng(seed)
    for _ in range(n):
        theta = rng.normal(0.7, world.tau, len(NAMES))
        case = rng.choice(len(CHANCES), world.n_solves, p=CHANCES)
        at = np.linspace(0, 1, world.n_solves)
        days = np.repeat(rng.normal(0, world.day, world.n_solves // 10), 10)
        logs = _drift(world.drift, at) + days + rng.normal(0, world.sigma, world.n_solves)
        is_met = case < len(NAMES)
        logs[is_met] += theta[case[is_met]]
        times = pd.Series(1000 * np.exp(logs[is_met]), index=[NAMES[one] for one in case[is_met]])
        blocks = blocks_ago(world.n_solves)[is_met] if is_drifting else None
        pooled = pooled_times(case_sums(times, blocks=blocks))
        assert pooled is not None
        true = np.array([theta[NAMES.index(name)] for name in pooled.cases])
        mean = pooled.log_times.weights @ pooled.log_times.means
        yield NowOutcome(pooled.log_times.cdf(true), (mean - true) ** 2)


@dataclass(frozen=True, slots=True)
class CoverageWorld:
    """What is true of how often a member's cases go in one look.

    Attributes:
        name: Of the world.
        known: Share of cases known from the first solve on.
        learnt: Share learnt meanwhile, each at any time of the log.
        steady: Parameters of a Beta distribution of rates that stay; None where cases are known
            (92 in 100 in one look) or not (3 in 100).
        n_solves: Solves.
    """

    name: str
    known: float = 0.3
    learnt: float = 0.0
    steady: tuple[float, float] | None = None
    n_solves: int = 500


COVERAGE_WORLDS: Final = (
    CoverageWorld("knows 3 in 10, learns none"),
    CoverageWorld("knows 3 in 10, learns 4 in 10", learnt=0.4),
    CoverageWorld("knows none, learns all", known=0.0, learnt=1.0),
    CoverageWorld("knows 3 in 10, learns 4 in 10, 150 solves", learnt=0.4, n_solves=150),
    CoverageWorld("any rate, it stays", steady=(1.0, 1.0)),
    CoverageWorld("each case half of the time", steady=(50.0, 50.0)),
)


class CoverageOutcome(NamedTuple):
    """What is said of what is covered by the cases met, and the share there is."""

    low: float
    high: float
    said: float
    true: float


def coverage_outcomes(
    world: CoverageWorld, n: int, seed: int, *, is_learning: bool = True
) -> Iterator[CoverageOutcome]:
    """What is said of ``n`` members' coverage now.

    A case learnt after it last came up counts as not learnt: no log tells of it. ``is_learning`` False tells the model that rates stay.
    """
    rng = np.random.default_rng(seed)
    chances = dict(zip(NAMES, CHANCES[:-1], strict=True))
    for _ in range(n):
        kind = rng.random(len(NAMES))
        at = np.where(kind < world.known, 0.0, 2.0)  # after the last solve: never learnt
        is_learnt = (kind >= world.known) & (kind < world.known + world.learnt)
        at[is_learnt] = rng.random(is_learnt.sum())
        steady = None if world.steady is None else rng.beta(*world.steady, len(NAMES))
        looks: dict[str, str] = {}
        last = np.full(len(NAMES), -1.0)
        for place, case in enumerate(rng.choice(len(CHANCES), world.n_solves, p=CHANCES)):
            if case < len(NAMES):
                rate = 0.92 if at[case] <= place / world.n_solves else 0.03
                rate = rate if steady is None else steady[case]
                last[case] = place / world.n_solves
                looks[NAMES[case]] = looks.get(NAMES[case], "") + (
                    HIT if rng.random() < rate else MISS
                )
        recent = {name: one[-RECENT:] for name, one in looks.items()}
        counts = pd.DataFrame(
            [(one.count(HIT), len(one)) for one in recent.values()],
            index=list(recent),
            columns=["n_hits", "n"],
        )
        found = coverage(
            counts,
            chances=chances,
            prior=rate_prior(counts),
            recent=recent if is_learning else None,
        )
        now = np.where(at <= last, 0.92, 0.03) if steady is None else steady
        true = CHANCES[-1] + sum(chances[name] * now[NAMES.index(name)] for name in recent)
        yield CoverageOutcome(found.low, found.high, found.covered, float(true))


class SavingOutcome(NamedTuple):
    """What is said of the saving of one case, and what it would be, ms a solve."""

    low: float
    high: float
    said: float
    true: float


def saving_outcomes(n: int, seed: int, *, n_known: int, n_solves: int) -> Iterator[SavingOutcome]:
    """What is said of what each case that is not known would save ``n`` members.

    One look takes a recognition and an execution that follows the turns; two looks the two steps,
    and what the case adds to them. A learnt case goes in one look 92 times in 100.
    """
    rng = np.random.default_rng(seed)
    steps, turns = steps_by_code(None), turns_by_code(None)
    codes = [f"oll-{name}" for name in NAMES]
    for _ in range(n):
        known = set(rng.choice(codes, n_known, replace=False))
        own = {code: rng.normal(0, 0.15) for code in codes}
        seen = {code: float(np.exp(rng.normal(-0.2, 0.2))) for code in codes}
        done = {code: 0.16 * turns[code] ** 0.95 * np.exp(own[code]) for code in codes}
        edges = {one: float(np.exp(rng.normal(0.5, 0.15))) for one in ("dot", "bar", "angle")}
        edges["oriented"] = 0.0
        corners = {two.corner: float(np.exp(rng.normal(0.75, 0.15))) for two in steps.values()}
        corners["oriented"] = 0.0
        added = {code: float(np.exp(rng.normal(0, 0.06))) for code in codes}
        rows, looks = [], []
        for place in rng.choice(len(CHANCES), n_solves, p=CHANCES):
            if place == len(NAMES):
                continue
            code = codes[place]
            name = NAMES[place]
            if rng.random() < (0.92 if code in known else 0.02):
                times = 1000 * np.array([seen[code], done[code]]) * np.exp(rng.normal(0, 0.2, 2))
                rows.append((1, "oll", name, True, *times))
                continue
            first, second = edges[steps[code].edge], corners[steps[code].corner]
            took = 1000 * added[code] * np.array([first, second]) * np.exp(rng.normal(0, 0.2, 2))
            rows.append((1, "oll", name, False, took[0] / 2, took.sum() - took[0] / 2))
            if min(first, second) > 0:
                text = _second(steps[code].corner)
                looks.append((1, "oll", name, steps[code].edge, "none", text, *took))
        found = gains(build_frame(NEXT_COLUMNS, rows), build_frame(TWO_LOOK_COLUMNS, looks))
        table = ranked(found).table
        noise = np.exp(0.2**2 / 2)
        for code, row in table.to_dict("index").items():
            if code in known or code not in codes or row["value_ms"] != row["value_ms"]:
                continue
            two = edges[steps[code].edge] + corners[steps[code].corner]
            gap = 1000 * noise * (added[code] * two - seen[code] - done[code])
            true = CHANCES[codes.index(code)] * (0.92 - 0.02) * gap
            yield SavingOutcome(row["low_ms"], row["high_ms"], row["value_ms"], float(true))


def _second(corner: str) -> str:
    """The book's algorithm of a corner step, which is the OLL of that number."""
    (case,) = (case for case in CASES if case.stage is Stage.OLL and str(case.number) == corner)
    return default_book().algorithms(case)[0].text
