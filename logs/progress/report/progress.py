"""Progress: where the time goes, which cases cost it, which never came up, and how it went."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import Case, Stage
from cubecore.results import Kind
from cubecore.rows import TimedBy
from logs.cases.facts import case_chances, code_of
from logs.cases.figures import EDGE_CLASSES, expected_unmet
from logs.people.sight import Sight, Whose, sight_of
from logs.progress.figures.cases import CaseOrder, case_order
from logs.progress.figures.log import (
    Figures,
    instrument_figures,
    of_stage,
    solve_figures,
    stage_figures,
    table_of,
)
from logs.progress.report.load import LoadReport, load_report
from logs.progress.report.time import TimeReport, time_report
from logs.progress.report.times_alone import TimesAlone, times_alone
from logs.progress.services import kept_figures
from logs.solves.figures.frames import step_of
from logs.solves.figures.sampling import Basis, RateRows
from logs.solves.figures.standing import COVERAGE_LEVEL
from logs.solves.report.drawn import RowsWritten, rows_written
from logs.solves.selectors.alike import instruments_used
from logs.solves.selectors.draws import member_rate_rows
from logs.solves.selectors.frames import edge_steps, sighting_frame, solve_frame
from logs.stats import Range
from logs.stats.grid import BAND as TIMES_LEVEL
from logs.stats.rates import Rate

SHARE_LEVEL = 0.80
"""The 10th and the 90th percentile: eight solves in ten lie between them."""


class SolvePart(StrEnum):
    """A part of a solve; together they are its turning time."""

    CROSS = "cross"
    PAIRS = "pairs"
    OLL_RECOGNITION = "oll_recognition"
    OLL_EXECUTION = "oll_execution"
    PLL_RECOGNITION = "pll_recognition"
    PLL_EXECUTION = "pll_execution"
    FINAL_AUF = "final_auf"


class TopEdges(StrEnum):
    """How many edges face up when the last layer is reached, and how they lie."""

    DOT = "dot"
    BAR = "bar"
    ANGLE = "angle"
    ORIENTED = "oriented"


class LooksChoice(StrEnum):
    """Which sightings times are taken from: never both, as two looks take longer than one."""

    ONE = "one"
    MORE = "more"


@dataclass(frozen=True, slots=True)
class Choice:
    """What the reader chose to see.

    Attributes:
        stage: The set of cases.
        family: One family of its cases; empty for all.
        order: The order of the cases.
        looks: Which sightings times are taken from.
    """

    stage: Stage = Stage.OLL
    family: str = ""
    order: CaseOrder = CaseOrder.COST
    looks: LooksChoice = LooksChoice.ONE


@dataclass(frozen=True, slots=True)
class PartShare:
    """What a part takes of a solve.

    Attributes:
        part: The part.
        mean_ms: Its mean, ms.
        share: Of the turning time, 0..1.
        range_ms: Where eight solves in ten lie, ms.
    """

    part: SolvePart
    mean_ms: float
    share: float
    range_ms: Range


@dataclass(frozen=True, slots=True)
class TypicalTime:
    """A typical time of a case, leaning on the member's other cases as far as it must.

    Attributes:
        centre_ms: Its median, ms.
        range_ms: Where it lies, ms.
        is_known: Whether the range is narrow enough to name the centre as the time.
    """

    centre_ms: float
    range_ms: Range
    is_known: bool


@dataclass(frozen=True, slots=True)
class TimedSighting:
    """One sighting by itself.

    Attributes:
        recognition_ms: Recognition, ms.
        execution_ms: Execution, ms.
        step_ms: How fine these were taken, ms; null where the log does not say.
    """

    recognition_ms: float
    execution_ms: float
    step_ms: int | None


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A case met, with its figures.

    Attributes:
        stage: The set of cases.
        number: Its number or letters.
        code: Names it in addresses of lists of solves, such as ``oll-27``.
        title: Such as ``OLL 27 Sune``.
        chance: Of it in one solve, 0..1.
        n: Times met.
        n_one_look: Of those in one look.
        n_timed: Sightings behind the times, done as chosen.
        recognition: Typical recognition now, done as chosen; null without a time.
        execution: Typical execution now, done as chosen; null without a time.
        in_one_look: Typical time of the whole stage in one look now; null without a time.
        in_more_looks: The same in more looks than one.
        cost_ms: What the case costs in an average solve, ms: its chance times the mean of the
            whole stage; null while that is not known.
        few: The timed sightings one by one where there are at most four.
    """

    stage: Stage
    number: str
    code: str
    title: str
    chance: float
    n: int
    n_one_look: int
    n_timed: int
    recognition: TypicalTime | None
    execution: TypicalTime | None
    in_one_look: TypicalTime | None
    in_more_looks: TypicalTime | None
    cost_ms: float | None
    few: tuple[TimedSighting, ...]


