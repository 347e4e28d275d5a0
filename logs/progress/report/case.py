"""A case as it is taught to the reader: by the book of their clubs, in their own colour."""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CASES, Case, CaseId, Stage
from cubecore.pictures import case_picture
from cubecore.replay import Kind
from logs.algorithms.report import AlgorithmFacts, algorithm_facts
from logs.algorithms.selectors import book_of_member, triggers_of_member
from logs.cases.held import Angle, HeldCase, angles_of, held_case
from logs.errors import NotFoundError
from logs.people.report.whose import time_zone_of
from logs.people.sight import clubs_of, coached_clubs
from logs.progress.figures.cases import algorithm_counts, misfire_counts
from logs.progress.report.case_times import CaseTimes, case_times
from logs.solves.selectors.frames import sighting_frame
from logs.solves.selectors.solves import usual_last_colour
from logs.stats.distributions import ODD_Z, median_band, robust_z
from logs.stats.transfer import BAND, Transfer, transfer
from logs.words import average, band, chance_words, find_case, moment, solves, split


@dataclass(frozen=True, slots=True)
class CaseTeaching:
    """How to hold a case and what to look at.

    Attributes:
        held: The case at the angle that is shown.
        is_hold: Whether that is the hold the first algorithm starts from.
        auf: The turn of the layer that leads from it to the hold; empty in the hold.
        angles: All its angles.
        algorithms: Those of the reader's books, the taught one first.
        colour: The last layer's, as the reader mostly solves.
        books: Name and slug of the clubs whose books they are.
    """

    held: HeldCase
    is_hold: bool
    auf: str
    angles: tuple[Angle, ...]
    algorithms: tuple[AlgorithmFacts, ...]
    colour: str
    books: tuple[tuple[str, str], ...]


def case_teaching(
    *, actor: User, stage: str, number: str, angle: int | None = None
) -> CaseTeaching:
    """How a case is taught to the actor, met at ``angle``; in its hold when None.

    Raises:
        NotFoundError: There is no such case.
    """
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    triggers = triggers_of_member(member=actor)
    known = book_of_member(member=actor).algorithms(case.id)
    hold = known[0].angle % case.n_angles if known else 0
    shown = hold if angle is None else angle % case.n_angles
    colour = usual_last_colour(actor=actor)
    angles = angles_of(case, hold=hold, shown=shown)
    return CaseTeaching(
        held=held_case(case, angle=shown, colour=colour),
        is_hold=shown == hold,
        auf=next(one.auf for one in angles if one.is_shown),
        angles=angles,
        algorithms=tuple(algorithm_facts(algorithm.text, triggers) for algorithm in known),
        colour=colour,
        books=tuple((club.name, club.slug) for club in clubs_of(actor=actor)),
    )


@dataclass(frozen=True, slots=True)
class CaseDrills:
    """What a member's drills of a case say.

    Attributes:
        n: Times met in drills.
        n_one_look: Of those in one look.
        n_timed: Of those with a time.
        time: Median of recognition and execution together, s.
        time_band: Its range.
        band_held_pct: How often in 100 such a range holds the true median.
        gap: How much longer the case takes in solves, as a sentence; empty without both.
    """

    n: int
    n_one_look: int
    n_timed: int
    time: str
    time_band: str
    band_held_pct: int
    gap: str


def case_drills(*, actor: User, met_in_solves: pd.DataFrame, stage: str, number: str) -> CaseDrills:
    """The actor's drills of a case, beside its ``SIGHTING_COLUMNS`` frame of solves."""
    drills = sighting_frame(actor=actor, member=actor, kind=Kind.DRILL)
    met = drills[(drills["stage"] == stage) & (drills["case"] == number)]
    whole = _one_look_ms(met)
    median = median_band(whole)
    return CaseDrills(
        n=len(met),
        n_one_look=int(met["is_one_look"].sum()),
        n_timed=median.n,
        time=average(median.median),
        time_band=band(median.low, median.high),
        band_held_pct=round(100 * median.held),
        gap=gap_words(transfer(whole, _one_look_ms(met_in_solves))),
    )


def _one_look_ms(met: pd.DataFrame) -> pd.Series:
    """Recognition and execution of the sightings in one look; NaN without times."""
    one_look = met[met["is_one_look"]]
    whole = one_look["recognition_ms"] + one_look["execution_ms"]
    return whole.where(whole > 0)


def gap_words(gap: Transfer | None) -> str:
    """How much longer solves take than drills, with its counts and its range."""
    if gap is None:
        return ""
    drills = f"{gap.n_drills} drill{'s' if gap.n_drills != 1 else ''}"
    counts = f"from {drills} and {solves(gap.n_solves)} in one look"
    if gap.low is None or gap.high is None:
        return f"Too few yet to say how drills and solves differ: {counts}."
    return (
        f"In solves it takes {gap.ratio:.2f} times as long as in drills, {counts};"
        f" {BAND * 100:.0f} times in 100 such a range, {gap.low:.2f} to {gap.high:.2f}, holds the truth."
    )


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


def cases_report(*, actor: User) -> CasesReport:
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
    *, actor: User, stage: str, number: str, angle: int | None = None, now: datetime
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
    return f"the algorithm of {CASES[CaseId.parse(case)]}"


def _sighting_lines(actor: User, met: pd.DataFrame) -> tuple[SightingLine, ...]:
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
