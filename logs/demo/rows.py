"""A member's rows: what the log says, and beside it the truth."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from random import Random
from typing import Any

from logs.demo.calendar import Moment, schedule
from logs.demo.fate import Fate, draw_fate
from logs.demo.members import Club, Member
from logs.demo.recording import Recording, record
from logs.demo.scrambles import drill_scramble, random_scramble
from logs.demo.solver import Attempt, attempt
from logs.demo.spoiling import SPOILT, spoil
from logs.demo.truth import row_truth

SENSORS = ("sensor", "quarters")
_NOTES = (
    "new cube",
    "lucky",
    "lost the last pair",
    "cold hands",
    "club night",
    "nearly dropped it",
)


@dataclass(frozen=True)
class LogRow:
    """One row of a log.

    Attributes:
        values: The columns as they are written.
        truth: What it is to be read as.
    """

    values: dict[str, Any]
    truth: dict[str, Any]


def format_time(time_ms: int, *, exact: bool) -> str:
    """``12.34`` or ``1:02.34``; with the thousandth when ``exact``."""
    minutes, rest = divmod(time_ms, 60_000)
    seconds = f"{rest / 1000:06.3f}" if minutes else f"{rest / 1000:.3f}"
    text = f"{minutes}:{seconds}" if minutes else seconds
    return text if exact else text[:-1]


def member_rows(club: Club, member: Member, limit: int | None = None) -> Iterator[LogRow]:
    """The rows of ``member``, oldest first; each has its own seed, so a few are like the whole."""
    moments = schedule(member, club.zone, _random(f"{club.seed} {member.nickname}"))
    for number, moment in islice(enumerate(moments, start=1), limit):
        rng = _random(f"{club.seed} {member.nickname} {number}")
        spoilt = SPOILT.get(number) if member.bad_rows else None
        yield _spoilt_row(member, moment, rng, spoilt) if spoilt else _row(member, moment, rng)


def _random(seed: str) -> Random:
    return Random(seed)  # noqa: S311 - invented data, no secret


def _row(member: Member, moment: Moment, rng: Random) -> LogRow:
    day = moment.at.date()
    is_drill = moment.is_drill
    scramble = drill_scramble(member, rng) if is_drill else random_scramble(rng)
    kinds = [kind for kind in member.kinds if not is_drill or kind != "time_only"]
    kind = rng.choices(kinds, [member.kinds[kind] for kind in kinds])[0]
    done = attempt(scramble, member, day, rng, draw_fate(member, rng), drill=is_drill)
    return _logged(member, moment, rng, kind, done)


def _logged(member: Member, moment: Moment, rng: Random, kind: str, done: Attempt) -> LogRow:
    time_ms = _timer_ms(done, kind, rng)
    values: dict[str, Any] = {
        "done_at": _done_at(member, moment),
        "scramble": " ".join(done.scramble),
        "time": _time(member, kind, time_ms),
        "penalty": done.fate.penalty,
    }
    truth: dict[str, Any] = {
        "log": kind,
        "status": done.fate.status,
        "fate": done.fate.value,
        "time_ms": time_ms,
    }
    if kind == "time_only":
        truth |= {"kind": None, "cross": None}
    else:
        recording = record(done, member, kind, rng)
        values |= _turn_values(recording)
        truth |= row_truth(done, recording)
    if rng.random() < 0.02:
        values["note"] = rng.choice(_NOTES)
    return LogRow(values, truth)


def _turn_values(recording: Recording) -> dict[str, Any]:
    values: dict[str, Any] = {"solution": recording.solution}
    if recording.turn_ms is not None:
        values["turn_ms"] = list(recording.turn_ms)
    return values


def _timer_ms(done: Attempt, kind: str, rng: Random) -> int:
    """The timer's reading: a sensor stops with the last turn, a hand a little later."""
    time_ms = done.hand.made[-1].end_ms
    if done.fate.penalty == "DNF" and done.fate is not Fate.DNF_SOLVED:
        time_ms += rng.randint(400, 2500)
    if kind in SENSORS:
        return time_ms
    return (time_ms + rng.randint(40, 220)) // 10 * 10


def _time(member: Member, kind: str, time_ms: int) -> str | float:
    is_exact = kind in SENSORS
    if member.format == "jsonl" and is_exact and time_ms < 60_000:
        return time_ms / 1000
    return format_time(time_ms, exact=is_exact)


def _done_at(member: Member, moment: Moment) -> str:
    at = moment.at.replace(tzinfo=None) if member.local_time else moment.at
    return at.isoformat(timespec="seconds")


def _spoilt_row(member: Member, moment: Moment, rng: Random, code: str) -> LogRow:
    """A typed row that is to be set aside for the reason ``code``."""
    fate = Fate.PLUS_TWO_LAST_TURN if code == "off_by_one" else Fate.SOLVED
    while True:
        done = attempt(random_scramble(rng), member, moment.at.date(), rng, fate, drill=False)
        if done.fate is fate:
            break
    row = _logged(member, moment, rng, "typed", done)
    return LogRow(*spoil(row.values, row.truth, code))
