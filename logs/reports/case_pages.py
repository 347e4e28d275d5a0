"""The Cases grid and the page of one case."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

import pandas as pd

from cubecore.cases import CASES, SKIP, Case, Stage
from cubecore.pictures import case_picture
from cubecore.replay import Kind
from logs.analytics.cases import algorithm_counts, misfire_counts
from logs.analytics.robust import ODD_Z, robust_z
from logs.errors import NotFoundError
from logs.reports.algorithm_facts import AlgorithmFacts
from logs.reports.case_drills import CaseDrills, case_drills
from logs.reports.case_teaching import CaseTeaching, case_teaching
from logs.reports.case_times import CaseTimes, case_times
from logs.reports.people import time_zone_of
from logs.reports.words import case_title, chance_words, find_case, moment, split
from logs.selectors.coaching import coached_clubs
from logs.selectors.frames import sighting_frame

if TYPE_CHECKING:
    from clubsite.accounts.models import User

SHOWN_SIGHTINGS = 50


@dataclass(frozen=True, slots=True)
class CaseCard:
    """A case on the grid; ``n`` is how often the reader met it in solves."""

    stage: str
    number: str
    name: str
    chance: str
    picture: str
    n: int


@dataclass(frozen=True, slots=True)
class CasesReport:
    """The grid: each stage with its cards, and how many solves the counts come from."""

    stages: tuple[tuple[str, tuple[CaseCard, ...]], ...]
    n_solves: int


@dataclass(frozen=True, slots=True)
class AlgorithmLine:
    """An algorithm of the reader's book, and how often they used it."""

    facts: AlgorithmFacts
    n_used: int


@dataclass(frozen=True, slots=True)
class SightingLine:
    """One time the reader met the case."""

    solve_id: int
    done: str
    recognition: str
    execution: str
    n_looks: int
    is_one_look: bool
    algorithm: str
    misfire: str
    is_odd: bool


@dataclass(frozen=True, slots=True)
class CaseReport:
    """The page of a case.

    ``times`` are those of the solves; ``usual`` is the algorithm used most, ``n_usual`` times. ``drills`` stands apart: no other
    figure has a drill in it. ``coached`` are name and slug of the clubs that the reader coaches.
    """

    stage: str
    number: str
    title: str
    family: str
    chance: str
    teaching: CaseTeaching
    algorithms: tuple[AlgorithmLine, ...]
    sightings: tuple[SightingLine, ...]
    n: int
    n_one_look: int
    times: CaseTimes
    usual: str
    n_usual: int
    misfires: tuple[tuple[str, int], ...]
    drills: CaseDrills
    coached: tuple[tuple[str, str], ...]


def cases_report(*, actor: "User") -> CasesReport:
    """The grid of all cases with the actor's counts."""
    sightings = sighting_frame(actor=actor, member=actor, kind=Kind.SOLVE)
    counts = Counter(zip(sightings["stage"], sightings["case"], strict=True))
    stages = tuple(
        (
            stage.value,
            tuple(_card(case, counts) for case in CASES.values() if case.id.stage is stage),
        )
        for stage in Stage
    )
    return CasesReport(stages, int(sightings["solve_id"].nunique()))


def all_case_titles() -> tuple[tuple[str, str], ...]:
    """Every case and both skips, as an address names it (``oll-27``) and in words."""
    titles = [(f"{case.id.stage}-{case.id.number}", str(case)) for case in CASES.values()]
    skips = [(f"{stage}-{SKIP}", case_title(stage, SKIP)) for stage in Stage]
    return (*titles, *skips)


def _card(case: Case, counts: Counter[tuple[str, str]]) -> CaseCard:
    stage, number = case.id.stage.value, str(case.id.number)
    return CaseCard(
        stage=stage,
        number=number,
        name=case.name,
        chance=f"once in {case.id.stage.chances_in // case.chance}",
        picture=case_picture(case, size=88),
        n=counts[stage, number],
    )


def case_report(
    *, actor: "User", stage: str, number: str, angle: int | None = None, now: datetime
) -> CaseReport:
    """The page of a case met at ``angle`` (in its hold when None), with the actor's sightings.

    Raises:
        NotFoundError: There is no such case.
    """
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    teaching = case_teaching(actor=actor, stage=stage, number=number, angle=angle)
    everything = sighting_frame(actor=actor, member=actor, kind=Kind.SOLVE)
    met = everything[(everything["stage"] == stage) & (everything["case"] == number)]
    one_look = met[met["is_one_look"]]
    used = algorithm_counts(everything, stage=stage, case=number)
    return CaseReport(
        stage=stage,
        number=number,
        title=str(case),
        family=case.family,
        chance=chance_words(case),
        teaching=teaching,
        algorithms=tuple(
            AlgorithmLine(facts, dict(used).get(facts.text, 0)) for facts in teaching.algorithms
        ),
        sightings=_sighting_lines(actor, met),
        n=len(met),
        n_one_look=len(one_look),
        times=case_times(
            actor=actor,
            sightings=everything,
            case=case,
            zone=time_zone_of(actor=actor),
            now=now,
        ),
        usual=used[0][0] if used else "",
        n_usual=used[0][1] if used else 0,
        misfires=tuple(
            (misfire_words(kind, other), n)
            for kind, other, n in misfire_counts(everything, stage=stage, case=number)
        ),
        drills=case_drills(actor=actor, met_in_solves=met, stage=stage, number=number),
        coached=tuple((club.name, club.slug) for club in coached_clubs(actor=actor)),
    )


def misfire_words(kind: str, case: str) -> str:
    """What a named misfire was; empty for none.

    The case may be of the other stage than the one it happened in: numbers are OLLs, letters PLLs.
    """
    if not kind:
        return ""
    if kind == "wrong_hold":
        return "the right algorithm from a wrong hold"
    stage = Stage.OLL if case.isdecimal() else Stage.PLL
    return f"the algorithm of {case_title(stage, case)}"


def _sighting_lines(actor: "User", met: pd.DataFrame) -> tuple[SightingLine, ...]:
    """The newest sightings first, those far out marked."""
    zone = time_zone_of(actor=actor)
    scores = robust_z((met["recognition_ms"] + met["execution_ms"]).where(lambda ms: ms > 0))
    lines = []
    for row, score in zip(met.to_dict("records"), scores, strict=True):
        kind = str(row["misfire_kind"])
        lines.append(
            SightingLine(
                solve_id=int(row["solve_id"]),
                done=moment(_known_moment(row["done_at"]), zone),
                recognition=split(_known(row["recognition_ms"])),
                execution=split(_known(row["execution_ms"])),
                n_looks=int(row["n_looks"]),
                is_one_look=bool(row["is_one_look"]),
                algorithm=str(row["algorithm"]),
                misfire=misfire_words(kind, str(row["misfire_case"])),
                is_odd=score >= ODD_Z,
            )
        )
    return tuple(reversed(lines))[:SHOWN_SIGHTINGS]


def _known(ms: object) -> int | None:
    return int(ms) if isinstance(ms, float) and ms == ms else None


def _known_moment(at: object) -> datetime | None:
    return at.to_pydatetime() if isinstance(at, pd.Timestamp) else None
