"""A log as a plain model: lists and dicts, no keys, no chunks, no tallies; for random orders of acts.

An attempt is one of a few; a row of it says that it has a solution, turn times, a date or a note, and
which penalty it had. What the model knows is the rule as README tells it, and nothing of tables.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

TELLING = ("doubled", "completes", "corrects")


@dataclass(frozen=True)
class Says:
    """What a row says of an attempt; ``date`` is 0 for none, and 2 for one that was given by hand."""

    has_solution: bool
    has_turn_times: bool
    date: int
    penalty: str
    note: str

    @property
    def key(self) -> tuple[Any, ...]:
        """What makes two rows the same row."""
        return self.has_solution, self.date, self.penalty


@dataclass(eq=False)
class Row:
    """A row of a file; ``number`` is the solve that it is, tells of or contradicts."""

    file: int
    line: int
    attempt: int
    says: Says
    fate: str = ""
    number: int = 0
    decided: int = 0
    is_same: bool = False
    correction: dict[str, Any] = field(default_factory=dict)


@dataclass(eq=False)
class File:
    """A file that was sent, in the log or taken back."""

    number: int
    rows: list[Row]
    is_away: bool = False


@dataclass(eq=False)
class Solve:
    """A solve of the log, by its first row."""

    number: int
    row: Row
    correction: dict[str, Any] = field(default_factory=dict)


class PlainLog:
    """All files, and the solves that they come to."""

    def __init__(self) -> None:
        self.files: list[File] = []
        self.solves: dict[int, Solve] = {}
        self.newest = 0
        self.clock = 0

    def rows(self) -> Iterator[Row]:
        """The rows that count: of files that are not taken back."""
        return (row for file in self.files if not file.is_away for row in file.rows)

    def told(self, solve: Solve) -> Says:
        """What a solve is."""
        rows = [row for row in self.rows() if row.number == solve.number]
        says = solve.row.says
        for row in sorted(rows, key=lambda row: (row.file, row.line)):
            says = _completed(says, row.says) if row.fate == "completes" else says
        for row in sorted(rows, key=lambda row: row.decided):
            says = _corrected(says, row.says) if row.fate == "corrects" else says
        return replace(says, **solve.correction)

    def log(self) -> list[tuple[int, Says]]:
        """Every solve: which attempt it is, and what is told of it."""
        told = [(solve.row.attempt, self.told(solve)) for solve in self.solves.values()]
        return sorted(told, key=repr)

    def counts(self) -> list[dict[str, int]]:
        """How many rows of each file met which fate."""
        return [
            {fate: sum(row.fate == fate for row in file.rows) for fate in FATES}
            for file in self.files
        ]

    def upload(self, rows: list[tuple[int, Says]]) -> None:
        """A file is sent."""
        number = len(self.files)
        file = File(number, [])
        self.files.append(file)
        for line, (attempt, says) in enumerate(rows, start=1):
            row = Row(number, line, attempt, says)
            self._arrive(row)
            file.rows.append(row)

    def take_back(self, number: int) -> None:
        """A file is taken back: what others have too stays."""
        file = self.files[number]
        file.is_away = True
        for row in file.rows:
            if row.fate == "taken":
                solve = self.solves[row.number]
                row.correction = dict(solve.correction)
                heir = self._heir(row.number)
                if heir is None:
                    del self.solves[row.number]
                else:
                    row.fate, row.decided = _beside(heir), heir.decided
                    heir.fate, heir.decided, heir.is_same = "taken", 0, False
                    solve.row = heir
            elif row.fate == "deleted" and (heir := self._heir(row.number)):
                between = _beside(heir), heir.decided
                heir.fate, heir.correction, heir.decided = "deleted", row.correction, row.decided
                heir.is_same = False
                row.fate, row.decided = between

    def _heir(self, number: int) -> Row | None:
        rows = [row for row in self.rows() if row.number == number and row.fate in TELLING]
        return min(
            rows,
            key=lambda row: (
                not row.is_same,
                row.decided > 0,
                row.fate == "corrects",
                row.decided if row.fate == "corrects" else 0,
                row.file,
                row.line,
            ),
            default=None,
        )

    def put_back(self, number: int) -> None:
        """A file is put back, as if it came now; what was decided of its rows stays decided."""
        file = self.files[number]
        rows, file.rows = file.rows, []
        file.is_away = False
        for row in rows:
            self._arrive(row)
            file.rows.append(row)

    def delete(self, number: int) -> None:
        """A solve is deleted."""
        solve = self.solves.pop(number)
        row = solve.row
        row.fate, row.correction, row.decided = "deleted", dict(solve.correction), self._now()

    def restore(self, row: Row) -> None:
        """A deleted solve is put back."""
        row.fate, row.decided = "taken", 0
        self.solves[row.number] = Solve(row.number, row, dict(row.correction))

    def correct(self, number: int, **changes: Any) -> bool:
        """A solve is corrected by hand; whether it can be."""
        solve = self.solves[number]
        old = self.told(solve)
        new = replace(old, **changes)
        others = [s for s in self.solves.values() if s is not solve]
        if new == old:
            return True
        like = [s for s in others if s.row.attempt == solve.row.attempt]
        if new.date and any(s.row.says.key == new.key for s in like):
            return False
        if "penalty" in changes or "has_solution" in changes:
            changes |= {
                name: getattr(new, name) for name in ("has_solution", "has_turn_times", "penalty")
            }
        solve.correction |= changes
        return True

    def decide(self, row: Row, choice: str) -> None:
        """It is decided what becomes of a row on hold."""
        now = self._now()
        if choice == "log":
            row.fate, row.decided = "doubled", now
        elif choice == "row" and row.number in self.solves:
            row.fate, row.decided = "corrects", now
        else:
            row.fate, row.number = "", 0
            self._arrive(row, is_new=True)
        for like in self.rows():
            if (like.fate, like.attempt, like.says.key) == ("on_hold", row.attempt, row.says.key):
                like.fate, like.number, like.decided = "doubled", row.number, now

    def _now(self) -> int:
        self.clock += 1
        return self.clock

    def _arrive(self, row: Row, *, is_new: bool = False) -> None:
        """Say what becomes of a row, and make it a solve where it is a new one."""
        before, row.is_same = row.fate, False
        is_known = row.number in self.solves or self._deleted(row.number)
        if row.decided and before in TELLING and is_known:
            row.correction = {}
            return
        fate, number = self._known(row, is_new=is_new)
        if fate:
            row.fate, row.number, row.correction, row.decided = fate, number, {}, 0
            return
        if row.number == 0 or is_known:
            self.newest += 1
            row.number = self.newest
        if before == "deleted":
            row.fate = "deleted"
            return
        row.fate, row.decided = "taken", 0
        self.solves[row.number] = Solve(row.number, row, dict(row.correction))

    def _known(self, row: Row, *, is_new: bool) -> tuple[str, int]:
        """The fate of a row of which the log knows the attempt, and the solve's number."""
        number = self._of_same_key(row)
        if number:
            return self._of_like(row, number)
        if is_new:
            return "", 0
        held = [
            other.number
            for other in self.rows()
            if other.fate == "on_hold" and _is_like(other, row) and other.number in self.solves
        ]
        return ("on_hold", held[-1]) if held else self._telling(row)

    def _of_same_key(self, row: Row) -> int:
        for solve in self.solves.values():
            if _is_like(solve.row, row):
                return solve.number
        numbers = [
            other.number
            for other in self.rows()
            if other.fate in (*TELLING, "deleted")
            and not other.is_same
            and _is_like(other, row)
            and (other.number in self.solves or self._deleted(other.number))
        ]
        return numbers[-1] if numbers else 0

    def _deleted(self, number: int) -> Row | None:
        rows = [row for row in self.rows() if (row.number, row.fate) == (number, "deleted")]
        return rows[0] if rows else None

    def _of_like(self, row: Row, number: int) -> tuple[str, int]:
        solve = self.solves.get(number)
        if solve is not None:
            told, first = self.told(solve), solve.row.says
            is_changed = told != first
        else:
            deleted = self._deleted(number)
            assert deleted is not None
            first, is_changed = deleted.says, bool(deleted.correction)
            told = replace(first, **deleted.correction)
        if _agrees(told, row.says) and _adds(told, row.says):
            return "completes", number
        row.is_same = not is_changed and (first.key, told) == (row.says.key, row.says)
        return "doubled", number

    def _telling(self, row: Row) -> tuple[str, int]:
        """By what other files tell of the attempt; one solve for each row of a file."""
        solves = [(s.number, self.told(s), s.row) for s in self.solves.values()]
        gone = [
            (r.number, replace(r.says, **r.correction), r)
            for r in self.rows()
            if r.fate == "deleted"
        ]
        of_attempt = [
            (number in self.solves, told, number)
            for number, told, first in solves + gone
            if first.attempt == row.attempt
            and not (told.date and row.says.date and told.date != row.says.date)
        ]
        of_attempt.sort(key=lambda one: (not one[0], one[1].date == 0, one[2]))
        for _, told, number in of_attempt:
            if _agrees(told, row.says):
                return ("completes" if _adds(told, row.says) else "doubled"), number
        live = [number for is_live, _, number in of_attempt if is_live]
        return ("on_hold", live[0]) if live else ("", 0)


