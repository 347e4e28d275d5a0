"""Which times may be compared: the one rule of it.

A thumb on a stopwatch is late by a tenth or two, a video knows a turn to one of its pictures, a
sensor to the millisecond. So times of turns are taken from one instrument alone, that of most of the
member's newest solves that have such times; in a club's figures members' times stand together where
they are of the instrument that most of them use. What other instruments timed is left out of every
typical time, split, target and trend, counted and said. Cases, looks and the timer's reading are no
times of turns: they count whatever the instrument.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from itertools import pairwise
from typing import NamedTuple

from cubecore.rows import TimedBy

FINEST_FIRST = (TimedBy.SENSOR, TimedBy.VIDEO, TimedBy.HAND)

NEWEST = 100
"""So many of the newest solves with times of turns tell the instrument."""

VIDEO_STEP_MS = 15
"""From so coarse a step on times that say no instrument are as a video's (60 pictures a second)."""

HAND_STEP_MS = 100
"""From so coarse a step on they are as a hand's."""

LASTS = 10
"""A change of instrument is one where so many solves in a row are timed by the new one."""


def main_instrument(newest: Sequence[str]) -> TimedBy:
    """The instrument that times are taken from; of a tie the finer, of none a sensor.

    Args:
        newest: That of each of the newest solves with times of turns.
    """
    counts = Counter(map(TimedBy, newest))
    return max(FINEST_FIRST, key=lambda instrument: counts[instrument])


def timed_alike(by_member: Mapping[int, str]) -> frozenset[int]:
    """The members whose times may stand together: those of the instrument that most of them use.

    Args:
        by_member: The main instrument of each member who has times.
    """
    main = main_instrument(list(by_member.values()))
    return frozenset(member for member, name in by_member.items() if TimedBy(name) is main)


class InstrumentChange(NamedTuple):
    """Where another instrument begins.

    Attributes:
        at: The moment of the first solve with it.
        solve_id: That solve.
        instrument: The instrument.
    """

    at: datetime
    solve_id: int
    instrument: TimedBy


def instrument_changes(
    timed: Iterable[tuple[datetime | None, int, str]],
) -> list[InstrumentChange]:
    """Where the instrument changed and stayed so for ``LASTS`` solves, the oldest first.

    Args:
        timed: Moment, number and instrument of each solve with times of turns, in the order of
            time; those without a moment are left out.
    """
    dated = [(at, number, TimedBy(name)) for at, number, name in timed if at is not None]
    runs: list[list[tuple[datetime, int, TimedBy]]] = []
    for row in dated:
        if runs and runs[-1][-1][2] is row[2]:
            runs[-1].append(row)
        else:
            runs.append([row])
    lasting = [run for run in runs if len(run) >= LASTS]
    return [
        InstrumentChange(*run[0])
        for before, run in pairwise(lasting)
        if before[0][2] is not run[0][2]
    ]
