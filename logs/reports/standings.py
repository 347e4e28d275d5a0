"""Standings of members, made of their tallies."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import exp
from typing import TYPE_CHECKING

from logs.analytics.standing import FLUENT_FROM, Standing, chance_known, own_target_ms, standing
from logs.analytics.tally_sums import LogSums
from logs.analytics.words import LIKELY

if TYPE_CHECKING:
    from logs.models import CaseTally

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

    tallies: "Mapping[str, CaseTally]"
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


def recognition_sums(tallies: "Mapping[str, CaseTally]") -> dict[str, LogSums]:
    """What is kept of the recognition of each case in one look."""
    return {
        case: LogSums(tally.n_timed, tally.recognition_log_sum, tally.recognition_log_squares)
        for case, tally in tallies.items()
    }


def execution_sums(tallies: "Mapping[str, CaseTally]") -> dict[str, LogSums]:
    """What is kept of the execution of each case in one look."""
    return {
        case: LogSums(tally.n_timed, tally.execution_log_sum, tally.execution_log_squares)
        for case, tally in tallies.items()
    }


def member_standings(tallies: "Iterable[CaseTally]") -> MemberStandings:
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


def _target_ms(tallies: "Mapping[str, CaseTally]") -> float | None:
    return own_target_ms(
        [
            tally.recognition_log_sum / tally.n_timed
            for tally in tallies.values()
            if tally.n_timed >= FLUENT_FROM and chance_known(tally.recent) >= LIKELY
        ]
    )


def standings_by_member(tallies: "Iterable[CaseTally]") -> dict[int, MemberStandings]:
    """The standings of every member who has a tally, by their account's id."""
    grouped = defaultdict(list)
    for tally in tallies:
        grouped[tally.member_id].append(tally)
    return {member_id: member_standings(own) for member_id, own in grouped.items()}
