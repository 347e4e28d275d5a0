"""Pooling held against the demo club's own truth: the bar of worked example W1c.

The population of a case is a pool of one-look stages that the demo's generator made of it, hands,
pauses, stumbles, lining up and all: nothing in it is log-normal by construction. The truth is the
mean of the logs of the whole pool, known exactly; a log is drawn from the pools with replacement,
200 solves at the cases' chances. Run with ``-s`` to see the counts.
"""

from functools import cache
from random import Random

import numpy as np
import numpy.typing as npt
import pandas as pd
import pytest

from logs.analytics.grid import pooled_times
from logs.analytics.pooling import case_sums
from logs.demo.algorithms import entries, undone
from logs.demo.cube import SOLVED, apply, spell
from logs.demo.fate import Fate
from logs.demo.hand import Hand, Tempo
from logs.demo.last_layer import LastLayer, Plan
from logs.demo.members import Member, read_club
from logs.demo.recognise import right_auf
from logs.reports.case_facts import turns_by_code
from tests.logs.analytics.worked import OLL_CHANCES
from tests.logs.demo.reading import FOLDER

SEED = 20_260_301
N_POOL = 250
N_SOLVES = 200
N_LOGS = 40
MEMBERS = ("Brindle", "Marlow", "Quill", "Wren")
"""Those who do every OLL in one look from the start."""
MISSED = {
    (
        "recognition",
        0.80,
    ): "too wide by 4 points: cases differ little there, and the prior of tau keeps some",
    (
        "stage",
        0.95,
    ): "too narrow by 2.3 points: short algorithms scatter more than one sigma allows",
}
"""Where the bar of 2 points is not met by the generator's own times, and why we think so."""
Pool = dict[str, npt.NDArray[np.float64]]


@cache
def pools_of(name: str) -> dict[str, Pool]:
    """Log seconds of ``N_POOL`` one-look sightings of every OLL, as the generator makes them."""
    club = read_club(FOLDER / "club.toml")
    (member,) = (one for one in club.members if one.nickname == name)
    rng = Random(f"{SEED} {name}")
    made = {
        str(number): np.array([sighting_ms(member, number, rng) for _ in range(N_POOL)]) / 1000
        for stage, number in entries()
        if stage == "oll"
    }
    return {
        "recognition": {case: np.log(times[:, 0]) for case, times in made.items()},
        "execution": {case: np.log(times[:, 1]) for case, times in made.items()},
        "stage": {case: np.log(times.sum(axis=1)) for case, times in made.items()},
    }


def sighting_ms(member: Member, number: object, rng: Random) -> tuple[float, float]:
    """Recognition and execution of one sighting of an OLL, split where the first layer has turned."""
    case = ("oll", number)
    entry = member.entry_by_case[case]  # type: ignore[index]  # an OLL's number
    auf = rng.randrange(4)
    start = apply(SOLVED, [*undone(entry.tokens), *([spell("U", auf)] if auf else [])])
    hand = Hand(start)
    tempo = Tempo(rng, 1000 / member.turns_per_second[1])
    last = LastLayer(member, member.until, hand, tempo, rng, Fate.SOLVED, cross=0)
    plan = Plan("case", entry, right_auf(entry, start))
    last._look("oll", plan, case, 0, after_slip=False)  # type: ignore[arg-type]  # an OLL's number
    first = next(made.end_ms for made in hand.made if made.outer)
    return first, hand.clock_ms - first


@pytest.fixture(scope="module", params=["recognition", "execution", "stage"])
def errors(request: pytest.FixtureRequest) -> pd.DataFrame:
    """Raw and shrunk error of every case met in every log, and where the truth lies."""
    turns = {code.removeprefix("oll-"): n for code, n in turns_by_code().items() if "oll" in code}
    rng = np.random.default_rng(SEED)
    chances = np.array([*OLL_CHANCES.values(), 1 / 216])
    found = []
    for name in MEMBERS:
        pool = pools_of(name)[request.param]
        truth = {case: logs.mean() for case, logs in pool.items()}
        for _ in range(N_LOGS):
            met = rng.multinomial(N_SOLVES, chances)[:-1]
            drawn = {
                case: rng.choice(pool[case], n)
                for case, n in zip(OLL_CHANCES, met, strict=True)
                if n
            }
            index = [case for case, logs in drawn.items() for _ in logs]
            times = pd.Series(1000 * np.exp(np.concatenate(list(drawn.values()))), index=index)
            pooled = pooled_times(
                case_sums(times, turns=None if request.param == "recognition" else turns)
            )
            assert pooled is not None
            true = np.array([truth[case] for case in pooled.cases])
            raw = np.array([drawn[case].mean() for case in pooled.cases])
            shrunk = pooled.log_times.weights @ pooled.log_times.means
            found.append(
                pd.DataFrame(
                    {
                        "member": name,
                        "part": request.param,
                        "n": pooled.n,
                        "raw": raw - true,
                        "shrunk": shrunk - true,
                        "place": pooled.log_times.cdf(true),
                    }
                )
            )
    return pd.concat(found)


def root_mean_square(values: pd.Series) -> float:
    return float(np.sqrt((values.to_numpy() ** 2).mean()))


def test_shrunk_beats_raw_at_every_count(errors: pd.DataFrame):
    print(  # noqa: T201 - the counts behind the bar
        f"seed {SEED}, {len(MEMBERS)} members x {N_LOGS} logs of {N_SOLVES} solves"
    )
    for n, some in errors.groupby("n"):
        raw, shrunk = root_mean_square(some["raw"]), root_mean_square(some["shrunk"])
        print(f"n = {n}: {len(some)} cases, raw {raw:.3f}, shrunk {shrunk:.3f}")  # noqa: T201 - the same
        if len(some) >= 200:  # below, the comparison is noise
            assert shrunk < raw, n


@pytest.mark.parametrize("band", [0.80, 0.95])
def test_bands_hold_what_they_say(errors: pd.DataFrame, band: float):
    is_held = (errors["place"] > (1 - band) / 2) & (errors["place"] < (1 + band) / 2)
    by_member = is_held.groupby(errors["member"]).mean().round(3).to_dict()
    print(f"band {band:.0%}: held {is_held.mean():.4f} of {len(is_held)}; {by_member}")  # noqa: T201 - the same
    part = errors["part"].iloc[0]
    if (part, band) in MISSED:
        pytest.xfail(f"held {is_held.mean():.4f}: {MISSED[part, band]}")
    assert is_held.mean() == pytest.approx(band, abs=0.02)