@dataclass(frozen=True, slots=True)
class UnmetCase:
    """A case that never came up.

    Attributes:
        stage: The set of cases.
        number: Its number or letters.
        title: Such as ``OLL 27 Sune``.
        chance: Of it in one solve, 0..1.
    """

    stage: Stage
    number: str
    title: str
    chance: float


@dataclass(frozen=True, slots=True)
class CoverageReport:
    """The share of solves whose stage goes in one look: three parts that add up to 1.

    Attributes:
        covered_share: Goes in one look, the skip included, 0..1.
        covered_range: Where that share lies.
        not_covered_share: Held by cases met that do not go in one look, 0..1.
        never_met_share: Held by cases never met, of which nothing is known, 0..1.
        n_looks: Looks behind the figure.
        n_cases_met: Cases looked at.
        basis: What kind of rows it is made of: logged with their solutions; chosen, written down
            afterwards as the member picked them; drawn by the house, each standing for several.
    """

    covered_share: float
    covered_range: Range
    not_covered_share: float
    never_met_share: float
    n_looks: int
    n_cases_met: int
    basis: Basis = Basis.LOGGED


@dataclass(frozen=True, slots=True)
class EdgeCount:
    """How often the top edges lay so.

    Attributes:
        edges: How they lay.
        n: Times.
        n_expected: What chance has.
    """

    edges: TopEdges
    n: int
    n_expected: float


@dataclass(frozen=True, slots=True)
class ChanceAlarm:
    """Cases do not come up for this member as chance has it.

    Attributes:
        n: Solves counted.
        p: Chance of so large a departure by luck, 0..1.
        counts: How often the top edges lay how.
    """

    n: int
    p: float
    counts: tuple[EdgeCount, ...]


@dataclass(frozen=True, slots=True)
class ProgressReport:
    """A member's progress; drills are counted in ``n_drills`` and in the load alone.

    Attributes:
        whose: Whose progress.
        choice: What was asked for.
        n_solves: All solves.
        n_drills: All drills.
        n_split: Solves with every split.
        n_met: Solves whose case of the chosen stage is known, skips included.
        shares: What each part takes of a solve; none without a solve with every split.
        cases: The cases met, as chosen.
        one_look: How often a sighting of the stage went in one look.
        coverage: Share of solves covered; null without a look.
        alarm: How cases come up otherwise than chance has it; null while the chances fit.
        unmet: The cases that never came up.
        n_cases: Cases of the stage.
        n_unmet_expected: Cases that chance leaves unmet after ``n_met`` solves, on average.
        n_unmet_sd: Standard deviation of that number.
        time: How times went.
        load: How much is turned.
        alone: What times alone tell; null where a solve was read with its solution, or there is none.
        written: Of rows written down by hand; null without any and without a draw.
        timed_by: What the times of turns are taken with; null without any.
        n_unlike: Solves whose times of turns are left out: another instrument took them.
    """

    whose: Whose
    choice: Choice
    n_solves: int
    n_drills: int
    n_split: int
    n_met: int
    shares: tuple[PartShare, ...]
    cases: tuple[CaseLine, ...]
    one_look: Rate
    coverage: CoverageReport | None
    alarm: ChanceAlarm | None
    unmet: tuple[UnmetCase, ...]
    n_cases: int
    n_unmet_expected: float
    n_unmet_sd: float
    time: TimeReport
    load: LoadReport
    alone: TimesAlone | None
    written: RowsWritten | None
    timed_by: TimedBy | None
    n_unlike: int


