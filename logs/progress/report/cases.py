"""All cases: how often the reader met each, and where they stand with it."""

from collections import Counter
from dataclasses import dataclass

from clubsite.accounts.models import User
from cubecore.cases import CASES, Stage
from cubecore.results import Kind
from logs.progress.report.coverage import MemberStandings, member_standings
from logs.solves.figures.standing import Standing
from logs.solves.selectors.frames import own_case_tally_list, sighting_frame


@dataclass(frozen=True, slots=True)
class CaseCard:
    """A case among all.

    Attributes:
        stage: The set of cases.
        number: Its number or letters.
        name: What it is called; empty where it has no name.
        chance: Of it in one solve, 0..1.
        n: Times the reader met it in solves.
        standing: Where the reader stands with it, by their solves alone.
    """

    stage: Stage
    number: str
    name: str
    chance: float
    n: int
    standing: Standing


@dataclass(frozen=True, slots=True)
class StandingCount:
    """How many cases of a stage have one standing.

    Attributes:
        standing: The standing.
        n: Cases.
    """

    standing: Standing
    n: int


@dataclass(frozen=True, slots=True)
class StageCases:
    """All cases of a stage.

    Attributes:
        stage: The set of cases.
        cases: In the order of their numbers.
        counts: Cases of each standing, unmet first.
    """

    stage: Stage
    cases: tuple[CaseCard, ...]
    counts: tuple[StandingCount, ...]


@dataclass(frozen=True, slots=True)
class CasesReport:
    """All cases, with how often the reader met each.

    Attributes:
        stages: Each stage with its cases.
        n_solves: Solves that the counts come from.
    """

    stages: tuple[StageCases, ...]
    n_solves: int


def cases_report(*, actor: User) -> CasesReport:
    """All cases with the actor's counts."""
    sightings = sighting_frame(actor=actor, member=actor, kind=Kind.SOLVE)
    counts = Counter(zip(sightings["stage"], sightings["case"], strict=True))
    tallies = own_case_tally_list(actor=actor, member=actor)
    stages = tuple(
        _stage_cases(stage, counts, member_standings(t for t in tallies if t.stage == stage))
        for stage in Stage
    )
    return CasesReport(stages, int(sightings["solve_id"].nunique()))


def _stage_cases(
    stage: Stage, counts: Counter[tuple[str, str]], standings: MemberStandings
) -> StageCases:
    cards = tuple(
        CaseCard(
            stage=stage,
            number=case.id.text,
            name=case.name,
            chance=case.chance / stage.chances_in,
            n=counts[stage.value, case.id.text],
            standing=standings.of(case.id.text),
        )
        for case in CASES.values()
        if case.id.stage is stage
    )
    by_standing = Counter(card.standing for card in cards)
    return StageCases(stage, cards, tuple(StandingCount(one, by_standing[one]) for one in Standing))
