"""The order of lessons: the model's, then rules a coach can switch off, then the coach's own word.

The model's order is the table of `next_up`. Nothing here changes it: rules and overrides are laid
on top each time, so taking one away brings back exactly what the model says.

What learning a case would save, in time a solve, and how sure the order is.

``V = p (l - r) (T2 - T1)``: chance of the case, how much oftener it would go in one look once learnt,
and what one look saves. A half-known case is worth half.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
import pandas as pd
from scipy.special import betainc

from logs.cases.facts import Traits
from logs.stats.distributions import Floats
from logs.stats.grid import LIKELY

MAX_OPEN = 3


class Rule(StrEnum):
    """Rules of the order, each shown as a reason where it moved or held back a case."""

    LOOK_ALIKES_APART = "look_alikes_apart"
    FEW_OPEN = "few_open"
    FREQUENT_FIRST = "frequent_first"
    COMPLETE_FAMILY = "complete_family"


ALL_RULES = frozenset(Rule)


class OverrideKind(StrEnum):
    """What a coach may do with a case of the list."""

    PIN = "pin"
    SKIP = "skip"
    MOVE = "move"


@dataclass(frozen=True, slots=True)
class Override:
    """A coach's word on a case, kept when the list is worked out anew.

    Attributes:
        case: Its name.
        kind: Pin it to the top, skip it, or move it to ``place``.
        reason: Why, in the coach's words.
        place: 1 for the first, for a move alone.
    """

    case: str
    kind: OverrideKind
    reason: str
    place: int | None = None

    def __post_init__(self) -> None:
        if (self.kind is OverrideKind.MOVE) != (self.place is not None):
            raise ValueError(f"case {self.case!r}: a move, and only a move, names a place")
        if self.place is not None and self.place < 1:
            raise ValueError(f"case {self.case!r}: place is {self.place}, the first is 1")
        if not self.reason.strip():
            raise ValueError(f"case {self.case!r}: an override needs a reason")


@dataclass(frozen=True, slots=True)
class Lesson:
    """A case in the order.

    Attributes:
        case: Its name.
        is_now: It may be started this week.
        rules: Rules that moved it up or hold it back.
        blocked_by: The new look-alike that it waits for, if any.
        override: The coach's word on it, if any; a skipped case comes last and is never now.
    """

    case: str
    is_now: bool
    rules: tuple[Rule, ...]
    blocked_by: str | None
    override: Override | None

    @property
    def is_skipped(self) -> bool:
        """Whether a coach left it out."""
        return self.override is not None and self.override.kind is OverrideKind.SKIP


def open_cases_allowed(solves_a_week: float) -> int:
    """How many cases to learn at once: 3, or 2 where three would take more than four weeks.

    312 solves show each of three common OLL cases three times with a chance of 80 % (`due_dates`);
    the four weeks are our own limit.
    """
    return MAX_OPEN if solves_a_week * 4 >= 312 else MAX_OPEN - 1


def teaching_order(
    ranked: pd.DataFrame,
    *,
    traits: Mapping[str, Traits],
    one_look: Collection[str] = (),
    open_cases: Collection[str] = (),
    max_open: int = MAX_OPEN,
    rules: Collection[Rule] = ALL_RULES,
    overrides: Sequence[Override] = (),
) -> tuple[Lesson, ...]:
    """The lessons in the order to be taught.

    Inside a tie group, where the model knows no order, a case that completes its family comes
    first, then the one that comes up more often. Look-alikes that are new together interfere
    (Tinkham 1993; Waring 1997), so the second waits until the first goes in one look.

    Args:
        ranked: Table of `next_up`; its index and ``tie_group`` are used.
        traits: Of every case of ``ranked`` and of its look-alikes' families.
        one_look: Cases that go in one look already.
        open_cases: Cases being learnt.
        max_open: How many cases to learn at once.
        rules: The rules that are on.
        overrides: At most one a case; one on a case not in ``ranked`` waits for it. Pins come
            first and skips last in the order given, then moves are carried out in theirs.

    Raises:
        ValueError: A case has no traits or two overrides.
    """
    missing = [case for case in ranked.index if case not in traits]
    if missing:
        raise ValueError(f"traits has no entry for case {missing[0]!r}")
    words = {one.case: one for one in overrides if one.case in ranked.index}
    if len({one.case for one in overrides}) < len(overrides):
        raise ValueError("overrides name a case twice: keep one for each case")
    completes = _completing(ranked.index, traits, one_look)
    if Rule.COMPLETE_FAMILY not in rules:
        completes = set()
    model = [str(case) for case in ranked.index]
    ordered = _inside_ties(ranked, traits, completes, frequent=Rule.FREQUENT_FIRST in rules)
    raised = _raised(model, ordered, completes)
    placed = _overridden(ordered, [one for one in overrides if one.case in words])
    return _lessons(placed, words, raised, _Desk(traits, set(open_cases), max_open, set(rules)))


def _completing(
    cases: Collection[str], traits: Mapping[str, Traits], one_look: Collection[str]
) -> set[str]:
    """Cases that are the last of their family not to go in one look."""
    left: dict[str, list[str]] = {}
    for case, one in traits.items():
        if case not in one_look:
            left.setdefault(one.family, []).append(case)
    families = {traits[case].family for case in one_look if case in traits}
    return {
        case
        for case in cases
        if traits[case].family in families and len(left[traits[case].family]) == 1
    }


def _inside_ties(
    ranked: pd.DataFrame, traits: Mapping[str, Traits], completes: set[str], *, frequent: bool
) -> list[str]:
    keyed = [
        (
            int(group),
            str(case) not in completes,
            -traits[str(case)].chance if frequent else 0.0,
            place,
            str(case),
        )
        for place, (case, group) in enumerate(ranked["tie_group"].items())
    ]
    return [key[-1] for key in sorted(keyed)]


def _raised(model: list[str], ordered: list[str], completes: set[str]) -> dict[str, Rule]:
    """The rule that brought each case forward from where the model had it."""
    return {
        case: Rule.COMPLETE_FAMILY if case in completes else Rule.FREQUENT_FIRST
        for case in ordered
        if ordered.index(case) < model.index(case)
    }


def _overridden(ordered: list[str], overrides: Sequence[Override]) -> list[str]:
    pinned = [one.case for one in overrides if one.kind is OverrideKind.PIN]
    skipped = [one.case for one in overrides if one.kind is OverrideKind.SKIP]
    kept = pinned + [case for case in ordered if case not in {*pinned, *skipped}]
    for one in overrides:
        if one.place is not None:
            kept.remove(one.case)
            kept.insert(one.place - 1, one.case)
    return kept + skipped


@dataclass(slots=True)
class _Desk:
    """What is being learnt while the list is walked down."""

    traits: Mapping[str, Traits]
    learning: set[str]
    max_open: int
    rules: set[Rule]

    def look_alike(self, case: str) -> str | None:
        """The look-alike of ``case`` that is being learnt, if that matters."""
        if Rule.LOOK_ALIKES_APART not in self.rules:
            return None
        mine = self.traits[case].look_alikes
        return next((one for one in sorted(self.learning) if one != case and one in mine), None)

    def is_full(self) -> bool:
        """No further case may be opened."""
        return Rule.FEW_OPEN in self.rules and len(self.learning) >= self.max_open


def _lessons(
    placed: list[str], words: Mapping[str, Override], raised: Mapping[str, Rule], desk: _Desk
) -> tuple[Lesson, ...]:
    lessons = []
    for case in placed:
        word = words.get(case)
        if word is not None and word.kind is OverrideKind.SKIP:
            lessons.append(Lesson(case, is_now=False, rules=(), blocked_by=None, override=word))
            continue
        rules = [raised[case]] if case in raised else []
        is_open = case in desk.learning
        rival = None if is_open else desk.look_alike(case)
        if rival is not None:
            rules.append(Rule.LOOK_ALIKES_APART)
        elif not is_open and desk.is_full():
            rules.append(Rule.FEW_OPEN)
        is_now = not {Rule.LOOK_ALIKES_APART, Rule.FEW_OPEN} & set(rules)
        if is_now:
            desk.learning.add(case)
        lessons.append(Lesson(case, is_now, tuple(rules), rival, word))
    return tuple(lessons)


N_DRAWS = 20_000


BAND = 0.80


VALUE_COLUMNS: Final = (
    "value_ms",
    "low_ms",
    "high_ms",
    "gap_ms",
    "p_gain",
    "effort_h",
    "value_per_effort",
    "tie_group",
)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A case that could be learnt.

    Attributes:
        case: Its name.
        chance: In one solve, 0..1.
        alpha: One-look rate, first parameter of its Beta distribution.
        beta: Second parameter.
        two_look_ms: Expected time now, when it goes in two looks.
        two_look_sd_ms: Doubt about it.
        one_look_ms: Expected time then: recognition and execution.
        one_look_sd_ms: Doubt about it.
        effort_h: Hours it takes to learn, above 0.
        learnt_rate: How often it goes in one look once it is learnt, 0..1.
    """

    case: str
    chance: float
    alpha: float
    beta: float
    two_look_ms: float
    two_look_sd_ms: float
    one_look_ms: float
    one_look_sd_ms: float
    effort_h: float = 1.0
    learnt_rate: float = 1.0

    def __post_init__(self) -> None:
        if self.effort_h <= 0:
            raise ValueError(f"effort_h of case {self.case!r} is {self.effort_h}: above 0 only")

    @property
    def gap_ms(self) -> float:
        """What one look saves in a sighting that would go in two."""
        return self.two_look_ms - self.one_look_ms

    @property
    def gap_sd_ms(self) -> float:
        """Doubt about the gap."""
        return float(np.hypot(self.two_look_sd_ms, self.one_look_sd_ms))

    @property
    def share_won(self) -> float:
        """Expected share of sightings that would go in one look and do not: ``E max(learnt - r, 0)``."""
        mean, end = self.alpha / (self.alpha + self.beta), self.learnt_rate
        below = betainc(self.alpha, self.beta, end)
        return float(end * below - mean * betainc(self.alpha + 1, self.beta, end))

    @property
    def value_ms(self) -> float:
        """Expected saving in an average solve; below 0 where no gain is expected."""
        return self.chance * self.share_won * self.gap_ms