def progress_report(
    *, actor: User, membership_id: int | None = None, choice: Choice, now: datetime
) -> ProgressReport:
    """The progress of the actor, or of the member of the membership.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = sight_of(actor=actor, membership_id=membership_id)
    figures = _log_figures(actor, member)
    solves, stages = figures["solves"], {stage: figures[stage.value] for stage in Stage}
    own = stages[choice.stage]
    cases = of_stage(choice.stage)
    expected = expected_unmet(list(case_chances(choice.stage).values()), n_solves=own["n_met"])
    return ProgressReport(
        whose=member,
        choice=choice,
        n_solves=solves["n_solves"],
        n_drills=solves["n_drills"],
        n_split=solves["n_split"],
        n_met=own["n_met"],
        shares=share_lines(table_of(solves["shares"])),
        cases=_case_lines(own, choice),
        one_look=_rate(own["one_look"]),
        coverage=_coverage(own["coverage"], figures["rows"]),
        alarm=_alarm(own["alarm"], own["edge_counts"]),
        unmet=tuple(_unmet(cases[number]) for number in own["unmet"]),
        n_cases=len(cases),
        n_unmet_expected=expected.mean,
        n_unmet_sd=expected.sd,
        time=time_report(
            actor=actor, member=member, solves=solves, stages=stages, stage=choice.stage
        ),
        load=load_report(actor=actor, member=member, now=now),
        alone=times_alone(actor=actor, member=member) if _has_times_alone(solves, stages) else None,
        written=_written(figures["rows"]),
        timed_by=None if (main := solves["instruments"]["main"]) is None else TimedBy(main),
        n_unlike=solves["instruments"]["n_unlike"],
    )


def _rate(kept: Figures) -> Rate:
    return Rate(kept["n_hits"], kept["n"], kept["share"], Range(**kept["range"]))


def _written(kept: Figures) -> RowsWritten | None:
    if not kept["n_chosen"] and not kept["n_asked"]:
        return None
    return RowsWritten(**kept | {"basis": Basis(kept["basis"])})


def _has_times_alone(solves: Figures, stages: Mapping[Stage, Figures]) -> bool:
    """Whether there are solves, and the last layer of none is known."""
    return bool(solves["n_solves"]) and not any(one["n_met"] for one in stages.values())


def families_of(stage: Stage) -> tuple[str, ...]:
    """The families of a stage's cases, by name."""
    return tuple(sorted({case.family for case in of_stage(stage).values()}))


def _log_figures(actor: User, member: Sight) -> dict[str, Figures]:
    """Figures of the whole log: ``rows``, ``solves``, and each stage by its name."""
    sightings: list[pd.DataFrame] = []  # read once, and only if a stage has to be worked out
    counted: list[RateRows] = []

    def rate_rows() -> RateRows:
        if not counted:
            counted.append(member_rate_rows(actor=actor, member=member))
        return counted[0]

    def of_rows(_: Mapping[str, Figures]) -> Figures:
        return asdict(rows_written(rate_rows()))

    def of_solves(_: Mapping[str, Figures]) -> Figures:
        used = instruments_used(actor=actor, member=member)
        figures = solve_figures(solve_frame(actor=actor, member=member), member.zone)
        return figures | {"instruments": instrument_figures(used)}

    def of_one(stage: Stage) -> Figures:
        if not sightings:
            frame = sighting_frame(actor=actor, member=member, kind=Kind.SOLVE)
            sightings.append(frame)
        rows = rate_rows()
        has_chances = stage is Stage.OLL and rows.basis is not Basis.CHOSEN
        steps = edge_steps(actor=actor, member=member, but=rows.left_out) if has_chances else ()
        return stage_figures(sightings[0], stage, edge_steps=steps, rows=rows)

    return kept_figures(
        actor=actor,
        member=member,
        zone=member.zone.key,
        works={
            "rows": of_rows,
            "solves": of_solves,
            Stage.OLL.value: lambda _: of_one(Stage.OLL),
            Stage.PLL.value: lambda _: of_one(Stage.PLL),
        },
    )


