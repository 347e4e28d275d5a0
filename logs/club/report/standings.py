"""Standings of members, made of their tallies."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp

from cubecore.cases import Case, Stage
from logs.cases.facts import families_of
from logs.club.figures import LogSums
from logs.people.report.members import ClubMember, SightedMember
from logs.solves.figures.standing import (
    FLUENT_FROM,
    Standing,
    chance_known,
    own_target_ms,
    standing,
)
from logs.solves.models.tallies import CaseTally
from logs.stats.likelihood import LIKELY
from logs.words import chance_words

STANDING_WORDS = {
    Standing.UNMET: "No look at it in a solve yet.",
    Standing.TWO_LOOK: "The latest looks say that it does not go in one look as a rule.",
    Standing.ONE_LOOK: "It is at least likely that it goes in one look now.",
    Standing.FLUENT: "One look, and recognition within the target for that member.",
}


@dataclass(frozen=True, slots=True)
class MemberStandings:
    """A member's cases of one stage.

    Attributes:
        tallies: By case; cases that never came up have none.
        standings: By case, of the cases that have a tally.
        target_ms: Recognition that counts as fluent; None while the member has no pace yet.
    """

    tallies: Mapping[str, CaseTally]
    standings: Mapping[str, Standing]
    target_ms: float | None

    def of(self, case: str) -> Standing:
        """The standing of a case, unmet without a tally."""
        return self.standings.get(case, Standing.UNMET)

    def chance_known(self, case: str) -> float:
        """The chance that the case goes in one look now; 0 without a look."""
        return chance_known(self.tallies[case].recent) if case in self.tallies else 0.0


def is_one_look(standing: Standing) -> bool:
    """Whether the case goes in one look."""
    return standing in (Standing.ONE_LOOK, Standing.FLUENT)


def recognition_sums(tallies: Mapping[str, CaseTally]) -> dict[str, LogSums]:
    """What is kept of the recognition of each case in one look."""
    return {
        case: LogSums(tally.n_timed, tally.recognition_log_sum, tally.recognition_log_squares)
        for case, tally in tallies.items()
    }


def execution_sums(tallies: Mapping[str, CaseTally]) -> dict[str, LogSums]:
    """What is kept of the execution of each case in one look."""
    return {
        case: LogSums(tally.n_timed, tally.execution_log_sum, tally.execution_log_squares)
        for case, tally in tallies.items()
    }


def member_standings(tallies: Iterable[CaseTally]) -> MemberStandings:
    """The standings of one member in one stage."""
    by_case = {tally.case: tally for tally in tallies}
    target = _target_ms(by_case)
    standings = {}
    for case, tally in by_case.items():
        mean = exp(tally.recognition_log_sum / tally.n_timed) if tally.n_timed else None
        standings[case] = standing(
            tally.recent, n_timed=tally.n_timed, recognition_ms=mean, target_ms=target
        )
    return MemberStandings(by_case, standings, target)


def _target_ms(tallies: Mapping[str, CaseTally]) -> float | None:
    return own_target_ms(
        [
            tally.recognition_log_sum / tally.n_timed
            for tally in tallies.values()
            if tally.n_timed >= FLUENT_FROM and chance_known(tally.recent) >= LIKELY
        ]
    )


def standings_by_member(tallies: Iterable[CaseTally]) -> dict[int, MemberStandings]:
    """The standings of every member who has a tally, by their account's id."""
    grouped = defaultdict(list)
    for tally in tallies:
        grouped[tally.member_id].append(tally)
    return {member_id: member_standings(own) for member_id, own in grouped.items()}


@dataclass(frozen=True, slots=True)
class CaseColumn:
    """A case on the grid; ``n_one_look`` members have it in one look, of ``n_met`` who looked."""

    number: str
    key: str
    title: str
    chance: str
    n_one_look: int
    n_met: int


@dataclass(frozen=True, slots=True)
class Cell:
    """A member's standing in a case, with the counts behind it; ``is_shown`` fits the filter."""

    key: str
    standing: str
    n_one_look: int
    n_looked: int
    is_met: bool
    is_shown: bool


@dataclass(frozen=True, slots=True)
class GridRow:
    """A member's line of the grid."""

    member: ClubMember
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class StandingGrid:
    """The grid.

    Attributes:
        stage: The set of its cases.
        heads: Families over the grid, each with how many columns it has.
        columns: Cases, families together.
        rows: Members.
    """

    stage: Stage
    heads: tuple[tuple[str, int], ...]
    columns: tuple[CaseColumn, ...]
    rows: tuple[GridRow, ...]


def standing_grid(
    stage: Stage,
    cases: Iterable[Case],
    members: Sequence[SightedMember],
    standings: Mapping[int, MemberStandings],
    *,
    only: Standing | None = None,
) -> StandingGrid:
    """The grid of these cases and members.

    Args:
        stage: The set of the cases.
        cases: In any order.
        members: In the order of the rows; the last line counts them and nobody else.
        standings: By account; a member without is unmet everywhere.
        only: Show cells of this standing and leave the others empty; None shows all.
    """
    families = families_of(stage)
    ordered = sorted(cases, key=lambda case: families.index(case.family))
    own = [standings[one.user_id] for one in members if one.user_id in standings]
    return StandingGrid(
        stage=stage,
        heads=tuple(Counter(case.family for case in ordered).items()),
        columns=tuple(_column(case, own) for case in ordered),
        rows=tuple(
            GridRow(one, tuple(_cell(case, standings.get(one.user_id), only) for case in ordered))
            for one in members
        ),
    )


def case_key(case: Case) -> str:
    """The case as an address names it: ``oll-27``."""
    return f"{case.id.stage.value}-{case.id.number}"


def _column(case: Case, standings: Iterable[MemberStandings]) -> CaseColumn:
    number = str(case.id.number)
    looked = [one.standings[number] for one in standings if number in one.standings]
    met = [one for one in looked if one is not Standing.UNMET]
    return CaseColumn(
        number=number,
        key=case_key(case),
        title=str(case),
        chance=chance_words(case),
        n_one_look=sum(map(is_one_look, met)),
        n_met=len(met),
    )


def _cell(case: Case, standings: MemberStandings | None, only: Standing | None) -> Cell:
    number = str(case.id.number)
    is_at = Standing.UNMET if standings is None else standings.of(number)
    tally = None if standings is None else standings.tallies.get(number)
    return Cell(
        key=case_key(case),
        standing=is_at.value,
        n_one_look=0 if tally is None else tally.n_one_look,
        n_looked=0 if tally is None else tally.n_looked,
        is_met=tally is not None,
        is_shown=only in (None, is_at),
    )
