"""What the house drew to be written down, and what the rows written down do in rates."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.endings import Status
from logs.people.sight import time_zone_of
from logs.solves.figures.sampling import MISSING_OF, Basis, RateRows
from logs.solves.models.draws import Draw, DrawnSolve
from logs.solves.models.solves import Solve
from logs.solves.selectors.draws import (
    draw_list,
    drawn_next,
    drawn_solves,
    member_rate_rows,
    n_undrawn,
)
from logs.solves.services.draws import MAX_PLACES


@dataclass(frozen=True, slots=True)
class RowsWritten:
    """The solves of a log that were written down by hand, and what they do in its rates.

    Attributes:
        basis: What kind of rows rates are made of: logged with their solutions; chosen, written
            down afterwards as the member picked them; drawn by the house, each standing for several.
        n_chosen: Solves that count as picked by the member; rates leave them out unless the basis is chosen.
        n_asked: Solves that the house drew.
        n_missing: Those of them that have no solution.
        n_stands_for: Solves that the drawn ones stand for.
    """

    basis: Basis
    n_chosen: int
    n_asked: int
    n_missing: int
    n_stands_for: int


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A solve that a draw asked for.

    Attributes:
        solve_id: Number of the solve.
        round: In which round it was drawn, from 1.
        part: From which part of the solves, in the order of time, from 1.
        chance: With which it was drawn by now, 0..1.
        stands_for: How many solves it stands for: 1 by its chance.
        time_ms: The timer's reading, ms; null where the solve has left the log.
        status: How it ended; null where the solve has left the log.
        done_at: When it was; null where the log does not tell.
        scramble: Its scramble; empty where the solve has left the log.
        is_written: Whether it has its solution.
    """

    solve_id: int
    round: int
    part: int
    chance: float
    stands_for: float
    time_ms: int | None
    status: Status | None
    done_at: datetime | None
    scramble: str
    is_written: bool


@dataclass(frozen=True, slots=True)
class DrawLine:
    """A draw.

    Attributes:
        id: Its number.
        drawn_at: When it was made.
        since: The first day of the solves it was made from; null for all.
        seed: What it was made from: with the solves' numbers it gives the same draw again.
        n_solves: Solves it was made from.
        n_parts: Into how many parts they were cut; a round takes one of each.
        n_rounds: Rounds asked for so far.
        n_missing: Solves asked for that have no solution.
        is_more_left: Whether one more of each part can be asked for.
        solves: Those asked for, in the order they are to be written.
    """

    id: int
    drawn_at: datetime
    since: date | None
    seed: int
    n_solves: int
    n_parts: int
    n_rounds: int
    n_missing: int
    is_more_left: bool
    solves: tuple[DrawnLine, ...]


@dataclass(frozen=True, slots=True)
class DrawnReport:
    """What was drawn to be written down.

    Attributes:
        draws: The draws, the newest first.
        n_undrawn: Solves with a time alone that no draw was made from yet.
        rows: What rates are made of now.
        next_id: The drawn solve to write down next; null where none is missing.
        missing_of: At most one in so many may be missing, or rates count no row as drawn.
        zone: Time zone that says when a day begins, an IANA name.
    """

    draws: tuple[DrawLine, ...]
    n_undrawn: int
    rows: RowsWritten
    next_id: int | None
    missing_of: int
    zone: ZoneInfo


def drawn_report(*, actor: User) -> DrawnReport:
    """What was drawn from the actor's solves."""
    zone = time_zone_of(actor=actor)
    solves = drawn_solves(actor=actor)
    draws = tuple(_draw_line(draw, solves) for draw in draw_list(actor=actor))
    following = drawn_next(actor=actor)
    return DrawnReport(
        draws=draws,
        n_undrawn=n_undrawn(actor=actor, zone=zone),
        rows=rows_written(member_rate_rows(actor=actor, member=actor)),
        next_id=None if following is None else following.pk,
        missing_of=MISSING_OF,
        zone=zone,
    )


def rows_written(rows: RateRows) -> RowsWritten:
    """What a page says of them."""
    return RowsWritten(
        basis=rows.basis,
        n_chosen=len(rows.chosen),
        n_asked=rows.n_asked,
        n_missing=rows.n_missing,
        n_stands_for=rows.n_stands_for,
    )


def _draw_line(draw: Draw, solves: dict[int, Solve]) -> DrawLine:
    places: list[DrawnSolve] = draw.asked  # type: ignore[attr-defined]  # prefetched by draw_list
    lines = tuple(_line(draw, place, solves.get(place.solve_number)) for place in places)
    return DrawLine(
        id=draw.pk,
        drawn_at=draw.drawn_at,
        since=draw.since,
        seed=draw.seed,
        n_solves=draw.n_solves,
        n_parts=draw.n_parts,
        n_rounds=draw.n_rounds,
        n_missing=sum(not line.is_written for line in lines),
        is_more_left=draw.n_rounds < MAX_PLACES // draw.n_parts
        and all(place.n_in_part > draw.n_rounds for place in places),
        solves=lines,
    )


def _line(draw: Draw, place: DrawnSolve, solve: Solve | None) -> DrawnLine:
    return DrawnLine(
        solve_id=place.solve_number,
        round=place.round,
        part=place.part,
        chance=draw.n_rounds / place.n_in_part,
        stands_for=place.n_in_part / draw.n_rounds,
        time_ms=None if solve is None else solve.time_ms,
        status=None if solve is None else Status(solve.status),
        done_at=None if solve is None else solve.done_at,
        scramble="" if solve is None else solve.scramble,
        is_written=solve is not None and bool(solve.solution),
    )
