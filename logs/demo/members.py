"""The club and its members as fixtures/demo/club.toml describes them."""

import tomllib
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any

from logs.demo.algorithms import CaseName, Entry, entries, entry_of

_CORNER_STEP = tuple(range(21, 28))
_EDGE_STEP = ("Ua", "Ub", "H", "Z")


def case_of(text: str) -> CaseName:
    """The case that ``OLL 27`` or ``PLL T`` names."""
    stage, number = text.split()
    return stage.lower(), int(number) if stage == "OLL" else number


@dataclass(frozen=True)
class MixUp:
    """A case taken for another, at a rate of 0 to 1 of the times it is shown and known."""

    shown: str
    done: str
    rate: float


@dataclass(frozen=True)
class WrongHold:
    """A case whose algorithm is begun so many quarter turns (of the layer) off, at a rate."""

    case: str
    quarter_turns: int
    rate: float


@dataclass(frozen=True)
class Learnt:
    """From which day on a case is solved in one look."""

    case: str
    on: date


@dataclass(frozen=True, kw_only=True)
class Member:
    """One member: who they are, what they know, how they solve and how they log.

    Attributes:
        nickname: The name the club knows them by.
        role: ``owner``, ``coach`` or ``member``.
        visibility: Who sees their log: ``only_me``, ``coach``, ``club``.
        colours: The crosses they solve on; of several the shortest is taken.
        standing: One sentence for readers.
        solves: How many rows their log has, drills included.
        since: Day of the first solve at the earliest.
        until: Day of the last.
        turns_per_second: While executing, at the start and at the end of that time.
        recognition_ms: Median pause before a last-layer look.
        pair_ms: Median pause before a pair.
        sloppiness: Chance of a wasted cross turn, and how loosely the next pair is chosen; 0 to 1.
        slow: Factors on recognition, by family of cases.
        oll: Cases known in one look from the start; ``all``, or numbers besides 21-27.
        pll: The same; letters besides Ua, Ub, H, Z.
        corners: PLLs used to place corners first: adjacent swap, diagonal swap.
        learns: Cases learnt on the way.
        prefers: Algorithms (texts of the tables) used instead of a case's first.
        mix_ups: Cases taken for others.
        wrong_holds: Cases begun from a wrong hold.
        kinds: Shares of the kinds of rows: ``sensor``, ``quarters`` (a sensor that reports half
            turns as two), ``typed``, ``typed_untimed``, ``time_only``.
        format: ``csv`` or ``jsonl``.
        drills: Share of sessions that drill the last layer.
        dnf: Share of DNFs.
        plus_two: Share of +2s.
        wide: How wide turns are typed, ``r`` or ``Rw``.
        prime: The character typed for a prime.
        times: Whether typed rows have a time for each of the ``turns`` or of all ``tokens``.
        comments: Share of typed solutions that have comments.
        groups: Share of typed solutions that have groups.
        local_time: Whether ``done_at`` is written without offset.
        two_files: Whether the log comes in two files that overlap by three rows.
        bad_rows: Whether some rows are wrong.
    """

    nickname: str
    role: str
    visibility: str
    colours: tuple[str, ...]
    standing: str
    solves: int
    since: date
    until: date
    turns_per_second: tuple[float, float]
    recognition_ms: float
    pair_ms: float
    sloppiness: float
    slow: dict[str, float]
    oll: str | tuple[int, ...]
    pll: str | tuple[str, ...]
    kinds: dict[str, float]
    format: str
    dnf: float
    plus_two: float
    corners: tuple[str, str] = ("T", "Y")
    learns: tuple[Learnt, ...] = ()
    prefers: tuple[str, ...] = ()
    mix_ups: tuple[MixUp, ...] = ()
    wrong_holds: tuple[WrongHold, ...] = ()
    drills: float = 0.0
    wide: str = "r"
    prime: str = "'"
    times: str = "turns"
    comments: float = 0.0
    groups: float = 0.0
    local_time: bool = False
    two_files: bool = False
    bad_rows: bool = False
    entry_by_case: dict[CaseName, Entry] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        chosen = {case: group[0] for case, group in entries().items()}
        chosen |= {entry_of(text).case: entry_of(text) for text in self.prefers}
        object.__setattr__(self, "entry_by_case", chosen)

    @cached_property
    def _from_start(self) -> frozenset[CaseName]:
        oll = range(1, 58) if self.oll == "all" else (*_CORNER_STEP, *self.oll)
        if self.pll == "all":
            pll = {case for case in entries() if case[0] == "pll"}
        else:
            pll = {("pll", letters) for letters in (*_EDGE_STEP, *self.corners, *self.pll)}
        return frozenset({("oll", number) for number in oll} | pll)

    @cached_property
    def _learnt_on(self) -> dict[CaseName, date]:
        return {case_of(learnt.case): learnt.on for learnt in self.learns}

    def knows(self, case: CaseName, day: date) -> bool:
        """Whether ``case`` is solved in one look on ``day``."""
        if case in self._from_start:
            return True
        return case in self._learnt_on and day >= self._learnt_on[case]

    def weeks_known(self, case: CaseName, day: date) -> float | None:
        """Weeks since ``case`` was learnt; None when it was known from the start."""
        if case in self._from_start or case not in self._learnt_on:
            return None
        return (day - self._learnt_on[case]).days / 7

    def progress(self, day: date) -> float:
        """How much of the member's time in the log has passed, 0 to 1."""
        return (day - self.since).days / max(1, (self.until - self.since).days)


@dataclass(frozen=True)
class Club:
    """The club: its name, its time zone, the seed its logs are made from, its members."""

    name: str
    zone: str
    seed: str
    members: tuple[Member, ...]


def _member(values: dict[str, Any]) -> Member:
    made: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in values.items()
    }
    made["learns"] = tuple(Learnt(**item) for item in values.get("learns", ()))
    made["mix_ups"] = tuple(MixUp(**item) for item in values.get("mix_ups", ()))
    made["wrong_holds"] = tuple(WrongHold(**item) for item in values.get("wrong_holds", ()))
    return Member(**made)


def read_club(path: Path) -> Club:
    """The club that the TOML file ``path`` describes."""
    values = tomllib.loads(path.read_text(encoding="utf-8"))
    members = tuple(_member(item) for item in values["members"])
    return Club(values["name"], values["zone"], values["seed"], members)
