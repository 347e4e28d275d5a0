"""A case as it is taught to the reader: by the book of their clubs, in their own colour."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import Stage, find_case
from cubecore.results import Kind
from logs import words
from logs.algorithms.report import AlgorithmFacts, TaughtCase, algorithm_facts, taught
from logs.algorithms.selectors import (
    CoachWords,
    book_of_member,
    said_of_member,
    triggers_of_member,
)
from logs.cases.facts import cases_by_code
from logs.cases.report import CaseAngle, CaseName, HeldCase, angles_of, held_case, name_of
from logs.errors import NotFoundError
from logs.people.sight import ClubName, clubs_of, coached_clubs, time_zone_of
from logs.progress.figures.cases import algorithm_counts
from logs.progress.report.case_times import CaseTimes, case_times
from logs.solves.figures.counts import mistaken_looks, read_look
from logs.solves.figures.frames import step_of
from logs.solves.figures.mistakes import Mistake, MistakeKind
from logs.solves.selectors.alike import n_unlike
from logs.solves.selectors.draws import member_rate_rows
from logs.solves.selectors.frames import (
    looked_rows,
    own_mix_up_tally_list,
    sighting_frame,
)
from logs.solves.selectors.solves import usual_last_colour
from logs.stats import Range
from logs.stats.distributions import ODD_Z, median_band, robust_z
from logs.stats.transfer import Transfer, transfer

NEWEST = 50
"""So many of the newest sightings are listed."""


@dataclass(frozen=True, slots=True)
class CaseTeaching:
    """How to hold a case and what to look at.

    Attributes:
        held: The case at the angle that is asked for.
        is_hold: Whether that is the hold it is taught in.
        angles: All its angles, the hold first.
        colour: The last layer's, as the reader mostly solves.
        books: The clubs whose books the algorithms are from; none for the standard book.
        words: What the coaches of those clubs say of the case.
        before: What the coach's hold asks to be turned before the book's algorithm; empty where
            the hold is the algorithm's own.
    """

    held: HeldCase
    is_hold: bool
    angles: tuple[CaseAngle, ...]
    colour: str
    books: tuple[ClubName, ...]
    words: tuple[CoachWords, ...]
    before: str


@dataclass(frozen=True, slots=True)
class CaseDrills:
    """What a member's drills of a case say.

    Attributes:
        n: Times met in drills.
        n_one_look: Of those in one look.
        n_timed: Of those with a time.
        median_ms: Median of recognition and execution together, ms; null without a time.
        range_ms: Where the true median lies, ms; null below two times.
        gap: How much longer the case takes in solves; null without both.
    """

    n: int
    n_one_look: int
    n_timed: int
    median_ms: float | None
    range_ms: Range | None
    gap: Transfer | None


@dataclass(frozen=True, slots=True)
class AlgorithmLine:
    """An algorithm of the reader's book.

    Attributes:
        facts: What can be said of it; of the taught one from the hold it is taught in.
        n_used: How often the reader used it in one look.
    """

    facts: AlgorithmFacts
    n_used: int


@dataclass(frozen=True, slots=True)
class NamedMisfire:
    """What went wrong in a first look.

    Attributes:
        kind: Another case's algorithm, or the right one from a wrong hold.
        case: The case whose algorithm was done; it may be of the other stage.
    """

    kind: MistakeKind
    case: CaseName


@dataclass(frozen=True, slots=True)
class MisfireCount:
    """How often one thing went wrong.

    Attributes:
        misfire: What went wrong.
        n: Times.
    """

    misfire: NamedMisfire
    n: int


@dataclass(frozen=True, slots=True)
class SightingLine:
    """One time the reader met the case.

    Attributes:
        solve_id: Number of the solve.
        done_at: When it was; null where the log does not tell.
        recognition_ms: Recognition, ms; null where the log does not tell.
        execution_ms: Execution, ms; null where the log does not tell.
        step_ms: How fine these were taken, ms; null where the log does not say.
        n_looks: Looks made; 0 where the solve ended before one.
        is_one_look: Whether it went in one look.
        algorithm: The algorithm of a sighting in one look; else empty.
        misfire: What went wrong, where it can be named; else null.
        is_odd: Whether its time lies far from the others.
    """

    solve_id: int
    done_at: datetime | None
    recognition_ms: int | None
    execution_ms: int | None
    step_ms: int | None
    n_looks: int
    is_one_look: bool
    algorithm: str
    misfire: NamedMisfire | None
    is_odd: bool


@dataclass(frozen=True, slots=True)
class CaseReport:
    """One case: how to tell it, its algorithms, and the reader's sightings of it in solves.

    Attributes:
        stage: The set of cases.
        number: Its number or letters.
        title: Such as ``OLL 27 Sune``.
        family: The family it is taught with.
        chance: Of it in one solve, 0..1.
        teaching: How to hold it and what to look at.
        algorithms: Those of the reader's books, the taught one first.
        sightings: The newest fifty sightings, the newest first.
        n: Times met in solves.
        n_one_look: Of those in one look.
        n_picked: Of the times met, those in solves that were picked to be written down.
        n_unlike: Those whose times of turns are left out: another instrument took them.
        times: What the times of the solves say.
        usual: The algorithm used most in one look; empty without one.
        n_usual: How often it was used.
        misfires: What went wrong how often, most first.
        drills: What drills say: no other figure has a drill in it.
        coached: The clubs that the reader coaches.
        zone: Time zone of the club that says when a day begins, an IANA name.
    """

    stage: Stage
    number: str
    title: str
    family: str
    chance: float
    teaching: CaseTeaching
    algorithms: tuple[AlgorithmLine, ...]
    sightings: tuple[SightingLine, ...]
    n: int
    n_one_look: int
    n_picked: int
    n_unlike: int
    times: CaseTimes
    usual: str
    n_usual: int
    misfires: tuple[MisfireCount, ...]
    drills: CaseDrills
    coached: tuple[ClubName, ...]
    zone: ZoneInfo


def case_report(
    *, actor: User, stage: str, number: str, angle: int | None = None, now: datetime
) -> CaseReport:
    """The page of a case met at ``angle`` (in its hold when None), with the actor's sightings.

    Raises:
        NotFoundError: There is no such case.
    """
    case = words.find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    everything = sighting_frame(actor=actor, member=actor, kind=Kind.SOLVE)
    met = everything[(everything["stage"] == stage) & (everything["case"] == number)]
    zone = time_zone_of(actor=actor)
    used = algorithm_counts(everything, stage=stage, case=number)
    mistaken = _mistaken(actor, stage, number)
    rows = member_rate_rows(actor=actor, member=actor)
    triggers = triggers_of_member(member=actor)
    book = book_of_member(member=actor)
    said = said_of_member(member=actor)
    lesson = taught(case, book, said.holds)
    return CaseReport(
        stage=case.id.stage,
        number=number,
        title=str(case),
        family=case.family,
        chance=case.chance / case.id.stage.chances_in,
        teaching=_teaching(actor, lesson, said.words.get(case.id, ()), angle),
        algorithms=tuple(
            AlgorithmLine(
                algorithm_facts(one.text if place else lesson.algorithm, triggers),
                dict(used).get(one.text, 0),
            )
            for place, one in enumerate(book.algorithms(case.id))
        ),
        sightings=_sighting_lines(met, mistaken),
        n=len(met),
        n_one_look=int(met["is_one_look"].sum()),
        n_picked=int(met["solve_id"].isin(rows.chosen).sum()),
        n_unlike=n_unlike(actor=actor, member=actor, case=case.id),
        times=case_times(
            actor=actor,
            sightings=everything,
            case=case,
            zone=zone,
            now=now,
        ),
        usual=used[0][0] if used else "",
        n_usual=used[0][1] if used else 0,
        misfires=tuple(
            MisfireCount(_named(mistake), n)
            for mistake, n in sorted(
                Counter(mistaken.values()).items(), key=lambda item: (-item[1], item[0])
            )
        ),
        drills=case_drills(actor=actor, met_in_solves=met, stage=stage, number=number),
        coached=tuple(ClubName(club.name, club.slug) for club in coached_clubs(actor=actor)),
        zone=zone,
    )


def _teaching(
    actor: User, lesson: TaughtCase, words: tuple[CoachWords, ...], angle: int | None
) -> CaseTeaching:
    """How a case is taught to the actor, met at ``angle``; in its hold when None."""
    case = cases_by_code()[lesson.code]
    hold = lesson.angle % case.n_angles
    shown = hold if angle is None else angle % case.n_angles
    colour = usual_last_colour(actor=actor)
    return CaseTeaching(
        held=held_case(case, angle=shown, colour=colour),
        is_hold=shown == hold,
        angles=angles_of(case, hold=hold),
        colour=colour,
        books=tuple(ClubName(club.name, club.slug) for club in clubs_of(actor=actor)),
        words=words,
        before=lesson.before,
    )


def case_drills(*, actor: User, met_in_solves: pd.DataFrame, stage: str, number: str) -> CaseDrills:
    """The actor's drills of a case, beside its ``SIGHTING_COLUMNS`` frame of solves."""
    drills = sighting_frame(actor=actor, member=actor, kind=Kind.DRILL)
    met = drills[(drills["stage"] == stage) & (drills["case"] == number)]
    whole = _one_look_ms(met)
    median = median_band(whole)
    is_ranged = median.n > 1 and median.low is not None and median.high is not None
    return CaseDrills(
        n=len(met),
        n_one_look=int(met["is_one_look"].sum()),
        n_timed=median.n,
        median_ms=median.median,
        range_ms=Range(low=median.low or 0.0, high=median.high or 0.0, level=median.held)
        if is_ranged
        else None,
        gap=transfer(whole, _one_look_ms(met_in_solves)),
    )


