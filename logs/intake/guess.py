"""A mapping for a file of unknown dialect, from what its cells hold, each guess with its reason.

What the cells leave open, such as a date with no day above the twelfth, is left open: None.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from cubecore.cube import SOLVED, after_turns
from cubecore.errors import CubeError
from cubecore.notation import PRIMES, parse_script
from cubecore.rows import Penalty
from logs.intake.guess_forms import (
    Guessed,
    guess_date_order,
    guess_decimal_mark,
    guess_plus_two,
    guess_time_unit,
    guess_turn_forms,
    has_plus_two,
)
from logs.intake.mapping import MAX_WORDS, ColumnMapping, Role, faults
from logs.intake.sample import Sample, is_mostly

_WORDS = {"+2": Penalty.PLUS_TWO, "+": Penalty.PLUS_TWO, "dnf": Penalty.DNF}
_NOTHING = {"0", "-", "no", "none", "ok", "false"}
_OWN = {role.value: role for role in Role if role is not Role.CLOCK}


@dataclass(frozen=True, slots=True)
class Guess:
    """A guess at how a file is to be read.

    Attributes:
        mapping: The guess; None in it is what the cells leave open.
        reasons: Why, by field; for a column by ``column-`` and its number from 0.
    """

    mapping: ColumnMapping
    reasons: dict[str, str]


def guess_mapping(sample: Sample) -> Guess:
    """How the file of ``sample`` is to be read, as far as its cells tell."""
    columns = _Columns(sample)
    columns.find()
    roles = tuple(columns.found.get(index) for index in range(sample.n_columns))
    mapping = ColumnMapping(
        encoding=sample.encoding,
        separator=sample.separator,
        roles=roles,
        names=sample.names,
        n_before=sample.n_before,
    )
    reasons = sample.reasons | {f"column-{at}": why for at, why in columns.reasons.items()}
    return guess_forms(Guess(mapping, reasons), sample)


def guess_forms(guess: Guess, sample: Sample) -> Guess:
    """``guess`` with units and forms for the columns that it names."""
    mapping, reasons = guess.mapping, dict(guess.reasons)

    def take(field: str, guessed: Guessed) -> None:
        nonlocal mapping
        mapping = replace(mapping, **{field: guessed.value})
        reasons[field] = guessed.reason

    cells = {role: sample.column(at) for at, role in enumerate(mapping.roles) if role}
    times = cells.get(Role.TIME, [])
    take("decimal_mark", guess_decimal_mark([*times, *cells.get(Role.TURN_MS, [])[:5]]))
    take("time_unit", guess_time_unit(times))
    take("date_order", guess_date_order(cells.get(Role.DONE_AT, [])))
    take("penalties", guess_penalties(cells.get(Role.PENALTY, [])))
    for field, guessed in guess_turn_forms(sample, mapping).items():
        take(field, guessed)
    take("is_plus_two_in_time", guess_plus_two(sample, mapping))
    return Guess(mapping, reasons)


_FIELDS_OF = {
    Role.TIME: ("time_unit", "decimal_mark", "is_plus_two_in_time"),
    Role.PENALTY: ("penalties",),
    Role.DONE_AT: ("date_order",),
    Role.TURN_MS: ("turn_unit", "turn_times", "turn_separator"),
}


def answer_guess(
    guess: Guess, sample: Sample, roles: Sequence[Role | None], answers: Mapping[str, Any]
) -> Guess:
    """``guess`` with what was said: the roles of columns, and their forms.

    Forms of a column that has not changed are taken from ``answers``, or stay; those of a column
    that holds something else now are guessed anew.
    """
    before = guess.mapping
    guessed = guess_forms(Guess(replace(before, roles=tuple(roles)), guess.reasons), sample)
    after = guessed.mapping
    same = [
        field
        for role, fields in _FIELDS_OF.items()
        if before.place(role) == after.place(role)
        for field in fields
    ]
    kept = {field: answers.get(field, getattr(before, field)) for field in same}
    return Guess(replace(after, **kept), guess.reasons | _reasons_of(guessed, set(kept)))


def _reasons_of(guess: Guess, said: set[str]) -> dict[str, str]:
    return {field: why for field, why in guess.reasons.items() if field not in said}


def open_questions(mapping: ColumnMapping, sample: Sample) -> dict[str, str]:
    """What must still be said before the file is read, by field: `faults`, and what rows show."""
    found = faults(mapping)
    known = {word.casefold() for word, _ in mapping.penalties}
    words = penalty_words(sample, mapping.place(Role.PENALTY))
    unknown = [word for word in words if word not in known]
    if unknown:
        found["penalties"] = f"Say what {', '.join(f'“{word}”' for word in unknown)} means."
    if mapping.is_plus_two_in_time is None and has_plus_two(sample, mapping):
        found["is_plus_two_in_time"] = "Say whether a time with +2 has the two seconds in it."
    return found


def penalty_words(sample: Sample, index: int | None) -> tuple[str, ...]:
    """The words that stand in a column of penalties, capitals put aside, in order of first use."""
    if index is None:
        return ()
    words = dict.fromkeys(cell.casefold() for cell in sample.column(index))
    return tuple(words)[:MAX_WORDS]


def guess_penalties(cells: list[str]) -> Guessed:
    """What the words of a penalty column mean, as far as they say so themselves."""
    meanings = []
    for word in list(dict.fromkeys(cell.casefold() for cell in cells))[:MAX_WORDS]:
        if word in _WORDS:
            meanings.append((word, _WORDS[word]))
        elif word in _NOTHING:
            meanings.append((word, Penalty.NONE))
    return Guessed(tuple(meanings), "Words that say themselves what they mean are filled in.")


class _Columns:
    """Which column holds what; each is taken once."""

    def __init__(self, sample: Sample) -> None:
        self.sample = sample
        self.found: dict[int, Role] = {}
        self.reasons: dict[int, str] = {}
        self.kinds = {
            kind: [at for at in range(sample.n_columns) if is_mostly(sample.column(at), kind)]
            for kind in ("turns", "turn_times", "moment", "clock", "time")
        }

    def find(self) -> None:
        self.take_turns()
        self.take_moment()
        self.take_turn_times()
        self.take_time()
        self.take_penalty()
        note = self.own("note")
        if note is not None:
            self.take(note, Role.NOTE, "Its name is the one we use.")

    def take(self, at: int, role: Role, reason: str) -> None:
        self.found[at] = role
        self.reasons[at] = reason

    def own(self, name: str) -> int | None:
        """The column that bears the name of one of ours and is not taken."""
        names = [one.strip().casefold() for one in self.sample.names]
        free = [at for at, one in enumerate(names) if one == name and at not in self.found]
        return free[0] if len(free) == 1 else None

    def free(self, kind: str) -> list[int]:
        return [at for at in self.kinds[kind] if at not in self.found]

    def take_turns(self) -> None:
        columns = self.free("turns")
        if not columns:
            return
        if len(columns) == 1:
            is_solution = self.own("solution") == columns[0]
            role = Role.SOLUTION if is_solution else Role.SCRAMBLE
            self.take(columns[0], role, "Its cells are turns.")
            return
        first, second, n_solve = self.best_pair(columns)
        scramble, solution = self.in_order(first, second)
        how = f"in {n_solve} of the first rows the two together solve the cube"
        if not n_solve:
            how = "another column holds turns too, and no row shows which undoes which"
        self.take(scramble, Role.SCRAMBLE, f"Its cells are turns; {how}.")
        self.take(solution, Role.SOLUTION, f"Its cells are turns; {how}.")

    def best_pair(self, columns: list[int]) -> tuple[int, int, int]:
        """The two columns of turns that solve the cube together most often, and how often."""
        pairs = [
            (first, second, self.count_solving(first, second))
            for place, first in enumerate(columns[:6])
            for second in columns[place + 1 : 6]
        ]
        return max(pairs, key=lambda pair: pair[2])

    def count_solving(self, first: int, second: int) -> int:
        rows = [row for row in self.sample.rows[:20] if row[first] and row[second]]
        return sum(_solves(row[first], row[second]) for row in rows)

    def in_order(self, first: int, second: int) -> tuple[int, int]:
        """Scramble, solution: by our own names, else the one that only turns faces goes first."""
        if self.own("solution") == first or self.own("scramble") == second:
            return second, first
        if self.own("solution") == second or self.own("scramble") == first:
            return first, second
        odd = [self.oddness(at) for at in (first, second)]
        return (second, first) if odd[0] > odd[1] else (first, second)

    def oddness(self, at: int) -> int:
        """How many cells hold more than turns of faces: a scramble never does."""
        plain = set("URFDLB23 " + PRIMES)
        return sum(not set(cell) <= plain for cell in self.sample.column(at))

    def take_turn_times(self) -> None:
        columns = self.free("turn_times")
        if columns:
            own = self.own("turn_ms")
            at = own if own in columns else columns[0]
            self.take(at, Role.TURN_MS, "Each of its cells is a list of numbers.")

    def take_moment(self) -> None:
        columns = self.free("moment")
        if not columns:
            return
        own = self.own("done_at")
        at = own if own in columns else columns[0]
        self.take(at, Role.DONE_AT, "Its cells are dates.")
        clocks = [
            clock
            for clock in self.free("clock")
            if clock != self.own("time") and set(self.free("time")) - {clock}
        ]
        has_clock = any(":" in cell for cell in self.sample.column(at))
        if clocks and not has_clock:
            self.take(clocks[0], Role.CLOCK, "Its cells are times of day, and the date has none.")

    def take_time(self) -> None:
        columns = [at for at in self.free("time") if not self.is_counter(at)]
        if not columns:
            return
        own = self.own("time")
        at = own if own in columns else max(columns, key=self.time_rank)
        others = [str(other + 1) for other in columns if other != at]
        also = ""
        if others and at != own:
            also = f" So are those of column {' and '.join(others)}: look which is the solve’s."  # noqa: RUF001 - the site's own apostrophe
        self.take(at, Role.TIME, f"Its cells are times.{also}")

    def time_rank(self, at: int) -> tuple[float, int, int]:
        cells = self.sample.column(at)
        parted = sum(any(mark in cell for mark in ".,:") for cell in cells) / len(cells)
        return (round(parted, 1), len(cells), -at)

    def is_counter(self, at: int) -> bool:
        """Whether its cells only number the rows, or stay the same."""
        cells = self.sample.column(at)
        if not all(cell.isascii() and cell.isdecimal() and len(cell) < 7 for cell in cells):
            return False
        numbers = [int(cell) for cell in cells]
        steps = {later - sooner for sooner, later in pairwise(numbers)}
        return len(numbers) > 1 and steps in ({0}, {1}, {-1})

    def take_penalty(self) -> None:
        own = self.own("penalty")
        if own is not None:
            self.take(own, Role.PENALTY, "Its name is the one we use.")
            return
        for at in range(self.sample.n_columns):
            words = {cell.casefold() for cell in self.sample.column(at)}
            if at not in self.found and words & {"+2", "dnf"} and len(words) <= MAX_WORDS:
                self.take(at, Role.PENALTY, "It holds +2 or DNF.")
                return


def _solves(scramble: str, solution: str) -> bool:
    try:
        turns = parse_script(scramble).turns + parse_script(solution).turns
    except CubeError:
        return False
    return after_turns(SOLVED, turns) == SOLVED
