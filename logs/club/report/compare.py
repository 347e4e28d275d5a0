"""Two or more members side by side: on shape, never on speed."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CASES, Stage
from logs.cases.facts import case_chances, families_of
from logs.club.figures import teachers
from logs.club.report.own_speed import SlowFinding, SlowLine, slow_findings, slow_lines
from logs.club.report.standings import (
    MemberStandings,
    StandingGrid,
    is_one_look,
    standing_grid,
    standings_by_member,
)
from logs.people.report.members import ClubMember, ClubView, SightedMember, club_view
from logs.progress.report.coverage import CoverageLine, coverage_lines
from logs.solves.figures.standing import Standing
from logs.solves.selectors.tallies import case_tally_list, coverage_tally_list

MOST = 6
"""So many members side by side at most."""


class Part(StrEnum):
    """What of a last-layer stage is compared."""

    RECOGNITION = "recognition"
    EXECUTION = "execution"


@dataclass(frozen=True, slots=True)
class CompareChoice:
    """What the reader chose.

    Attributes:
        membership_ids: The members to compare.
        stage: The set of cases.
        part: Recognition or execution.
        hides_names: Whether names are hidden.
    """

    membership_ids: tuple[int, ...] = ()
    stage: Stage = Stage.OLL
    part: Part = Part.RECOGNITION
    hides_names: bool = False


@dataclass(frozen=True, slots=True)
class Lesson:
    """What one member could show another.

    Attributes:
        teacher: By name.
        learner: By name.
        families: Cases by family, each as number and title.
        n_cases: How many cases.
        share_pct: In how many of 100 solves one of them comes up.
    """

    teacher: str
    learner: str
    families: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    n_cases: int
    share_pct: int


@dataclass(frozen=True, slots=True)
class CompareReport:
    """What the Compare page shows.

    Attributes:
        view: The club and its members as the reader sees them.
        choice: What the reader chose.
        chosen: The members compared, by name.
        n_dropped: How many were chosen beyond ``MOST``.
        coverage: Their coverage.
        differences: The cases that one has in one look and another who met it has not.
        findings: Cases that are likely slow for a member's own speed.
        slow: Every case that at least two members of the club have times of.
        n_compared: Members of the club behind the speeds.
        lessons: Who could show whom what.
    """

    view: ClubView
    choice: CompareChoice
    chosen: tuple[ClubMember, ...]
    n_dropped: int
    coverage: tuple[CoverageLine, ...]
    differences: StandingGrid | None
    findings: tuple[SlowFinding, ...]
    slow: tuple[SlowLine, ...]
    n_compared: int
    lessons: tuple[Lesson, ...]
    standings: tuple[str, ...] = tuple(one.value for one in Standing)

    @property
    def membership_ids(self) -> list[int]:
        """Whose figures the page shows; nobody's before two are chosen."""
        return [one.membership_id for one in self.chosen] if len(self.chosen) > 1 else []


def compare_report(*, actor: User, slug: str, choice: CompareChoice) -> CompareReport:
    """The chosen members of the club side by side; who is not visible to ``actor`` is not there.

    Raises:
        NotFoundError: There is no such club, or ``actor`` is not in it.
    """
    view = club_view(actor=actor, slug=slug, hides_names=choice.hides_names)
    wanted = [one for one in view.members if one.membership_id in choice.membership_ids]
    chosen = tuple(wanted[:MOST])
    if len(chosen) < 2:
        return CompareReport(view, choice, chosen, 0, (), None, (), (), 0, ())
    tallies = case_tally_list(actor=actor, club=view.club_row, stage=choice.stage)
    standings = standings_by_member(tallies)
    slow = slow_lines(
        chosen,
        {one: standings[one].tallies for one in standings},
        stage=choice.stage,
        is_execution=choice.part is Part.EXECUTION,
    )
    kept = coverage_tally_list(actor=actor, club=view.club_row)
    return CompareReport(
        view=view,
        choice=choice,
        chosen=chosen,
        n_dropped=len(wanted) - len(chosen),
        coverage=coverage_lines(chosen, kept, choice.stage),
        differences=_differences(chosen, standings, choice.stage),
        findings=slow_findings(chosen, slow),
        slow=slow,
        n_compared=sum(any(t.n_timed for t in one.tallies.values()) for one in standings.values()),
        lessons=_lessons(chosen, standings, choice.stage),
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


def _lessons(
    chosen: Sequence[SightedMember], standings: Mapping[int, MemberStandings], stage: Stage
) -> tuple[Lesson, ...]:
    """Who could show whom what, the pair with the largest share of solves first."""
    rates = pd.DataFrame(
        [
            (one.user_id, case, standings[one.user_id].chance_known(case))
            for one in chosen
            if one.user_id in standings
            for case, tally in standings[one.user_id].tallies.items()
            if tally.n_looked
        ],
        columns=["member", "case", "p_one_look"],
    )
    pairs = teachers(rates)
    names = {one.user_id: one.name for one in chosen}
    shown: dict[tuple[int, int], set[str]] = defaultdict(set)
    for case, teacher, learner in pairs.itertuples(index=False, name=None):
        shown[teacher, learner].add(case)
    lessons = [
        _lesson(names[teacher], names[learner], cases, stage)
        for (teacher, learner), cases in shown.items()
    ]
    return tuple(sorted(lessons, key=lambda one: (-one.share_pct, one.learner, one.teacher)))


def _lesson(teacher: str, learner: str, numbers: set[str], stage: Stage) -> Lesson:
    families: dict[str, list[tuple[str, str]]] = {family: [] for family in families_of(stage)}
    for case in CASES.values():
        if case.id.stage is stage and str(case.id.number) in numbers:
            families[case.family].append((str(case.id.number), str(case)))
    chances = case_chances(stage)
    return Lesson(
        teacher=teacher,
        learner=learner,
        families=tuple((family, tuple(cases)) for family, cases in families.items() if cases),
        n_cases=len(numbers),
        share_pct=round(100 * sum(chances[number] for number in numbers)),
    )