def share_lines(shares: pd.DataFrame) -> tuple[PartShare, ...]:
    """The rows of `logs.solves.figures.frames.stage_shares`."""
    return tuple(
        PartShare(
            part=SolvePart(row["part"]),
            mean_ms=row["mean_ms"],
            share=row["share"],
            range_ms=Range(low=row["low_ms"], high=row["high_ms"], level=SHARE_LEVEL),
        )
        for row in shares.to_dict("records")
    )


def _case_lines(own: Figures, choice: Choice) -> tuple[CaseLine, ...]:
    """The cases chosen, in their order."""
    cases = of_stage(choice.stage)
    kept = own["times"][choice.looks.value]
    table, points = table_of(kept["table"]), table_of(kept["points"])
    few: dict[str, list[TimedSighting]] = {}
    for row in points.to_dict("records"):
        sighting = TimedSighting(
            row["recognition_ms"], row["execution_ms"], step_of(row["step_ms"])
        )
        few.setdefault(row["case"], []).append(sighting)
    wanted = [n for n, case in cases.items() if choice.family in ("", case.family)]
    table = case_order(table[table["case"].isin(wanted)], order=choice.order, cases=list(cases))
    stages = [
        {
            row["case"]: _typical(row, "stage")
            for row in table_of(own["times"][looks.value]["table"]).to_dict("records")
        }
        for looks in (LooksChoice.ONE, LooksChoice.MORE)
    ]
    return tuple(
        case_line(
            row, cases[row["case"]], few.get(row["case"], []), [one[row["case"]] for one in stages]
        )
        for row in table.to_dict("records")
    )


def case_line(
    row: dict[Any, Any],
    case: Case,
    few: Sequence[TimedSighting],
    stages: Sequence[TypicalTime | None],
) -> CaseLine:
    """A row of `case_table` with its sightings one by one, and its whole stage done either way."""
    return CaseLine(
        stage=case.id.stage,
        number=str(case.id.number),
        code=code_of(case.id),
        title=str(case),
        chance=case.chance / case.id.stage.chances_in,
        n=row["n"],
        n_one_look=row["n_one_look"],
        n_timed=row["n_timed"],
        recognition=_typical(row, "recognition"),
        execution=_typical(row, "execution"),
        in_one_look=stages[0],
        in_more_looks=stages[1],
        cost_ms=row["cost_ms"] if row["is_stage_known"] else None,
        few=tuple(few),
    )


def _typical(row: dict[Any, Any], part: str) -> TypicalTime | None:
    if not row["n_timed"]:
        return None
    return TypicalTime(
        centre_ms=row[f"{part}_ms"],
        range_ms=Range(low=row[f"{part}_low_ms"], high=row[f"{part}_high_ms"], level=TIMES_LEVEL),
        is_known=row[f"is_{part}_known"],
    )


def _coverage(kept: Figures | None, rows: Figures) -> CoverageReport | None:
    if kept is None:
        return None
    return CoverageReport(
        covered_share=kept["covered"],
        covered_range=Range(low=kept["low"], high=kept["high"], level=COVERAGE_LEVEL),
        not_covered_share=kept["not_covered"],
        never_met_share=kept["never_met"],
        n_looks=kept["n"],
        n_cases_met=kept["n_cases_met"],
        basis=Basis(rows["basis"]),
    )


def _alarm(check: Figures | None, counts: Mapping[str, int]) -> ChanceAlarm | None:
    if check is None:
        return None
    return ChanceAlarm(
        n=check["n"],
        p=check["p"],
        counts=tuple(
            EdgeCount(TopEdges(name), counts.get(name, 0), check["n"] * chance)
            for name, chance in EDGE_CLASSES.items()
        ),
    )


def _unmet(case: Case) -> UnmetCase:
    return UnmetCase(
        stage=case.id.stage,
        number=str(case.id.number),
        title=str(case),
        chance=case.chance / case.id.stage.chances_in,
    )