FATES = ("taken", *TELLING, "on_hold", "deleted")


def _beside(heir: Row) -> str:
    """What becomes of a row whose heir stands for it, by what was decided between the two."""
    if not heir.decided:
        return "taken"
    return "doubled" if heir.fate == "corrects" else "corrects"


def _is_like(one: Row, other: Row) -> bool:
    return (one.attempt, one.says.key) == (other.attempt, other.says.key)


def _agrees(old: Says, new: Says) -> bool:
    return old.penalty == new.penalty and not (old.date and new.date and old.date != new.date)


def _adds(old: Says, new: Says) -> bool:
    return (
        (bool(new.date) and not old.date)
        or (new.has_solution and not old.has_solution)
        or (new.has_turn_times and not old.has_turn_times)
        or (bool(new.note) and not old.note)
    )


def _completed(old: Says, new: Says) -> Says:
    return replace(
        old,
        has_solution=old.has_solution or new.has_solution,
        has_turn_times=old.has_turn_times or new.has_turn_times,
        date=old.date or new.date,
        note=old.note or new.note,
    )


def _corrected(old: Says, new: Says) -> Says:
    turns = new if new.has_solution else old
    return replace(
        old,
        has_solution=turns.has_solution,
        has_turn_times=turns.has_turn_times,
        penalty=new.penalty,
        date=new.date or old.date,
        note=new.note or old.note,
    )
