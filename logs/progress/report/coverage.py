"""Coverage in words: always its three parts together, and the bar that shows them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cubecore.cases import Stage
from logs.people.report.members import ClubMember, SightedMember
from logs.solves.models.tallies import CoverageTally

BAR_WIDTH = 200


@dataclass(frozen=True, slots=True)
class CoverageLine:
    """A member's coverage of one stage; whole per cents that add up to 100.

    Attributes:
        member: Whose.
        n_looks: Looks behind it; of 0 there is no figure.
        n_cases_met: Cases looked at.
        covered_pct: Share of solves whose stage goes in one look, the skip included.
        low_pct: Lower end of its range.
        high_pct: Upper end.
        not_covered_pct: Share held by met cases that does not.
        never_met_pct: Share held by cases never met.
        both_pct: Share of solves of which both stages go in one look; None without both.
        covered_width: Of a bar of ``BAR_WIDTH``.
        not_covered_width: The next part of it.
    """

    member: ClubMember
    n_looks: int
    n_cases_met: int
    covered_pct: int
    low_pct: int
    high_pct: int
    not_covered_pct: int
    never_met_pct: int
    both_pct: int | None
    covered_width: int
    not_covered_width: int

    @property
    def bar_end(self) -> int:
        """Where the bar's second part ends."""
        return self.covered_width + self.not_covered_width


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
        return CoverageLine(member, 0, 0, 0, 0, 0, 0, 100, None, 0, 0)
    other = kept.get((member.user_id, (Stage.PLL if stage is Stage.OLL else Stage.OLL).value))
    covered, not_covered, never_met = whole_pcts((own.covered, own.not_covered, own.never_met))
    return CoverageLine(
        member=member,
        n_looks=own.n_looks,
        n_cases_met=own.n_cases_met,
        covered_pct=covered,
        low_pct=round(100 * own.low),
        high_pct=round(100 * own.high),
        not_covered_pct=not_covered,
        never_met_pct=never_met,
        both_pct=None if other is None else round(100 * own.covered * other.covered),
        covered_width=round(BAR_WIDTH * own.covered),
        not_covered_width=round(BAR_WIDTH * (own.covered + own.not_covered))
        - round(BAR_WIDTH * own.covered),
    )


def whole_pcts(shares: tuple[float, ...]) -> tuple[int, ...]:
    """Shares that add up to 1 as whole per cents that add up to 100 (largest remainder)."""
    exact = [100 * share for share in shares]
    whole = [int(value) for value in exact]
    by_rest = sorted(range(len(exact)), key=lambda place: whole[place] - exact[place])
    for place in by_rest[: 100 - sum(whole)]:
        whole[place] += 1
    return tuple(whole)
