"""How a row begins and ends: its scramble's position, and whether its solution solved it."""

from cubecore.compact import TurnedRow
from cubecore.cube import SOLVED, TURN_TABLES, Places, after_turns
from cubecore.errors import NotSolvedError, RowError
from cubecore.hints import hold_hint
from cubecore.rows import PLUS_TWO_MS, Penalty
from cubecore.turns import NO_TURNS, Turns
from cubecore.words import Word


class Status(Word):
    """How a row ended."""

    SOLVED = "solved"
    PLUS_TWO = "plus_two"
    DNF = "dnf"
    NOT_SOLVED = "not_solved"
    REFUSED = "refused"


STATUS_OF_PENALTY: dict[Penalty, Status] = {
    Penalty.NONE: Status.SOLVED,
    Penalty.PLUS_TWO: Status.PLUS_TWO,
    Penalty.DNF: Status.DNF,
}
_NO_PENALTY, _SOLVED = Penalty.NONE, Status.SOLVED


def counted_ms(time_ms: int, status: str) -> int | None:
    """The time that a row counts with, ms: two seconds more for a +2; None for a DNF.

    WCA Regulations, Article 10e3 (from memory); what the turns did not solve is a DNF.
    """
    if status == Status.PLUS_TWO:
        return time_ms + PLUS_TWO_MS
    return time_ms if status == Status.SOLVED else None


def scrambled(turns: Turns) -> Places:
    """The position that a scramble leads to.

    Raises:
        RowError: It is solved.
    """
    start = after_turns(SOLVED, turns)
    if start == SOLVED:
        raise RowError(
            "scramble_solved",
            "scramble: it leaves the cube solved; give the turns that mixed it.",
            field="scramble",
        )
    return start


def end_status(row: TurnedRow, start: Places, end: Places) -> Status:
    """How a solution ended that led from ``start`` to ``end``.

    Raises:
        NotSolvedError: It does not solve the scramble and the row is no DNF.
    """
    if end == SOLVED and row.penalty is _NO_PENALTY:
        return _SOLVED
    if row.penalty is Penalty.DNF or end == SOLVED:
        return STATUS_OF_PENALTY[row.penalty]
    off_by_one = any(end.translate(table) == SOLVED for table in TURN_TABLES)
    if off_by_one and row.penalty is Penalty.PLUS_TWO:
        return Status.PLUS_TWO
    if off_by_one:
        raise NotSolvedError(
            "off_by_one",
            "solution: one turn is missing at the end; if the solve got a +2, say so in penalty.",
            field="solution",
        )
    raise NotSolvedError(
        "not_solved",
        "solution: its turns do not solve this scramble"
        + hold_hint(start, row.turns or NO_TURNS, row.hold),
        field="solution",
    )
