"""One member's sightings counted by case. Nothing here touches the database."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from math import fsum, log
from typing import Any, NamedTuple

from cubecore.algorithms import prove_algorithm
from cubecore.cases import CaseId
from cubecore.looks import MisfireKind, Outcome
from logs.analytics.standing import HIT, MISS, RECENT, chance_known
from logs.analytics.words import LIKELY


class CaseKey(NamedTuple):
    """A case as it is counted: in solves or in drills."""

    kind: str
    stage: str
    case: str


class Mistake(NamedTuple):
    """What a first look was in place of the shown case's own algorithm.

    Attributes:
        done_stage: Stage of the case whose algorithm it was.
        done: That case.
        misfire_kind: A `MisfireKind`.
    """

    done_stage: str
    done: str
    misfire_kind: str


class FirstLook(NamedTuple):
    """What a first look may have been mistaken for.

    Attributes:
        mistake: None where there was none.
        if_known: Whether it counts only where the case was known: it did a step of the two looks,
            and is how somebody who does not know the case goes about it.
    """

    mistake: Mistake | None
    if_known: bool = False


@dataclass(slots=True)
class CaseCount:
    """One case while it is counted; sightings come in the order of time."""

    n: int = 0
    looks: list[bool] = field(default_factory=list)
    first_looks: list[FirstLook] = field(default_factory=list)
    recognition: list[float] = field(default_factory=list)
    execution: list[float] = field(default_factory=list)
    last_met_at: datetime | None = None

    def add(self, row: Mapping[str, Any]) -> None:
        """Count one sighting, a row of `Sighting` with its solve's kind and date."""
        self.n += 1
        self.last_met_at = row["solve__done_at"] or self.last_met_at
        if not row["n_looks"]:
            return
        self.looks.append(row["is_one_look"])
        self.first_looks.append(read_first_look(row["looks"][0], row["stage"], row["case"]))
        if row["is_one_look"] and row["recognition_ms"] and row["execution_ms"]:
            self.recognition.append(log(row["recognition_ms"]))
            self.execution.append(log(row["execution_ms"]))

    def values(self) -> dict[str, Any]:
        """The fields of a `CaseTally`; exact sums, whatever the order of the times."""
        return {
            "n": self.n,
            "n_looked": len(self.looks),
            "n_one_look": sum(self.looks),
            "n_timed": len(self.recognition),
            "recognition_log_sum": fsum(self.recognition),
            "recognition_log_squares": fsum(value * value for value in self.recognition),
            "execution_log_sum": fsum(self.execution),
            "execution_log_squares": fsum(value * value for value in self.execution),
            "recent": _as_text(self.looks[-RECENT:]),
            "last_met_at": self.last_met_at,
        }

    def mistakes(self) -> Counter[Mistake]:
        """How often each mistake was made."""
        history = _as_text(self.looks)
        return Counter(
            first.mistake
            for place, first in enumerate(self.first_looks)
            if first.mistake is not None
            and (
                not first.if_known
                or chance_known(history[max(0, place - RECENT) : place]) >= LIKELY
            )
        )


def _as_text(looks: Iterable[bool]) -> str:
    """Looks as `logs.analytics.standing` reads them."""
    return "".join(HIT if look else MISS for look in looks)


def count_cases(rows: Iterable[Mapping[str, Any]]) -> dict[CaseKey, CaseCount]:
    """The counts of a member's sightings, given in the order of time; skips among them."""
    counts: dict[CaseKey, CaseCount] = {}
    for row in rows:
        key = CaseKey(row["solve__kind"], row["stage"], row["case"])
        counts.setdefault(key, CaseCount()).add(row)
    return counts


def read_first_look(look: Mapping[str, Any], stage: str, case: str) -> FirstLook:
    """What a first look was in place of the algorithm of the case shown.

    A misfire that the engine could name. Or, where the shown case was known, a step of the two looks
    made by an algorithm that the book has for one case: another's, or its own from a wrong hold.

    Args:
        look: As `cubecore.jsonlines.look_json` gives it.
        stage: Of the case shown.
        case: The case shown.
    """
    misfire = look["misfire"]
    if misfire is not None:
        return FirstLook(Mistake(misfire["stage"], str(misfire["case"]), misfire["kind"]))
    if not look["known"] or look["outcome"] not in (Outcome.EDGES, Outcome.CORNERS):
        return FirstLook(None)
    made = _case_of_algorithm(look["algorithm"])
    is_own = (made.stage, str(made.number)) == (stage, case)
    kind = MisfireKind.WRONG_HOLD if is_own else MisfireKind.OTHER_CASE
    return FirstLook(Mistake(made.stage.value, str(made.number), kind.value), if_known=True)


@lru_cache(maxsize=10_000)
def _case_of_algorithm(text: str) -> CaseId:
    """The case that an algorithm of a book solves: told by its turns, whichever book it is in."""
    return prove_algorithm(text).case
