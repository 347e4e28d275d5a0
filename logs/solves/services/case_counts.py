"""One member's sightings counted by case. Nothing here touches the database."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from math import log
from struct import Struct
from typing import Any, NamedTuple

from logs.solves.figures.mistakes import FirstLook, Mistake, is_known, read_first_look
from logs.solves.figures.standing import HIT, MISS, RECENT, chance_known
from logs.solves.figures.weeks import week_of
from logs.stats.likelihood import LIKELY
from logs.stats.sketch import bucket_of

SUM_FIELDS = (
    *("n", "n_looked", "n_one_look", "n_timed"),
    *("recognition_log_sum", "recognition_log_squares", "recognition_ms_sum"),
    *("execution_log_sum", "execution_log_squares", "execution_ms_sum"),
)
"""The sums of a `SightingSums`."""


LOG_UNIT = 2.0**-24
"""What logs and their squares are rounded to before they are added up: sixty parts in a thousand
million, and a float adds multiples of it up without rounding to 2**29, two million sightings of one
case by one member (a square is below 256)."""


UNDATED = -(2**63)


_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


_MICROSECOND = timedelta(microseconds=1)


_PLACE = Struct(">qq")


class CaseKey(NamedTuple):
    """A case as it is counted: in solves or in drills."""

    kind: str
    stage: str
    case: str


class Place(NamedTuple):
    """Where a sighting stands in the order of time: undated ones first, then by solve.

    Attributes:
        at_us: Microseconds since 1970; ``UNDATED`` without a date.
        solve_id: Its solve, which tells two of one moment apart.
    """

    at_us: int
    solve_id: int

    @property
    def at(self) -> datetime | None:
        """The moment."""
        return None if self.at_us == UNDATED else _EPOCH + self.at_us * _MICROSECOND

    @property
    def dated_us(self) -> int | None:
        """The moment in microseconds since 1970."""
        return None if self.at_us == UNDATED else self.at_us


class Look(NamedTuple):
    """One sighting in which a look was made."""

    place: Place
    is_hit: bool
    first: FirstLook


@dataclass(slots=True)
class Cell:
    """What sightings of one case come to.

    Attributes:
        sums: In the order of ``SUM_FIELDS``.
        recognition: Their timed recognition by bucket of `logs.stats.sketch`.
        execution: Their timed execution.
    """

    sums: list[float] = field(default_factory=lambda: [0] * len(SUM_FIELDS))
    recognition: Counter[int] = field(default_factory=Counter)
    execution: Counter[int] = field(default_factory=Counter)

    def add(self, row: Mapping[str, Any]) -> None:
        """Count one sighting, a row of `Sighting`."""
        recognition, execution = row["recognition_ms"], row["execution_ms"]
        sums = self.sums
        sums[0] += 1
        sums[1] += row["n_looks"] > 0
        sums[2] += row["is_one_look"]
        if not (row["is_one_look"] and recognition and execution):
            return
        sums[3] += 1
        for start, time_ms in ((4, recognition), (7, execution)):
            sums[start] += _rounded(log(time_ms))
            sums[start + 1] += _rounded(log(time_ms) ** 2)
            sums[start + 2] += time_ms
        self.recognition[bucket_of(recognition)] += 1
        self.execution[bucket_of(execution)] += 1

    def values(self) -> dict[str, float]:
        """The sums by the names of their fields."""
        return dict(zip(SUM_FIELDS, self.sums, strict=True))


@dataclass(slots=True)
class Counted:
    """Sightings of one member, counted.

    Attributes:
        weeks: What they come to by case and Monday; None for sightings without a date.
        looks: Those looked at, by case, in the order of time.
        last_met_at: When each case last came up, where that has a date.
    """

    weeks: dict[tuple[CaseKey, date | None], Cell] = field(default_factory=dict)
    looks: dict[CaseKey, list[Look]] = field(default_factory=dict)
    last_met_at: dict[CaseKey, datetime] = field(default_factory=dict)

    def totals(self) -> dict[CaseKey, list[float]]:
        """The sums of each case over its weeks."""
        totals: dict[CaseKey, list[float]] = {}
        for (key, _), cell in self.weeks.items():
            so_far = totals.get(key, [0] * len(SUM_FIELDS))
            totals[key] = [sum(pair) for pair in zip(so_far, cell.sums, strict=True)]
        return totals


def count_sightings(rows: Iterable[Mapping[str, Any]]) -> Counted:
    """A member's sightings counted, given in the order of time; skips among them.

    Args:
        rows: Of `Sighting`, with the kind and the date of the solve; ``told`` are its looks, or None
            where the case went in one look.
    """
    counted = Counted()
    for row in rows:
        key = CaseKey(row["solve__kind"], row["stage"], row["case"])
        at = row["solve__done_at"]
        week = None if at is None else week_of(at)
        cell = counted.weeks.get((key, week))
        if cell is None:
            cell = counted.weeks[key, week] = Cell()
        cell.add(row)
        if at is not None:
            counted.last_met_at[key] = at
        if row["n_looks"]:
            counted.looks.setdefault(key, []).append(read_look(row))
    return counted


def read_look(row: Mapping[str, Any]) -> Look:
    """The look at a sighting, a row as `count_sightings` takes it."""
    looks = row["told"]
    first = read_first_look(looks[0]) if looks else FirstLook(None)
    return Look(place_of(row["solve__done_at"], row["solve_id"]), row["is_one_look"], first)


Recent = Sequence[tuple[Place, bool]]
"""Looks at one case in the order of time: where each stands, and whether one look did it."""


def mistakes(looks: Sequence[Look], *, before: Recent = ()) -> Counter[Mistake]:
    """How often each mistake was made in looks at one case.

    Args:
        looks: In the order of time.
        before: The ``RECENT`` looks before them, or all if there are fewer.
    """
    return Counter(mistake for _, mistake in mistaken_looks(looks, before=before))


def mistaken_looks(looks: Sequence[Look], *, before: Recent = ()) -> Iterator[tuple[Look, Mistake]]:
    """The looks that `mistakes` counts, each with its mistake; arguments as there.

    A case is known where one of the ``RECENT`` looks before did it, within a year; a look that did
    half of the stage counts only where they make it likely too.
    """
    history = [*before, *((look.place, look.is_hit) for look in looks)]
    for n, look in enumerate(looks, start=len(before)):
        if look.first.mistake is not None and _counts(look, history[max(0, n - RECENT) : n]):
            yield look, look.first.mistake


def _counts(look: Look, recent: Recent) -> bool:
    """Whether what a look may have been counts as a mistake, by the looks before it."""
    if not look.first.if_known:
        return True
    one_looks = [place.dated_us for place, is_hit in recent if is_hit]
    if not is_known(one_looks, look.place.dated_us):
        return False
    return not look.first.is_half or chance_known(as_text(hit for _, hit in recent)) >= LIKELY


def as_text(hits: Iterable[bool]) -> str:
    """Looks as `logs.solves.figures.standing` reads them."""
    return "".join(HIT if hit else MISS for hit in hits)


def place_of(at: datetime | None, solve_id: int) -> Place:
    """The place of a solve's sightings."""
    return Place(UNDATED if at is None else (at - _EPOCH) // _MICROSECOND, solve_id)


def pack_places(places: Iterable[Place]) -> bytes:
    """Places in 16 bytes each."""
    return b"".join(_PLACE.pack(*place) for place in places)


def read_places(packed: bytes) -> list[Place]:
    """What `pack_places` packed."""
    return [Place(*place) for place in _PLACE.iter_unpack(packed)]


def _rounded(value: float) -> float:
    return round(value / LOG_UNIT) * LOG_UNIT
