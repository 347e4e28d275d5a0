"""What a row says, as it was sent or as it stands; two rows of one attempt held against each other.

Nothing here touches the database.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime
from typing import Any

from cubecore.compact import compact_row, read_turns
from logs.intake.rows import ReadRow
from logs.solves.models.solves import Solve
from logs.solves.services.labels import raw_fields, stored_row, turn_fields

ATTEMPT = (
    *("scramble", "time_ms", "penalty", "solution"),
    *("turn_ms", "mark_ms", "timed_by", "step_ms"),
)
"""Fields that must fit each other: a correction of one of them keeps them all."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What a row says, in the texts that `Solve` keeps; what it does not say is empty or None."""

    scramble: str
    time_ms: int
    penalty: str
    solution: str
    turn_ms: str
    note: str
    done_at: datetime | None
    mark_ms: str = ""
    timed_by: str = ""
    step_ms: int | None = None

    @property
    def times(self) -> tuple[str, str]:
        """The times of its turns and its marks."""
        return self.turn_ms, self.mark_ms

    @property
    def fullness(self) -> tuple[bool, bool, bool]:
        """How much it tells of its turns: of two rows of one attempt the greater tells more."""
        return bool(self.solution), bool(self.turn_ms), bool(self.mark_ms)


NAMES = tuple(field.name for field in fields(Sent))


def sent_of(solve: Solve) -> Sent:
    """What a solve says as it stands."""
    return Sent(**{name: getattr(solve, name) for name in NAMES})


def sent_of_read(read: ReadRow) -> Sent:
    """What a row of a file says."""
    return Sent(**raw_fields(read.row), done_at=read.done_at)


def sent_to_json(sent: Sent) -> dict[str, Any]:
    """The row as it is kept; `sent_from_json` reads it back."""
    return asdict(sent) | {"done_at": sent.done_at and sent.done_at.isoformat()}


def sent_from_json(kept: Mapping[str, Any] | None) -> Sent:
    """The row that was kept."""
    assert kept is not None
    return edited(Sent("", 0, "", "", "", "", None), kept)


def first_sent(solve: Solve) -> Sent:
    """What the first row of a solve says, as it was sent."""
    return sent_of(solve) if solve.as_sent is None else sent_from_json(solve.as_sent)


def edited(sent: Sent, correction: Mapping[str, Any] | None) -> Sent:
    """The row with the fields of a correction, which is ready for JSON, in the place of its own."""
    changes = dict(correction or {})
    if changes.get("done_at"):
        changes["done_at"] = datetime.fromisoformat(changes["done_at"])
    return replace(sent, **changes)


def contradictions(old: Sent, new: Sent) -> tuple[str, ...]:
    """The fields in which two rows of one attempt say something else."""
    names = [name for name in ("time_ms", "penalty") if getattr(old, name) != getattr(new, name)]
    if old.done_at and new.done_at and old.done_at != new.done_at:
        names.append("done_at")
    if old.solution and new.solution:
        if old.solution != new.solution and _outer_turns(old) != _outer_turns(new):
            names.append("solution")
        elif old.solution == new.solution:
            names += [
                name
                for name in ("turn_ms", "mark_ms")
                if getattr(old, name) and getattr(new, name)
                if getattr(old, name) != getattr(new, name)
            ]
    return tuple(names)


def _outer_turns(sent: Sent) -> object:
    return read_turns(stored_row(sent)).turns


def adds(old: Sent, new: Sent) -> bool:
    """Whether a row says something that another of the same attempt leaves open."""
    names = ["done_at", "note"]
    if new.times == old.times:
        names += ["timed_by", "step_ms"]
    is_fuller = new.fullness > old.fullness
    return is_fuller or any(getattr(new, name) and not getattr(old, name) for name in names)


def completed(old: Sent, new: Sent) -> Sent:
    """A row with what another adds to it."""
    turns, other = (new, old) if new.fullness > old.fullness else (old, new)
    like = other if turns.times == other.times else turns
    return replace(
        old,
        scramble=turns.scramble,
        solution=turns.solution,
        turn_ms=turns.turn_ms,
        mark_ms=turns.mark_ms,
        timed_by=turns.timed_by or like.timed_by,
        step_ms=turns.step_ms or like.step_ms,
        note=old.note or new.note,
        done_at=old.done_at or new.done_at,
    )


def corrected(old: Sent, new: Sent) -> Sent:
    """A row with what another says in its place; times of turns do not outlive the time."""
    turns = new if new.solution else old
    is_outlived = turns is old and new.time_ms != old.time_ms
    return replace(
        new,
        scramble=turns.scramble,
        solution=turns.solution,
        turn_ms="" if is_outlived else turns.turn_ms,
        mark_ms="" if is_outlived else turns.mark_ms,
        timed_by=turns.timed_by,
        step_ms=turns.step_ms,
        note=new.note or old.note,
        done_at=new.done_at or old.done_at,
    )


def place_of(sent: Sent) -> int:
    """`Solve.place` of a row."""
    place: int = turn_fields(compact_row(stored_row(sent)))["place"]
    return place


def read_of(line: int, sent: Sent) -> ReadRow:
    """The row as a file's reader gives it."""
    return ReadRow(line, "", stored_row(sent), sent.done_at)
