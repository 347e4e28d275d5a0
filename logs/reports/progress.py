"""The Progress page: where the time goes, which cases cost it, which never came up."""

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd
import plotly.graph_objects as go

from cubecore.cases import CASES, Case, Stage
from cubecore.replay import Kind
from logs.analytics.cases import (
    CaseOrder,
    case_table,
    cases_unmet,
    few_points,
    one_look_rate,
)
from logs.analytics.splits import stage_shares
from logs.analytics.unmet import expected_unmet
from logs.charts.cases import cases_figure
from logs.charts.shares import shares_figure
from logs.reports.people import Whose, whose
from logs.reports.progress_lines import (
    CaseLine,
    RateWords,
    ShareLine,
    UnmetLine,
    case_line,
    rate_words,
    share_lines,
    unmet_line,
)
from logs.selectors.frames import sighting_frame, solve_frame

if TYPE_CHECKING:
    from clubsite.accounts.models import User

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
    """What the Progress page shows. Drills are counted in ``n_drills`` and nowhere else.

    ``n_solves`` counts all solves, ``n_split`` those with every split, ``n_met`` those whose case
    of the chosen stage is known, skips included; ``n_unmet_expected`` and ``n_unmet_sd`` are what
    chance leaves unmet after ``n_met`` solves.
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
    unmet: tuple[UnmetLine, ...]
    n_cases: int
    n_unmet_expected: int
    n_unmet_sd: str


def progress_report(
    *, actor: "User", membership_id: int | None = None, choice: Choice
) -> ProgressReport:
    """The progress of the actor, or of the member of the membership.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = whose(actor=actor, membership_id=membership_id)
    solves = solve_frame(actor=actor, member=member.user)
    sightings = sighting_frame(actor=actor, member=member.user, kind=Kind.SOLVE)
    of_stage = {str(c.id.number): c for c in CASES.values() if c.id.stage is choice.stage}
    shown = {n: c for n, c in of_stage.items() if choice.family in ("", c.family)}
    shares = stage_shares(solves)
    table = _table(sightings, shown, choice)
    is_drill = solves["kind"] == Kind.DRILL.value
    n_met = int((sightings["stage"] == choice.stage.value).sum())
    every = _chances(of_stage)
    expected = expected_unmet(list(every.values()), n_solves=n_met)
    unmet = cases_unmet(sightings, stage=choice.stage, chances=every)
    return ProgressReport(
        whose=member,
        choice=choice,
        families=tuple(sorted({case.family for case in of_stage.values()})),
        n_solves=int((~is_drill).sum()),
        n_drills=int(is_drill.sum()),
        n_split=0 if shares.empty else int(shares["n"].iloc[0]),
        n_met=n_met,
        shares=share_lines(shares),
        shares_figure=None if shares.empty else _plain(shares_figure(shares)),
        cases=tuple(case_line(row, shown) for row in table.to_dict("records")),
        cases_figure=_cases_figure(sightings, table, shown, choice),
        one_look=rate_words(one_look_rate(sightings, stage=choice.stage)),
        unmet=tuple(unmet_line(of_stage[number]) for number in unmet),
        n_cases=len(of_stage),
        n_unmet_expected=round(expected.mean),
        n_unmet_sd=f"{expected.sd:.1f}",
    )


def _chances(cases: dict[str, Case]) -> dict[str, float]:
    return {number: c.chance / c.id.stage.chances_in for number, c in cases.items()}


def _table(sightings: pd.DataFrame, cases: dict[str, Case], choice: Choice) -> pd.DataFrame:
    return case_table(
        sightings,
        stage=choice.stage,
        chances=_chances(cases),
        order=choice.order,
        one_look_only=choice.one_look_only,
    )


def _cases_figure(
    sightings: pd.DataFrame, table: pd.DataFrame, cases: dict[str, Case], choice: Choice
) -> Figure | None:
    if not (table["n_timed"] > 0).any():
        return None
    points = few_points(sightings, table, stage=choice.stage, one_look_only=choice.one_look_only)
    names = {number: str(case) for number, case in cases.items()}
    return _plain(cases_figure(table, points, names=names))


def _plain(figure: go.Figure) -> Figure:
    """The figure as plain values, fit for the page's JSON."""
    plain: Figure = json.loads(figure.to_json())
    return plain