def _one_look_ms(met: pd.DataFrame) -> pd.Series:
    """Recognition and execution of the sightings in one look; NaN without times."""
    one_look = met[met["is_one_look"]]
    whole = one_look["recognition_ms"] + one_look["execution_ms"]
    return whole.where(whole > 0)


def _link(number: str) -> CaseName:
    """A case of either stage by its number or letters: no two share them."""
    case = find_case(number)
    return name_of(case.id)


def _mistaken(actor: User, stage: str, number: str) -> dict[int, Mistake]:
    """What was done in place of a case that was known, by the solve it happened in."""
    rows = looked_rows(actor=actor, member=actor, cases={(stage, number)})
    mistakes = {
        look.solve_id: mistake for look, mistake in mistaken_looks([read_look(row) for row in rows])
    }
    if not mistakes:
        return {}
    said = {
        (tally.done_stage, tally.done, tally.misfire_kind)
        for tally in own_mix_up_tally_list(actor=actor, member=actor)
        if (tally.stage, tally.shown) == (stage, number)
    }
    return {solve_id: mistake for solve_id, mistake in mistakes.items() if mistake in said}


def _named(mistake: Mistake) -> NamedMisfire:
    return NamedMisfire(MistakeKind(mistake.misfire_kind), _link(mistake.done))


def _sighting_lines(met: pd.DataFrame, mistaken: Mapping[int, Mistake]) -> tuple[SightingLine, ...]:
    """The newest sightings first, those far out marked."""
    scores = robust_z((met["recognition_ms"] + met["execution_ms"]).where(lambda ms: ms > 0))
    lines = []
    for row, score in zip(met.to_dict("records"), scores, strict=True):
        done_at, mistake = row["done_at"], mistaken.get(int(row["solve_id"]))
        lines.append(
            SightingLine(
                solve_id=int(row["solve_id"]),
                done_at=done_at.to_pydatetime() if isinstance(done_at, pd.Timestamp) else None,
                recognition_ms=_known(row["recognition_ms"]),
                execution_ms=_known(row["execution_ms"]),
                step_ms=step_of(row["step_ms"]),
                n_looks=int(row["n_looks"]),
                is_one_look=bool(row["is_one_look"]),
                algorithm=str(row["algorithm"]),
                misfire=None if mistake is None else _named(mistake),
                is_odd=score >= ODD_Z,
            )
        )
    return tuple(reversed(lines))[:NEWEST]


def _known(ms: object) -> int | None:
    return int(ms) if isinstance(ms, float) and ms == ms else None
