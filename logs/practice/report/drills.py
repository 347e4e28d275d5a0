"""Drills to do at home: scrambles of chosen cases as a sheet, as text and as a log to fill in."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from random import Random

from clubsite.accounts.models import User
from cubecore.cases import CASES, Case, CaseId
from cubecore.drills import Drill, DrillMaker
from cubecore.turns import FACE_BY_COLOUR, Face, hold_with_up
from logs.algorithms.report import TaughtCase, families, taught
from logs.algorithms.selectors import book_of_member, drill_maker
from logs.cases.facts import case_of, code_of
from logs.cases.report import CaseName, name_of
from logs.intake.formats import PLAIN_FIELDS, format_csv_line
from logs.practice.report.practice import (
    HOMEWORK,
    Choice,
    Pool,
    alike_pool,
    homework_pool,
    pool_of,
    standing_pools,
)
from logs.practice.selectors import drills_today, practice_cap
from logs.solves.report.steps import Colour
from logs.solves.selectors.solves import usual_last_colour

USUAL_NUMBER = 10


MOST_SEED = 999_999
"""The highest seed that is drawn where none is asked for."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What drills are asked for.

    Attributes:
        codes: Cases by code, such as ``oll-27``; codes of no case are left out.
        what: The code of a `Pool`, where no case is named.
        is_mixed: Whether what looks like the named cases is dealt in too.
        n: How many; brought between 1 and the most a day.
        seed: The same seed gives the same sheet, as long as the algorithms of the book are the
            same.
        last: Colour of the last layer; empty for the actor's usual one.
    """

    codes: tuple[str, ...] = ()
    what: str = ""
    is_mixed: bool = False
    n: int = USUAL_NUMBER
    seed: int = 0
    last: str = ""


@dataclass(frozen=True, slots=True)
class DrillDay:
    """A member's day of drills.

    Attributes:
        cap: The most in a day.
        n_today: Drills of today in the log.
        is_enough: Whether those are enough for today.
    """

    cap: int
    n_today: int
    is_enough: bool


@dataclass(frozen=True, slots=True)
class DrillStart:
    """The form that drills are asked for with.

    Attributes:
        ask: What is chosen already.
        picked: The cases named already.
        pools: What else there is, homework first if there is any.
        families: All cases, to pick from.
        colours: Those the last layer can have.
        day: How much of the day's drills is done.
    """

    ask: Ask
    picked: tuple[TaughtCase, ...]
    pools: tuple[Pool, ...]
    families: tuple[tuple[str, tuple[TaughtCase, ...]], ...]
    colours: tuple[str, ...]
    day: DrillDay


@dataclass(frozen=True, slots=True)
class DrillLine:
    """One drill.

    Attributes:
        number: Its place on the sheet, from 1.
        scramble: The turns that lead to the case.
        case: The case that it leads to.
    """

    number: int
    scramble: str
    case: CaseName


@dataclass(frozen=True, slots=True)
class DrillSheet:
    """Drills to print.

    Attributes:
        pool: What is drilled where no case is named; else None.
        named: The cases named.
        has_look_alikes: Whether cases that look like the named ones are dealt in.
        n_cases: How many cases there are to deal.
        colour: Colour of the last layer.
        drills: The scrambles, each with the case it leads to.
        seed: What they are drawn by.
    """

    pool: Pool | None
    named: tuple[CaseName, ...]
    has_look_alikes: bool
    n_cases: int
    colour: Colour
    drills: tuple[DrillLine, ...]
    seed: int

    @property
    def is_one_case(self) -> bool:
        """Whether there is nothing to tell apart."""
        return self.n_cases == 1


@dataclass(frozen=True, slots=True)
class DrillHold:
    """How the cube is held after a scramble that was made white up, green in front.

    Attributes:
        up: Colour of the face that is up then.
        front: Colour of the face in front.
    """

    up: Colour
    front: Colour


def drill_start(*, actor: User, ask: Ask, now: datetime) -> DrillStart:
    """The form, with what ``ask`` names chosen."""
    asked = homework_pool(actor)
    day = drill_day(actor=actor, now=now)
    return DrillStart(
        ask=replace(ask, n=_within(ask.n, day.cap), last=_last_colour(actor, ask.last)),
        picked=tuple(taught(case) for case in _named(ask.codes)),
        pools=((asked,) if asked else ()) + standing_pools(),
        families=families(),
        colours=tuple(FACE_BY_COLOUR),
        day=day,
    )


def drill_day(*, actor: User, now: datetime) -> DrillDay:
    """How many drills are in the actor's log of today, and whether that is enough."""
    cap, n_today = practice_cap(actor=actor), drills_today(actor=actor, now=now)
    return DrillDay(cap, n_today, is_enough=n_today >= cap)


