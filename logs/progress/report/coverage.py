"""The coverage of members of a club, line by line, and whole per cents of shares."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cubecore.cases import Stage
from logs.people.sight import ClubMember, SightedMember
from logs.progress.report.progress import CoverageReport
from logs.solves.figures.standing import BAND
from logs.solves.models.tallies import CoverageTally
from logs.stats import Range

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
    )
    return CoverageLine(member, coverage, None if other is None else own.covered * other.covered)


def whole_pcts(shares: tuple[float, ...]) -> tuple[int, ...]:
    """Shares that add up to 1 as whole per cents that add up to 100 (largest remainder)."""
    exact = [100 * share for share in shares]
    whole = [int(value) for value in exact]
    by_rest = sorted(range(len(exact)), key=lambda place: whole[place] - exact[place])
    for place in by_rest[: 100 - sum(whole)]:
        whole[place] += 1
    return tuple(whole)
