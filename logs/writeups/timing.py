"""The times of a solve that is being written: stamps of its turns, or five marks.

Stamps are read off a video by the page's script, marks are typed or read off. Both stand in the
draft from where the hands start.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Any

from cubecore.errors import RowError
from cubecore.notation import MAX_TOKENS, Token
from cubecore.rows import MARK_NAMES, MAX_STEP_MS, MAX_TIME_MS, TimedBy, parse_time
from logs.writeups.models import Writeup

NONE = "-"
APART_MS = 200
"""From where the last stamp and the timer's reading are said to be apart."""
MARK_LENGTH = 20
STAMP_LENGTH = 8


class TimingKind(StrEnum):
    """What times a solve would go into the log with."""

    NONE = "none"
    SOME_TURNS = "some_turns"
    TURNS = "turns"
    MARKS = "marks"


@dataclass(frozen=True, slots=True)
class Timing:
    """The times of a writeup.

    Attributes:
        kind: What it would go into the log with.
        marks: The five marks as they were typed, empty for none.
        timed_by: What the marks were taken with.
        start_ms: Where in the video the hands start; null for not said.
        step_ms: How fine the instrument is, ms; null for not said.
        turn_ms: The end of each turn of a layer as written, ms, null for one without.
        falling: The number, from 1, of the first stamp before the one before it; null for none.
        last_ms: The end of the last turn, ms; null unless every turn has one.
        apart_ms: How far that lies from the timer's reading, where it is said; else null.
    """

    kind: TimingKind
    marks: tuple[str, ...]
    timed_by: TimedBy
    start_ms: int | None
    step_ms: int | None
    turn_ms: tuple[int | None, ...]
    falling: int | None
    last_ms: int | None
    apart_ms: int | None


def timing_of(writeup: Writeup, tokens: tuple[Token, ...]) -> Timing:
    """The times of a writeup whose text is read as ``tokens``.

    Stamps of another number of turns than are written count for none.
    """
    n_turns = sum(token.turns_a_layer for token in tokens)
    stamps = _stamps(writeup.turn_ms)
    if len(stamps) != n_turns or set(stamps) <= {None}:
        stamps = (None,) * n_turns
    given = [stamp for stamp in stamps if stamp is not None]
    marks = _marks(writeup.marks)
    kind = TimingKind.MARKS if any(marks) else TimingKind.NONE
    if given:
        kind = TimingKind.TURNS if len(given) == n_turns else TimingKind.SOME_TURNS
    last_ms = given[-1] if kind is TimingKind.TURNS else None
    return Timing(
        kind=kind,
        marks=marks,
        timed_by=TimedBy(writeup.timed_by or TimedBy.HAND),
        start_ms=writeup.start_ms,
        step_ms=writeup.step_ms,
        turn_ms=stamps,
        falling=next(_falling(stamps), None),
        last_ms=last_ms,
        apart_ms=None if last_ms is None else _apart(last_ms, writeup),
    )


def _stamps(text: str) -> tuple[int | None, ...]:
    return tuple(None if word == NONE else int(word) for word in text.split())


def _marks(text: str) -> tuple[str, ...]:
    words = ["" if word == NONE else word for word in text.split()]
    return tuple(words) if len(words) == len(MARK_NAMES) else ("",) * len(MARK_NAMES)


def _falling(stamps: tuple[int | None, ...]) -> Iterator[int]:
    numbered = [(n, stamp) for n, stamp in enumerate(stamps, start=1) if stamp is not None]
    for (_, before), (n, after) in pairwise([(0, 0), *numbered]):
        if after < before:
            yield n


def _apart(last_ms: int, writeup: Writeup) -> int | None:
    try:
        time_ms = parse_time(writeup.time) if writeup.solve is None else writeup.solve.time_ms
    except RowError:  # it is checked when the draft is begun
        return None
    return apart if (apart := abs(time_ms - last_ms)) > APART_MS else None


def timing_fields(sent: Mapping[str, str]) -> dict[str, Any]:
    """The fields of a draft's times that a form sent; what cannot be one is left out."""
    stamps = sent.get("turn_ms", "").split()[:MAX_TOKENS]
    marks = ["".join(sent.get(f"mark_{n}", "").split())[:MARK_LENGTH] for n in range(1, 6)]
    timed_by = sent.get("timed_by", "")
    return {
        "turn_ms": " ".join(map(_stamp_text, stamps)),
        "start_ms": _bounded(sent.get("start_ms", ""), MAX_TIME_MS),
        "marks": " ".join(mark or NONE for mark in marks) if any(marks) else "",
        "timed_by": timed_by if timed_by in set(TimedBy) else "",
        "step_ms": _bounded(sent.get("step_ms", ""), MAX_STEP_MS),
    }


def _stamp_text(word: str) -> str:
    digits = word.removeprefix("-")
    is_whole = digits.isdecimal() and digits.isascii() and len(word) <= STAMP_LENGTH
    return word if is_whole else NONE


def _bounded(text: str, most: int) -> int | None:
    text = text.strip()
    is_whole = text.isdecimal() and text.isascii() and len(text) <= STAMP_LENGTH
    return int(text) if is_whole and int(text) <= most else None


def row_times(timing: Timing) -> dict[str, Any]:
    """The fields of a log's row that say these times.

    Raises:
        RowError: A mark is no time, or turns have no stamp; names field and mend.
    """
    if timing.kind is TimingKind.NONE:
        return {}
    if timing.kind is TimingKind.MARKS:
        return {
            "mark_ms": [_mark_ms(n, mark) for n, mark in enumerate(timing.marks)],
            "timed_by": str(timing.timed_by),
            "step_ms": timing.step_ms,
        }
    if timing.kind is TimingKind.SOME_TURNS:
        n_open = timing.turn_ms.count(None)
        mend = "stamp the rest, or put it into your log without them"
        message = f"turn_ms: {n_open} of {len(timing.turn_ms)} turns have no stamp; {mend}."
        raise RowError("stamps_missing", message, field="turn_ms")
    return {
        "turn_ms": list(timing.turn_ms),
        "timed_by": str(TimedBy.VIDEO),
        "step_ms": timing.step_ms,
    }


def _mark_ms(n: int, mark: str) -> int | None:
    if not mark:
        return None
    try:
        return parse_time(mark)
    except RowError as error:
        what = f"mark_ms: mark {n + 1}, {MARK_NAMES[n]}, is {mark!r}"
        raise RowError(
            error.code, f"{what}; write seconds as 12.34, or nothing.", field="mark_ms"
        ) from error
