"""A club's algorithms, and which of them a run of turns was."""

import hashlib
from collections.abc import Iterable
from functools import cache

from cubecore.algorithms import Algorithm, Run, prove_algorithm, read_run
from cubecore.cases import CASES, CaseId, Stage
from cubecore.turns import Turns


class Book:
    """A set of proved algorithms, by case and by normal form; not changed once made.

    Attributes:
        version: Hash of what the book can tell apart; labels made with it carry it.
    """

    def __init__(self, algorithms: Iterable[Algorithm]) -> None:
        """Take ``algorithms`` in order; of two spellings of one algorithm the first is kept."""
        self._by_form: dict[Turns, Algorithm] = {}
        # An OLL's number is no PLL's letters; a `CaseId` would be hashed anew in each look-up.
        self._by_number: dict[int | str, tuple[Algorithm, ...]] = {}
        self._in_parts: dict[int | str, tuple[Algorithm, ...]] = {}
        for algorithm in algorithms:
            if self._by_form.setdefault(algorithm.normal.form, algorithm) is algorithm:
                number = algorithm.case.number
                self._by_number[number] = (*self._by_number.get(number, ()), algorithm)
                if algorithm.is_in_parts:
                    self._in_parts[number] = (*self._in_parts.get(number, ()), algorithm)
        entries = sorted((form, entry.text) for form, entry in self._by_form.items())
        self.version = hashlib.sha256(repr(entries).encode()).hexdigest()[:12]

    def algorithms(self, case: CaseId) -> tuple[Algorithm, ...]:
        """The algorithms for ``case``, in the order they were entered."""
        return self._by_number.get(case.number, ())

    def of_stage(self, stage: Stage) -> list[Algorithm]:
        """The algorithms for every case of a stage."""
        return [entry for entry in self._by_form.values() if entry.case.stage is stage]

    def algorithms_in_parts(self, case: CaseId) -> tuple[Algorithm, ...]:
        """Those that bring F2L home on their way."""
        return self._in_parts.get(case.number, ())

    def find(self, turns: Turns) -> Algorithm | None:
        """The algorithm that ``turns`` (last layer up) are, AUF and hold aside, or None."""
        return self._by_form.get(read_run(turns).form)

    def find_made(self, turns: Turns) -> Algorithm | None:
        """The same, where no turn among them was taken back."""
        return self.find_run(read_run(turns))

    def find_run(self, run: Run) -> Algorithm | None:
        """The same of a run that is read."""
        entry = self._by_form.get(run.form)
        return entry if entry is not None and entry.normal.htm == run.n_turns else None


@cache
def default_book() -> Book:
    """The standard algorithms of the tables, each proved."""
    return Book(
        prove_algorithm(text, case.id) for case in CASES.values() for text in case.algorithms
    )
