"""The Progress page: where the time goes, which cases cost it, which never came up, and how it went."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.cases.chances import expected_unmet
from logs.cases.facts import case_chances
from logs.people.report.whose import Sight, Whose, whose
from logs.progress.charts import cases_figure, shares_figure
from logs.progress.figures.cases import CaseOrder, case_order
from logs.progress.report.lines import (
    AlarmWords,
    CaseLine,
    CoverageWords,
    RateWords,
    ShareLine,
    UnmetLine,
    alarm_words,
    case_line,
    coverage_words,
    rate_words,
    share_lines,
    unmet_line,
)
from logs.progress.report.load import LoadReport, load_report
from logs.progress.report.log_figures import (
    Figures,
    of_stage,
    solve_figures,
    stage_figures,
    table_of,
)
from logs.progress.report.time import TimeReport, time_report
from logs.progress.services import kept_figures
from logs.solves.selectors.frames import edge_steps, sighting_frame, solve_frame
from logs.stats.rates import rate

Figure = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Choice:
    """What the reader chose to see.

    Attributes:
        stage: OLL or PLL.
        family: One family of its cases, or empty for all.
        order: The order of the cases.
        one_look_only: Times from one-look sightings alone.
    """

    stage: Stage = Stage.OLL
    family: str = ""
    order: CaseOrder = CaseOrder.COST
    one_look_only: bool = False


@dataclass(frozen=True, slots=True)
class ProgressReport:
    """What the Progress page shows. Drills are counted in ``n_drills`` and in the load alone.

    ``n_solves`` counts all solves, ``n_split`` those with every split, ``n_met`` those whose case
    of the chosen stage is known, skips included; ``n_unmet_expected`` and ``n_unmet_sd`` are what
    chance leaves unmet after ``n_met`` solves. ``alarm`` is None while the chances fit.
    """

    whose: Whose
    choice: Choice
    families: tuple[str, ...]
    n_solves: int
    n_drills: int
    n_split: int
    n_met: int
    shares: tuple[ShareLine, ...]
    shares_figure: Figure | None
    cases: tuple[CaseLine, ...]
    cases_figure: Figure | None
    one_look: RateWords | None
    coverage: CoverageWords | None
    alarm: AlarmWords | None
    unmet: tuple[UnmetLine, ...]
    n_cases: int
    n_unmet_expected: int
    n_unmet_sd: str
    time: TimeReport
    load: LoadReport


def progress_report(
    *, actor: User, membership_id: int | None = None, choice: Choice, now: datetime
) -> ProgressReport:
    """The progress of the actor, or of the member of the membership.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = whose(actor=actor, membership_id=membership_id)
    found = _log_figures(actor, member, choice)
    solves, stages = found["solves"], {stage: found[stage.value] for stage in Stage}
    own = stages[choice.stage]
    cases = of_stage(choice.stage)
    shown = {n: c for n, c in cases.items() if choice.family in ("", c.family)}
    table = _shown(own, choice)
    shares = table_of(solves["shares"])
    expected = expected_unmet(list(case_chances(choice.stage).values()), n_solves=own["n_met"])
    return ProgressReport(
        whose=member,
        choice=choice,
        families=tuple(sorted({case.family for case in cases.values()})),
        n_solves=solves["n_solves"],
        n_drills=solves["n_drills"],
        n_split=solves["n_split"],
        n_met=own["n_met"],
        shares=share_lines(shares),
        shares_figure=found["charts"]["shares"],
        cases=tuple(case_line(row, shown) for row in table.to_dict("records")),
        cases_figure=found["charts"]["cases"] if _is_first(choice) else _cases_figure(own, choice),
        one_look=rate_words(rate(*own["one_look"])),
        coverage=coverage_words(own["coverage"]),
        alarm=alarm_words(own["alarm"], own["edge_counts"]),
        unmet=tuple(unmet_line(cases[number]) for number in own["unmet"]),
        n_cases=len(cases),
        n_unmet_expected=round(expected.mean),
        n_unmet_sd=f"{expected.sd:.1f}",
        time=time_report(
            actor=actor, member=member, solves=solves, stages=stages, stage=choice.stage
        ),
        load=load_report(actor=actor, member=member, now=now),
    )


def _is_first(choice: Choice) -> bool:
    """Whether it is what the page shows before anything is chosen but the stage."""
    return choice == Choice(stage=choice.stage)


def _log_figures(actor: User, member: Sight, choice: Choice) -> dict[str, Figures]:
    """Figures of the whole log: ``solves``, each stage by its name, and the first ``charts``.

    Drawing takes as long as a page may, so the charts are kept as well.
    """
    sightings: list[pd.DataFrame] = []  # read once, and only if a stage has to be worked out

    def of_solves(_: Mapping[str, Figures]) -> Figures:
        return solve_figures(solve_frame(actor=actor, member=member.user), member.zone)

    def of_one(stage: Stage) -> Figures:
        if not sightings:
            frame = sighting_frame(actor=actor, member=member.user, kind=Kind.SOLVE)
            sightings.append(frame)
        steps = edge_steps(actor=actor, member=member.user) if stage is Stage.OLL else ()
        return stage_figures(sightings[0], stage, edge_steps=steps)

    def charts(found: Mapping[str, Figures]) -> Figures:
        shares = table_of(found["solves"]["shares"])
        return {
            "shares": None if shares.empty else _plain(shares_figure(shares)),
            "cases": _cases_figure(found[choice.stage.value], Choice(stage=choice.stage)),
        }

    found = kept_figures(
        actor=actor,
        member=member.user,
        zone=member.zone.key,
        works={
            "solves": of_solves,
            Stage.OLL.value: lambda _: of_one(Stage.OLL),
            Stage.PLL.value: lambda _: of_one(Stage.PLL),
            f"{choice.stage.value} charts": charts,
        },
    )
    return found | {"charts": found[f"{choice.stage.value} charts"]}


def _shown(own: Figures, choice: Choice) -> pd.DataFrame:
    """The rows of the cases chosen, in their order."""
    cases = of_stage(choice.stage)
    table = table_of(own["times"]["one" if choice.one_look_only else "all"]["table"])
    family = [n for n, case in cases.items() if choice.family in ("", case.family)]
    return case_order(table[table["case"].isin(family)], order=choice.order, cases=list(cases))


def _cases_figure(own: Figures, choice: Choice) -> Figure | None:
    table = _shown(own, choice)
    if not (table["n_timed"] > 0).any():
        return None
    points = table_of(own["times"]["one" if choice.one_look_only else "all"]["points"])
    points = points[points["case"].isin(table["case"])]
    names = {number: str(case) for number, case in of_stage(choice.stage).items()}
    return _plain(cases_figure(table, points, names=names))


def _plain(figure: go.Figure) -> Figure:
    """The figure as plain values, fit for the page's JSON."""
    plain: Figure = json.loads(figure.to_json())
    return plain