def next_up(candidates: Sequence[Candidate], *, rng: np.random.Generator) -> pd.DataFrame:
    """The candidates, the most saved for an hour of learning first.

    Args:
        candidates: Each case once, in any order.
        rng: Seeded; the same seed and candidates give the same table.

    Returns:
        ``VALUE_COLUMNS`` indexed by case. ``low_ms`` and ``high_ms`` hold the saving in ``BAND`` of
        cases, ``p_gain`` is P(V > 0). Cases of one ``tie_group`` (from 1) are in no order that is
        likely: the group ends where the next case falls short of its first with P at least 0.66, or
        where their ranges for an hour do not touch.

    Raises:
        ValueError: A case is named twice.
    """
    ordered = sorted(candidates, key=lambda one: (-one.value_ms / one.effort_h, one.case))
    names = [one.case for one in ordered]
    if len(set(names)) < len(names):
        raise ValueError("candidates name a case twice: name each once")
    draws = _draws(sorted(candidates, key=lambda one: one.case), names, rng)
    efforts = np.array([one.effort_h for one in ordered])
    rows = [
        {
            "value_ms": one.value_ms,
            "gap_ms": one.gap_ms,
            "effort_h": one.effort_h,
            "value_per_effort": one.value_ms / one.effort_h,
        }
        for one in ordered
    ]
    index = pd.Index(names, name="case", dtype="str")
    table = pd.DataFrame(rows, index=index, columns=list(VALUE_COLUMNS))
    ends = np.quantile(draws, [(1 - BAND) / 2, (1 + BAND) / 2], axis=1)
    table["low_ms"], table["high_ms"] = ends
    table["p_gain"] = (draws > 0).mean(axis=1)
    table["tie_group"] = _tie_groups(draws / efforts[:, None], ends / efforts)
    return table.astype(dict.fromkeys(VALUE_COLUMNS, "float64") | {"tie_group": "int64"})


def _draws(
    candidates: Sequence[Candidate], order: Sequence[str], rng: np.random.Generator
) -> Floats:
    """Values as they might be; shape (cases in ``order``, draws)."""
    drawn = {
        one.case: one.chance
        * np.maximum(one.learnt_rate - rng.beta(one.alpha, one.beta, N_DRAWS), 0.0)
        * (one.gap_ms + one.gap_sd_ms * rng.standard_normal(N_DRAWS))
        for one in candidates
    }
    return np.array([drawn[case] for case in order]).reshape(len(order), N_DRAWS)


def _tie_groups(draws: Floats, ends: Floats) -> list[int]:
    groups: list[int] = []
    first = 0
    for place in range(len(draws)):
        touch = ends[1, place] >= ends[0, first]
        if place == 0 or not touch or (draws[first] > draws[place]).mean() >= LIKELY:
            first = place
            groups.append(groups[-1] + 1 if groups else 1)
        else:
            groups.append(groups[-1])
    return groups
