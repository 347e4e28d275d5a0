"""Where a member stands with each case; the coverage of a club's members, line by line."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import exp

from cubecore.cases import Stage
from logs.people.sight import ClubMember, SightedMember
from logs.progress.report.progress import CoverageReport
from logs.solves.figures.sampling import Basis
from logs.solves.figures.standing import (
    BAND,
    FLUENT_FROM,
    Standing,
    chance_known,
    own_target_ms,
    standing,
)
from logs.solves.models.tallies import CaseTally, CoverageTally
from logs.stats import Range
from logs.stats.grid import LIKELY

BAR_WIDTH = 200


@dataclass(frozen=True, slots=True)
class CoverageLine:
    """A member's coverage of one stage.

    Attributes:
        member: The member.
        coverage: Their coverage; null without a look.
        both_share: Share of solves of which both stages go in one look, 0..1; null where the other
            stage has no look.
    """

    member: ClubMember
    coverage: CoverageReport | None
    both_share: float | None


def coverage_lines(
    members: Iterable[SightedMember], tallies: Iterable[CoverageTally], stage: Stage
) -> tuple[CoverageLine, ...]:
    """A line for each member, in their order."""
    kept = {(tally.member_id, tally.stage): tally for tally in tallies}
    return tuple(_line(member, kept, stage) for member in members)


def _line(
    member: SightedMember, kept: Mapping[tuple[int, str], CoverageTally], stage: Stage
) -> CoverageLine:
    own = kept.get((member.user_id, stage.value))
    if own is None:
        return CoverageLine(member, None, None)
    other = kept.get((member.user_id, (Stage.PLL if stage is Stage.OLL else Stage.OLL).value))
    coverage = CoverageReport(
        covered_share=own.covered,
        covered_range=Range(low=own.low, high=own.high, level=BAND),
        not_covered_share=own.not_covered,
        never_met_share=own.never_met,
        n_looks=own.n_looks,
        n_cases_met=own.n_cases_met,
        basis=Basis(own.basis),
    )
    return CoverageLine(member, coverage, None if other is None else own.covered * other.covered)


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


def whole_pcts(shares: tuple[float, ...]) -> tuple[int, ...]:
    """Shares that add up to 1 as whole per cents that add up to 100 (largest remainder)."""
    exact = [100 * share for share in shares]
    whole = [int(value) for value in exact]
    by_rest = sorted(range(len(exact)), key=lambda place: whole[place] - exact[place])
    for place in by_rest[: 100 - sum(whole)]:
        whole[place] += 1
    return tuple(whole)
