"""One-look times of the demo club as its generator makes them, and the truth that they estimate.

A sighting is made on a day on which the member solved, so their speed drifts with it; the solver
chooses, slips, pauses, lines up, stumbles and executes as in the logs. What does not finish the
stage in one look is left out, as the pages leave it out. The truth of a case is the mean of ln
seconds over all its pool: the typical time that the pages claim to estimate.
"""

from collections.abc import Iterator
from datetime import date
from functools import cache
from random import Random

import numpy as np
import numpy.typing as npt

from fixtures.demo.maker.algorithms import CaseName, entries, undone
from fixtures.demo.maker.calendar import schedule
from fixtures.demo.maker.cube import SOLVED, apply, spell
from fixtures.demo.maker.fate import Fate
from fixtures.demo.maker.hand import Hand, Tempo
from fixtures.demo.maker.last_layer import LastLayer
from fixtures.demo.maker.members import Club, Member, read_club
from fixtures.demo.maker.recognise import is_oriented, is_permuted
from fixtures.demo.maker.recording import _turns_of
from fixtures.demo.maker.solver import _gap_ms
from tests.demo.reading import FOLDER, LOGS, demo_rows

Floats = npt.NDArray[np.float64]
PARTS = ("recognition", "execution", "stage")
TIMED = ("sensor", "quarters", "typed")
_NEVER_AFTER = 60
"""A case that did not go in one look in so many sightings is none of the member's."""
_SELDOM = 20
"""Nor is one that goes in one look less than once in so many."""


class Pool:
    """Many one-look sightings of one case by one member.

    Attributes:
        rate: The share of sightings that go in one look, 0 to 1.
        logs: ln seconds by part, each of shape (sightings,).
        truth: Mean of each part's logs.
    """

    def __init__(self, times_ms: list[tuple[int, int]], rate: float) -> None:
        recognition, execution = np.array(times_ms, dtype=float).T / 1000
        self.rate = rate
        self.logs: dict[str, Floats] = {
            "recognition": np.log(recognition),
            "execution": np.log(execution),
            "stage": np.log(recognition + execution),
        }
        self.truth = {part: float(logs.mean()) for part, logs in self.logs.items()}


def code(case: CaseName) -> str:
    return f"{case[0]}-{case[1]}"


@cache
def demo_club() -> Club:
    return read_club(FOLDER / "club.toml")


@cache
def solving_days(nickname: str) -> tuple[date, ...]:
    """The day of each solve of the member's log."""
    club = demo_club()
    (member,) = (one for one in club.members if one.nickname == nickname)
    moments = schedule(member, club.zone, Random(f"{club.seed} {nickname}"))
    return tuple(moment.at.date() for moment in moments if not moment.is_drill)


def timed_members() -> dict[str, int]:
    """Members with timed turns, and how many such solves their logs have."""
    shares = {
        member.nickname: sum(member.kinds.get(kind, 0) for kind in TIMED)
        for member in demo_club().members
    }
    return {name: round(share * len(solving_days(name))) for name, share in shares.items() if share}


@cache
def pools(n_pool: int, seed: int) -> dict[str, dict[str, Pool]]:
    """The pools of every case that a member does in one look, by member and code."""
    members = {member.nickname: member for member in demo_club().members}
    return {name: dict(_pools_of(members[name], n_pool, seed)) for name in timed_members()}


def _pools_of(member: Member, n_pool: int, seed: int) -> Iterator[tuple[str, Pool]]:
    rng = Random(f"{seed} {member.nickname}")
    days = solving_days(member.nickname)
    for case in entries():
        times: list[tuple[int, int]] = []
        tries = 0
        while len(times) < n_pool and tries < n_pool * _SELDOM and (times or tries < _NEVER_AFTER):
            tries += 1
            made = _one_look(member, case, rng.choice(days), rng)
            if made is not None:
                times.append(made)
        if len(times) == n_pool:
            yield code(case), Pool(times, n_pool / tries)


def _one_look(member: Member, case: CaseName, day: date, rng: Random) -> tuple[int, int] | None:
    """Recognition and execution (ms) of a sighting; None where one look does not finish the stage.

    Parted at the first turn of an outer layer that the log reports (of a half turn perhaps its
    first quarter), ended by the last: a log knows of no rotation.
    """
    stage = str(case[0])
    auf = rng.randrange(4)
    lying = [spell("U", auf)] if auf else []
    hand = Hand(apply(SOLVED, [*undone(entries()[case][0].tokens), *lying]))
    tempo = Tempo(rng, _gap_ms(member, day, rng))
    last = LastLayer(member, day, hand, tempo, rng, Fate.SOLVED, cross=0)
    plan = last._choose(stage, case)
    last._slip(plan, case)
    last._look(stage, plan, case, 0, after_slip=False)
    is_done = is_oriented if stage == "oll" else is_permuted
    if not is_done(hand.state):
        return None
    turned = [made for made in hand.made if made.outer]
    kinds = {kind: share for kind, share in member.kinds.items() if kind in TIMED}
    (kind,) = rng.choices([*kinds], [*kinds.values()])
    first = _turns_of(turned[0], 0, rng, kind)[0].ms
    return first, turned[-1].end_ms - first


def demo_rows_in_one_look() -> Iterator[tuple[str, str, dict[str, float]]]:
    """Member, code and ms by part of each timed one-look sighting in the shipped logs' truth."""
    names = {member.nickname.lower(): member.nickname for member in demo_club().members}
    for path in LOGS:
        name = names[path.stem.split("-")[0]]
        for row in demo_rows(path):
            if row.truth.get("kind") == "solve" and row.truth["status"] == "solved":
                for stage in ("oll", "pll"):
                    values = row.truth[stage]
                    if values and len(values["looks"]) == 1 and values["recognition_ms"]:
                        times = [float(values[key]) for key in ("recognition_ms", "execution_ms")]
                        by_part = dict(zip(PARTS, [*times, sum(times)], strict=True))
                        yield name, f"{stage}-{values['case']}", by_part
