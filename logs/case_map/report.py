"""All cases by family, with where the reader stands and what is wanted of them."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import groupby

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId, Stage
from logs.algorithms.report import TaughtCase, taught
from logs.algorithms.selectors import book_of_member, holds_of_member
from logs.case_map.selectors import known_by_word_list
from logs.next_up.report import next_up_report
from logs.practice.selectors import cases_asked
from logs.progress.report.cases import cases_report
from logs.solves.figures.standing import Standing
from logs.solves.selectors.draws import member_rate_rows
from logs.solves.selectors.frames import own_mix_up_tally_list


class Only(StrEnum):
    """Which cases are shown: all, those wanted for a reason, or those of one standing."""

    ALL = "all"
    NEXT = "next"
    HOMEWORK = "homework"
    MISTAKEN = "mistaken"
    UNMET = "unmet"
    TWO_LOOK = "two-look"
    ONE_LOOK = "one-look"
    FLUENT = "fluent"


@dataclass(frozen=True, slots=True)
class MapCase:
    """A case on the map.

    Attributes:
        case: The case, in the hold it is taught to the reader.
        n: Times the reader met it in solves.
        standing: Where the reader stands with it, by their solves alone.
        is_known_by_word: Whether the reader says that it goes in one look; only where no solve of
            theirs shows it.
    """

    case: TaughtCase
    n: int
    standing: Standing
    is_known_by_word: bool


@dataclass(frozen=True, slots=True)
class MapFamily:
    """The cases of a family.

    Attributes:
        stage: The set of cases.
        name: What the family is called.
        cases: Its cases that are shown.
    """

    stage: Stage
    name: str
    cases: tuple[MapCase, ...]


@dataclass(frozen=True, slots=True)
class OnlyCount:
    """How many cases a choice shows.

    Attributes:
        only: The choice.
        n: Cases; null where that is not worked out until it is asked for.
    """

    only: Only
    n: int | None


@dataclass(frozen=True, slots=True)
class CaseMap:
    """All cases, or those that were asked for.

    Attributes:
        only: Which are shown.
        families: Families with a case that is shown, the OLLs first.
        counts: What each choice shows.
        n_solves: Solves that the standings come from.
        n_picked: Solves among them that were picked to be written down.
        n_known: Cases in one look or fluent, by solves.
        n_by_word: Cases known by the reader's word alone.
        askable: By family the cases that no solve shows: those of which a word counts.
    """

    only: Only
    families: tuple[MapFamily, ...]
    counts: tuple[OnlyCount, ...]
    n_solves: int
    n_picked: int
    n_known: int
    n_by_word: int
    askable: tuple[MapFamily, ...]


def case_map(*, actor: User, now: datetime, only: Only = Only.ALL) -> CaseMap:
    """The actor's map; what comes next is worked out only where ``only`` asks for it."""
    read = cases_report(actor=actor)
    cards = {CaseId.read(card.stage, card.number): card for s in read.stages for card in s.cases}
    rows = member_rate_rows(actor=actor, member=actor)
    said = {CaseId.read(row.stage, row.case) for row in known_by_word_list(actor=actor)}
    book, holds = book_of_member(member=actor), holds_of_member(member=actor)
    cases = {
        case: MapCase(
            case=taught(CASES[case], book, holds),
            n=card.n,
            standing=card.standing,
            is_known_by_word=case in said and card.standing is Standing.UNMET,
        )
        for case, card in cards.items()
    }
    chosen: dict[Only, Collection[CaseId]] = {
        Only.ALL: tuple(cases),
        Only.HOMEWORK: cases_asked(actor=actor),
        Only.MISTAKEN: _mistaken(actor),
    }
    chosen |= {
        Only(standing.value): [case for case, one in cases.items() if one.standing is standing]
        for standing in Standing
    }
    if only is Only.NEXT:
        chosen[only] = _next(actor, now)
    return CaseMap(
        only=only,
        families=_families(cases, set(chosen[only])),
        counts=tuple(OnlyCount(one, len(chosen[one]) if one in chosen else None) for one in Only),
        n_solves=read.n_solves,
        n_picked=len(rows.chosen),
        n_known=len(chosen[Only.ONE_LOOK]) + len(chosen[Only.FLUENT]),
        n_by_word=sum(one.is_known_by_word for one in cases.values()),
        askable=_families(cases, set(chosen[Only.UNMET])),
    )


def _families(cases: dict[CaseId, MapCase], shown: set[CaseId]) -> tuple[MapFamily, ...]:
    """The cases that are shown, family by family in the order of each one's first case."""
    order = list(dict.fromkeys((case.stage, one.case.family) for case, one in cases.items()))
    kept = sorted(
        (case for case in cases if case in shown),
        key=lambda case: order.index((case.stage, cases[case].case.family)),
    )
    grouped = groupby(kept, key=lambda case: (case.stage, cases[case].case.family))
    return tuple(
        MapFamily(stage, name, tuple(cases[case] for case in group))
        for (stage, name), group in grouped
    )


def _mistaken(actor: User) -> set[CaseId]:
    """Cases that the actor did as another one or from a wrong hold, in solves."""
    tallies = own_mix_up_tally_list(actor=actor, member=actor)
    return {CaseId.read(tally.stage, tally.shown) for tally in tallies}


def _next(actor: User, now: datetime) -> list[CaseId]:
    """What is to be learnt now."""
    lines = next_up_report(actor=actor, now=now).now
    return [CaseId.read(line.taught.stage, line.taught.number) for line in lines]


@dataclass(frozen=True, slots=True)
class WordOnCase:
    """A case of which its member says that it goes in one look.

    Attributes:
        stage: The set of cases.
        number: Its number or letters.
        said_at: When that was first said.
        is_overruled: Whether solves show the case: then they tell, and the word does not.
    """

    stage: Stage
    number: str
    said_at: datetime
    is_overruled: bool


@dataclass(frozen=True, slots=True)
class OwnWords:
    """A member's own word on cases; no other figure reads it.

    Attributes:
        cases: What they say of which, the first said first.
    """

    cases: tuple[WordOnCase, ...]


def own_words(*, actor: User) -> OwnWords:
    """The actor's own word on cases."""
    stages = cases_report(actor=actor).stages
    unmet = {
        (card.stage.value, card.number)
        for stage in stages
        for card in stage.cases
        if card.standing is Standing.UNMET
    }
    return OwnWords(
        tuple(
            WordOnCase(Stage(row.stage), row.case, row.said_at, (row.stage, row.case) not in unmet)
            for row in known_by_word_list(actor=actor)
        )
    )