def settled(*, actor: User, ask: Ask, seed: int) -> Ask:
    """``ask`` as an address that makes the same sheet again: homework's cases named, one seed."""
    codes = ask.codes
    if not codes and ask.what in ("", HOMEWORK):
        codes = tuple(map(code_of, pool_of(actor, Choice(HOMEWORK)).cases))
    n = _within(ask.n, practice_cap(actor=actor))
    last = _last_colour(actor, ask.last)
    return replace(ask, codes=codes, what="" if codes else ask.what, n=n, seed=seed, last=last)


def drill_sheet(*, actor: User, ask: Ask) -> DrillSheet:
    """The drills asked for. No scramble holds an algorithm of the actor's books or the standard one."""
    named = _named(ask.codes)
    pool = None if named else pool_of(actor, Choice(what=ask.what))
    cases = _cases(ask, named) if pool is None else tuple(CASES[case] for case in pool.cases)
    colour = _last_colour(actor, ask.last)
    n = _within(ask.n, practice_cap(actor=actor))
    maker = drill_maker(book_of_member(member=actor))
    rng = Random(ask.seed)  # noqa: S311 - deals a sheet that can be dealt again, no secret
    drills = maker.drills(cases, n, rng, last=FACE_BY_COLOUR[colour])
    return DrillSheet(
        pool=pool,
        named=tuple(name_of(case.id) for case in named),
        has_look_alikes=bool(named) and len(cases) > len(named),
        n_cases=len(cases),
        colour=Colour(colour),
        drills=tuple(
            DrillLine(number, drill.scramble, name_of(drill.case))
            for number, drill in enumerate(drills, start=1)
        ),
        seed=ask.seed,
    )


def one_drill(*, actor: User, case: Case, rng: Random) -> tuple[Drill, DrillHold]:
    """A drill of ``case`` in the actor's usual colours, and how to hold the cube after it."""
    colour = usual_last_colour(actor=actor)
    last = FACE_BY_COLOUR[colour]
    front = hold_with_up(last)[Face.F].colour
    drill = _maker_of(actor).drill(case, rng, last=last)
    return drill, DrillHold(up=Colour(colour), front=Colour(front))


def drill_log(sheet: DrillSheet) -> str:
    """A CSV log with the scrambles, to be filled in and added as any other log."""
    at = PLAIN_FIELDS.index("scramble")
    rows = [
        ["" if i != at else line.scramble for i in range(len(PLAIN_FIELDS))]
        for line in sheet.drills
    ]
    return "".join(map(format_csv_line, [list(PLAIN_FIELDS), *rows]))


def _cases(ask: Ask, named: Sequence[Case]) -> tuple[Case, ...]:
    """The cases named, and what looks like them where that is asked."""
    wanted: set[CaseId] = {case.id for case in named}
    if ask.is_mixed:
        for code in ask.codes:
            alike = alike_pool(code)
            wanted.update(alike.cases if alike else ())
    return tuple(case for case in CASES.values() if case.id in wanted)


def _named(codes: Sequence[str]) -> list[Case]:
    return [case for code in dict.fromkeys(codes) if (case := case_of(code)) is not None]


def _within(n: int, cap: int) -> int:
    return max(1, min(n, cap))


def _last_colour(actor: User, colour: str) -> str:
    return colour if colour in FACE_BY_COLOUR else usual_last_colour(actor=actor)


def _maker_of(actor: User) -> DrillMaker:
    return drill_maker(book_of_member(member=actor))
