"""Two or more members side by side: on shape, never on speed."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CASES, Stage
from cubecore.words import Word
from logs.cases.facts import case_chances, families_of
from logs.cases.report import CaseName, name_of
from logs.club.figures import LATELY, teachers
from logs.club.report.coverage import (
    StandingGrid,
    is_one_look,
    standing_grid,
    standings_by_member,
)
from logs.club.report.own_speed import SlowFinding, SpeedLine, slow_findings, speed_lines
from logs.people.sight import ClubMember, ClubView, SightedMember, club_sight
from logs.progress.report.coverage import CoverageLine, MemberStandings, coverage_lines
from logs.solves.figures.standing import HIT, Standing
from logs.solves.selectors.frames import case_tally_list, coverage_tally_list

MOST = 6
"""So many members side by side at most."""


class Part(Word):
    """What of a last-layer stage is compared."""

    RECOGNITION = "recognition"
    EXECUTION = "execution"


@dataclass(frozen=True, slots=True)
class CompareChoice:
    """What is to be compared.

    Attributes:
        membership_ids: The members to compare.
        stage: The set of cases.
        part: Recognition or execution.
        hides_names: Whether letters stand in place of names.
        group_id: The group whose members alone are meant; null for everybody.
    """

    membership_ids: tuple[int, ...] = ()
    stage: Stage = Stage.OLL
    part: Part = Part.RECOGNITION
    hides_names: bool = False
    group_id: int | None = None


@dataclass(frozen=True, slots=True)
class FamilyCases:
    """Cases of one family.

    Attributes:
        family: Name of the family.
        cases: The cases, in the order of the tables.
    """

    family: str
    cases: tuple[CaseName, ...]


@dataclass(frozen=True, slots=True)
class Teaching:
    """What one member could show another.

    Attributes:
        teacher: Who is very likely to do the cases in one look, and did five of their six newest so.
        learner: Who is very likely not to.
        families: The cases by family.
        n_cases: How many cases.
        share: One of them comes up in this share of solves, 0..1.
    """

    teacher: ClubMember
    learner: ClubMember
    families: tuple[FamilyCases, ...]
    n_cases: int
    share: float


@dataclass(frozen=True, slots=True)
class CompareReport:
    """Some members of a club side by side.

    Attributes:
        view: The club and its members as the reader sees them.
        choice: What was asked for.
        chosen: The members compared, by name.
        n_dropped: How many were chosen beyond ``MOST``.
        coverage: Their coverage.
        differences: The cases that one has in one look and another who met it has not; null
            without any.
        findings: Cases that are slow for a member's own speed; of them all one in ten may be wrong.
        speeds: Every case that at least two members of the club have times of.
        n_compared: Members of the club behind the speeds.
        teachings: Who could show whom what.
    """

    view: ClubView
    choice: CompareChoice
    chosen: tuple[ClubMember, ...]
    n_dropped: int
    coverage: tuple[CoverageLine, ...]
    differences: StandingGrid | None
    findings: tuple[SlowFinding, ...]
    speeds: tuple[SpeedLine, ...]
    n_compared: int
    teachings: tuple[Teaching, ...]

    @property
    def membership_ids(self) -> list[int]:
        """Whose figures the page shows; nobody's before two are chosen."""
        return [one.membership_id for one in self.chosen] if len(self.chosen) > 1 else []


def compare_report(*, actor: User, slug: str, choice: CompareChoice) -> CompareReport:
    """The chosen members of the club side by side; who is not visible to ``actor`` is not there.

    Raises:
        NotFoundError: There is no such club, or ``actor`` is not in it.
    """
    view = club_sight(
        actor=actor, slug=slug, hides_names=choice.hides_names, group_id=choice.group_id
    )
    wanted = [one for one in view.members if one.membership_id in choice.membership_ids]
    chosen = tuple(wanted[:MOST])
    if len(chosen) < 2:
        return CompareReport(view, choice, chosen, 0, (), None, (), (), 0, ())
    tallies = case_tally_list(sight=view, stage=choice.stage)
    standings = standings_by_member(tallies)
    speeds = speed_lines(
        chosen,
        {one: standings[one].tallies for one in standings},
        stage=choice.stage,
        is_execution=choice.part is Part.EXECUTION,
    )
    kept = coverage_tally_list(sight=view)
    return CompareReport(
        view=view,
        choice=choice,
        chosen=chosen,
        n_dropped=len(wanted) - len(chosen),
        coverage=coverage_lines(chosen, kept, choice.stage),
        differences=_differences(chosen, standings, choice.stage),
        findings=slow_findings(chosen, speeds),
        speeds=speeds,
        n_compared=sum(any(t.n_timed for t in one.tallies.values()) for one in standings.values()),
        teachings=_teachings(chosen, standings, choice.stage),
    )


def _differences(
    chosen: Sequence[SightedMember], standings: Mapping[int, MemberStandings], stage: Stage
) -> StandingGrid | None:
    """The cases in which one look parts the members; a case a member never met parts nobody."""
    cases = []
    for case in CASES.values():
        held = {
            standings[one.user_id].of(str(case.id.number))
            for one in chosen
            if one.user_id in standings
        }
        is_parted = len({is_one_look(one) for one in held if one is not Standing.UNMET}) == 2
        if case.id.stage is stage and is_parted:
            cases.append(case)
    return standing_grid(stage, cases, chosen, standings) if cases else None


def _teachings(
    chosen: Sequence[SightedMember], standings: Mapping[int, MemberStandings], stage: Stage
) -> tuple[Teaching, ...]:
    """Who could show whom what, the pair with the largest share of solves first."""
    rates = pd.DataFrame(
        [
            (
                one.user_id,
                case,
                standings[one.user_id].chance_known(case),
                tally.recent[-LATELY:].count(HIT),
            )
            for one in chosen
            if one.user_id in standings
            for case, tally in standings[one.user_id].tallies.items()
            if tally.n_looked
        ],
        columns=["member", "case", "p_one_look", "n_clean"],
    )
    members = {one.user_id: one for one in chosen}
    taught: dict[tuple[int, int], set[str]] = defaultdict(set)
    for case, teacher, learner in teachers(rates).itertuples(index=False, name=None):
        taught[teacher, learner].add(case)
    teachings = [
        _teaching(members[teacher], members[learner], cases, stage)
        for (teacher, learner), cases in taught.items()
    ]
    return tuple(
        sorted(teachings, key=lambda one: (-one.share, one.learner.name, one.teacher.name))
    )


def _teaching(
    teacher: ClubMember, learner: ClubMember, numbers: set[str], stage: Stage
) -> Teaching:
    families: dict[str, list[CaseName]] = {family: [] for family in families_of(stage)}
    for case in CASES.values():
        if case.id.stage is stage and case.id.text in numbers:
            families[case.family].append(name_of(case.id))
    chances = case_chances(stage)
    return Teaching(
        teacher=teacher,
        learner=learner,
        families=tuple(
            FamilyCases(family, tuple(cases)) for family, cases in families.items() if cases
        ),
        n_cases=len(numbers),
        share=sum(chances[number] for number in numbers),
    )
