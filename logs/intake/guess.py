"""A mapping for a file of unknown dialect, from what its cells hold, each guess with its reason.

What the cells leave open, such as a date with no day above the twelfth, is left open: None.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from cubecore.rows import Penalty
from logs.intake.cells import split_turn_times
from logs.intake.guess_forms import (
    Guessed,
    guess_date_order,
    guess_decimal_mark,
    guess_plus_two,
    guess_time_unit,
    guess_turn_forms,
    has_plus_two,
)
from logs.intake.mapping import MAX_WORDS, ColumnMapping, Meaning, Role, faults
from logs.intake.sample import KINDS, Sample, turn_separator
from logs.intake.turn_columns import tell_turn_columns

_WORDS = {"+2": Penalty.PLUS_TWO, "+": Penalty.PLUS_TWO, "dnf": Penalty.DNF}
_NOTHING = {"0", "-", "no", "none", "ok", "false"}
_RANK_SLACK = 0.5
"""How far columns of times may lie apart and still be as likely the solve's."""
_SLIP_SHARE = 0.1
"""Share of a counter's steps that may be other than the usual."""


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
    columns = _ColumnRoles(sample)
    columns.guess()
    roles = tuple(columns.roles.get(index) for index in range(sample.n_columns))
    mapping = ColumnMapping(
        encoding=sample.encoding,
        separator=sample.separator,
        roles=roles,
        names=sample.names,
        n_before=sample.n_before,
        table=sample.table,
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
    """``guess`` with the answers: the roles of columns, and their forms.

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
    unchanged = {field: answers.get(field, getattr(before, field)) for field in same}
    return Guess(replace(after, **unchanged), guess.reasons | _reasons_of(guessed, set(unchanged)))


def _reasons_of(guess: Guess, answered: set[str]) -> dict[str, str]:
    return {field: why for field, why in guess.reasons.items() if field not in answered}


def open_questions(mapping: ColumnMapping, sample: Sample) -> dict[str, str]:
    """What must still be said before the file is read, by field: `faults`, and what rows show."""
    questions = faults(mapping)
    answered = {meaning.word.casefold() for meaning in mapping.penalties}
    words = penalty_words(sample, mapping.place(Role.PENALTY))
    unknown = [word for word in words if word not in answered]
    if unknown:
        questions["penalties"] = f"Say what {', '.join(f'“{word}”' for word in unknown)} means."
    if mapping.is_plus_two_in_time is None and has_plus_two(sample, mapping):
        questions["is_plus_two_in_time"] = "Say whether a time with +2 has the two seconds in it."
    return questions


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
            meanings.append(Meaning(word, _WORDS[word]))
        elif word in _NOTHING:
            meanings.append(Meaning(word, Penalty.NONE))
    return Guessed(tuple(meanings), "Words that say themselves what they mean are filled in.")


class _ColumnRoles:
    """Which column holds what; each is taken once."""

    def __init__(self, sample: Sample) -> None:
        self.sample = sample
        self.roles: dict[int, Role] = {}
        self.reasons: dict[int, str] = {}
        self.undecided: set[int] = set()
        self.kinds = {
            kind: [
                at
                for at in range(sample.n_columns)
                if sample.kinds.is_mostly(kind, sample.column(at))
            ]
            for kind in KINDS
        }

    def guess(self) -> None:
        self.take_turns()
        self.take_moment()
        self.take_turn_times()
        self.take_time()
        self.take_penalty()
        for role in (Role.TIMED_BY, Role.STEP_MS, Role.NOTE):
            at = self.named(role)
            if at is not None:
                self.take(at, role, "Its name is the one we use.")

    def take(self, at: int, role: Role, reason: str) -> None:
        self.roles[at] = role
        self.reasons[at] = reason

    def named(self, name: str) -> int | None:
        """The column that bears the name of one of ours and is not taken."""
        names = [text.strip().casefold() for text in self.sample.names]
        free = [at for at, text in enumerate(names) if text == name and self.is_free(at)]
        return free[0] if len(free) == 1 else None

    def is_free(self, at: int) -> bool:
        return at not in self.roles and at not in self.undecided

    def free(self, kind: str) -> list[int]:
        return [at for at in self.kinds[kind] if self.is_free(at)]

    def take_turns(self) -> None:
        rows = self.sample.rows
        places = {role: self.named(role) for role in (Role.SCRAMBLE, Role.SOLUTION)}
        columns = tell_turn_columns(
            {at: [row[at] for row in rows] for at in self.free("turns")},
            n_turn_times=self.count_turn_times(),
            names={at: str(role) for role, at in places.items() if at is not None},
        )
        if columns.scramble is not None:
            self.take(columns.scramble, Role.SCRAMBLE, columns.reason)
        if columns.solution is not None:
            self.take(columns.solution, Role.SOLUTION, columns.reason)
        self.leave_open(columns.undecided, columns.reason)

    def leave_open(self, columns: Sequence[int], reason: str) -> None:
        """Leave columns to the member, and say why."""
        self.undecided.update(columns)
        self.reasons.update(dict.fromkeys(columns, reason))

    def count_turn_times(self) -> list[int]:
        """How many turn times each row has; empty where no column holds any, or several do."""
        columns = self.kinds["turn_times"]
        if len(columns) != 1:
            return []
        cells = [row[columns[0]] for row in self.sample.rows]
        separators = [turn_separator(cell) for cell in cells]
        return [
            len(split_turn_times(cell, separator)) if separator else 0
            for cell, separator in zip(cells, separators, strict=True)
        ]

    def take_turn_times(self) -> None:
        marks = self.named("mark_ms")
        fives = [at for at in self.free("turn_times") if self.holds_fives(at)]
        if marks is not None or fives:
            at = fives[0] if marks is None else marks
            self.take(at, Role.MARK_MS, "Its cells hold five numbers each.")
        columns = self.free("turn_times")
        if columns:
            named = self.named("turn_ms")
            at = named if named in columns else columns[0]
            self.take(at, Role.TURN_MS, "Each of its cells is a list of numbers.")

    def holds_fives(self, at: int) -> bool:
        """Whether each cell of a column is five numbers: fewer than any solve has turns."""
        cells = self.sample.column(at)
        return all(len(split_turn_times(cell, turn_separator(cell) or " ")) == 5 for cell in cells)

    def take_moment(self) -> None:
        columns = self.free("moment")
        if not columns:
            return
        named = self.named("done_at")
        at = named if named in columns else columns[0]
        self.take(at, Role.DONE_AT, "Its cells are dates.")
        clocks = [
            clock
            for clock in self.free("clock")
            if clock != self.named("time") and set(self.free("time")) - {clock}
        ]
        has_clock = any(":" in cell for cell in self.sample.column(at))
        if clocks and not has_clock:
            self.take(clocks[0], Role.CLOCK, "Its cells are times of day, and the date has none.")

    def take_time(self) -> None:
        columns = [at for at in self.free("time") if not self.is_counter(at)]
        if not columns:
            return
        named = self.named("time")
        if named in columns:
            self.take(named, Role.TIME, "Its cells are times, under the name we use.")
            return
        ranks = {at: self.time_rank(at) for at in columns}
        best = max(ranks.values())
        likely = [at for at in columns if ranks[at] >= best - _RANK_SLACK]
        if len(likely) == 1:
            self.take(likely[0], Role.TIME, "Its cells are times.")
            return
        others = " and ".join(str(at + 1) for at in likely)
        reason = f"Columns {others} hold times: only you can say which is the solve’s."  # noqa: RUF001 - the site's own apostrophe
        self.leave_open(likely, reason)

    def time_rank(self, at: int) -> float:
        """The share of a column's cells that are times with a mark in them, or whole numbers."""
        cells = self.sample.column(at)
        parted = sum(any(mark in cell for mark in ".,:") for cell in cells) / len(cells)
        return parted + len(cells) / max(1, len(self.sample.rows))

    def is_counter(self, at: int) -> bool:
        """Whether its cells only number the rows, or stay the same."""
        cells = self.sample.column(at)
        numbers = [int(cell) for cell in cells if cell.isascii() and cell.isdecimal()]
        if len(numbers) < 2 or max(numbers) >= 10**6:
            return False
        steps = [later - sooner for sooner, later in pairwise(numbers)]
        n_usual = max(map(steps.count, (0, 1, -1)))
        return n_usual >= (1 - _SLIP_SHARE) * len(steps) and len(numbers) > len(cells) / 2

    def take_penalty(self) -> None:
        named = self.named("penalty")
        if named is not None:
            self.take(named, Role.PENALTY, "Its name is the one we use.")
            return
        for at in range(self.sample.n_columns):
            words = {cell.casefold() for cell in self.sample.column(at)}
            if self.is_free(at) and words & {"+2", "dnf"} and len(words) <= MAX_WORDS:
                self.take(at, Role.PENALTY, "It holds +2 or DNF.")
                return
