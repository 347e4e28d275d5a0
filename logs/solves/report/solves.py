"""A solution token by token: what is drawn and said after each.

Solves on lines, page by page.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script, parse_tokens
from cubecore.pictures import colour_letters
from cubecore.replay import Kind, LastLayerStage, Replay
from cubecore.turns import hold_with_up
from logs.people.sight import Whose, sight_of
from logs.solves.models.solves import Sighting, Solve
from logs.solves.selectors.solves import Behind, Window, solve_list
from logs.words import case_title, day_words, find_case, is_case, kind_words, moment, reading


@dataclass(frozen=True, slots=True)
class Step:
    """The solve after a token; step 0 is the scrambled cube.

    Attributes:
        token: The token, in its normal spelling; empty at step 0.
        n_turns: Outer turns made so far.
        at_ms: When the token's turn ended; None without times.
        letters: The 54 colours around the solver, as `cubecore.pictures.colour_letters` has them.
        part: The part of the solve the token belongs to.
        pause_ms: The hesitation before it, or None.
    """

    token: str
    n_turns: int
    at_ms: int | None
    letters: str
    part: str
    pause_ms: int | None


@dataclass(frozen=True, slots=True)
class Milestone:
    """The end of a part.

    Attributes:
        name: What the part is called.
        n_turns: The outer turns made by its end.
        sighting: The case it shows, for OLL and PLL.
        is_reached: Whether its goal was reached.
    """

    name: str
    n_turns: int
    sighting: LastLayerStage | None = None
    is_reached: bool = True

    @property
    def case_name(self) -> str:
        """Its case, such as ``PLL T``, or its name where it has none."""
        if self.sighting is None:
            return self.name
        return case_title(self.name.partition(",")[0].lower(), str(self.sighting.case))


def milestones(result: Replay) -> tuple[Milestone, ...]:
    """The ends of the parts of a replay, in order; the last one is the end of the solution."""
    ends: list[tuple[str, int | None, LastLayerStage | None]] = [("Cross", result.cross_turn, None)]
    ends += [(f"Pair {k}", turn, None) for k, turn in enumerate(result.pair_turns, start=1)]
    ends += [("OLL", result.oriented_turn, result.oll), ("PLL", result.permuted_turn, result.pll)]
    known = [Milestone(name, turn, stage) for name, turn, stage in ends if turn is not None]
    return (*known, _last_milestone(result))


def _last_milestone(result: Replay) -> Milestone:
    """The last part: the final AUF, or what the solve ended in."""
    n_turns = len(result.turns)
    if result.permuted_turn is not None:
        return Milestone("Final AUF", n_turns)
    for name, stage in (("PLL", result.pll), ("OLL", result.oll)):
        if stage is not None:
            return Milestone(f"{name}, not finished", n_turns, stage, is_reached=False)
    return Milestone("The rest", n_turns)


def part_after(marks: tuple[Milestone, ...], n_turns: int) -> str:
    """The part that the turn number ``n_turns`` (1-based) belongs to."""
    return next((mark.name for mark in marks if n_turns <= mark.n_turns), marks[-1].name)


def is_written_with_holds(solution: str) -> bool:
    """Whether the solution turns the cube in the hand: rotations, wide turns or slices."""
    return any(token.base not in "URFDLB" for token in parse_tokens(solution))


def solve_steps(scramble: str, solution: str, result: Replay) -> tuple[Step, ...]:
    """The steps of a solution that was replayed to ``result``.

    A solution without rotations, as sensors write it, is drawn with the last layer up; all others
    are drawn as they were held.
    """
    start = parse_script(scramble)
    places = after_turns(SOLVED, start.turns)
    written = is_written_with_holds(solution)
    up = start.hold if written or result.cross is None else hold_with_up(result.cross.opposite)
    marks = milestones(result)
    pauses = _pauses(result)
    hold, n_turns = start.hold, 0
    steps = [
        Step("", 0, 0 if result.times else None, colour_letters(places, up), "Scrambled", None)
    ]
    for token in parse_tokens(solution):
        made = parse_script(token.text, hold)
        places, hold = after_turns(places, made.turns), made.hold
        pause_ms = pauses.get(n_turns) if made.turns else None
        n_turns += len(made.turns)
        seen = hold if written else up
        # A rotation belongs to what it leads up to.
        part = part_after(marks, n_turns if made.turns else n_turns + 1)
        at_ms = result.time_after(n_turns)
        steps.append(Step(token.text, n_turns, at_ms, colour_letters(places, seen), part, pause_ms))
    return tuple(steps)


def _pauses(result: Replay) -> dict[int, int]:
    """The length in ms of each hesitation, by the index of the turn after it."""
    if result.times is None:
        return {}
    return {i: result.times[i] - result.times[i - 1] for i in result.hesitations}


@dataclass(frozen=True, slots=True)
class SightingCell:
    """A case met in a solve, as a line of a list shows it."""

    stage: str
    case: str
    title: str
    has_page: bool
    n_looks: int
    is_one_look: bool
    has_misfire: bool


@dataclass(frozen=True, slots=True)
class SolveLine:
    """A solve on a line of a list."""

    id: int
    done: str
    time: str
    kind: str
    oll: SightingCell | None
    pll: SightingCell | None


@dataclass(frozen=True, slots=True)
class FigureAsked:
    """A figure whose solves are asked for.

    Attributes:
        behind: A kind of figure.
        window: An average.
        since: First day of a day or a week.
        n_days: Its days.
    """

    behind: Behind | None = None
    window: Window | None = None
    since: date | None = None
    n_days: int = 1

    def span(self, zone: ZoneInfo) -> tuple[datetime, datetime] | None:
        """From midnight to midnight in ``zone``."""
        if self.since is None:
            return None
        begin = datetime.combine(self.since, datetime.min.time(), zone)
        end = datetime.combine(self.since + timedelta(days=self.n_days), datetime.min.time(), zone)
        return begin, end

    @property
    def words(self) -> str:
        """The figure in words, or empty."""
        if self.behind is not None:
            return _BEHIND_WORDS[self.behind]
        if self.window is not None:
            return f"the {self.window.n} behind one average"
        if self.since is not None:
            days = "day" if self.n_days == 1 else f"{self.n_days} days"
            return f"the {days} from {day_words(self.since)}"
        return ""


NO_FIGURE: Final = FigureAsked()


_BEHIND_WORDS: Final = {
    Behind.LOOKS: "those in which a look was made",
    Behind.TIMES: "those that were timed",
    Behind.ONE_LOOK_TIMES: "those that went in one look and were timed",
    Behind.SPLITS: "those that hold every split",
}


@dataclass(frozen=True, slots=True)
class SolvesReport:
    """A page of a member's solves.

    Attributes:
        whose: The member.
        lines: The solves of this page.
        n: How many solves fit the filter, over all pages.
        page: This page, 1-based.
        n_pages: How many pages there are.
        kind: The kind filtered by, or empty.
        case: The case filtered by, as ``oll-27``, or empty.
        case_title: That case in words.
        behind: The figure whose solves these are, in words, or empty.
    """

    whose: Whose
    lines: tuple[SolveLine, ...]
    n: int
    page: int
    n_pages: int
    kind: str
    case: str
    case_title: str
    behind: str

    @property
    def previous_page(self) -> int:
        """The page of newer solves."""
        return self.page - 1

    @property
    def next_page(self) -> int:
        """The page of older solves."""
        return self.page + 1

    @property
    def is_filtered(self) -> bool:
        """Whether some of the member's solves may be hidden by the filter."""
        return bool(self.kind or self.case or self.behind)


def solve_line(solve: Solve, zone: ZoneInfo) -> SolveLine:
    """The line of a solve whose sightings have been read."""
    cells = {sighting.stage: _cell(sighting) for sighting in solve.sightings.all()}
    return SolveLine(
        id=solve.pk,
        done=moment(solve.done_at, zone),
        time=reading(solve.time_ms, solve.status),
        kind=kind_words(solve.kind),
        oll=cells.get(Stage.OLL.value),
        pll=cells.get(Stage.PLL.value),
    )


def _cell(sighting: Sighting) -> SightingCell:
    return SightingCell(
        stage=sighting.stage,
        case=sighting.case,
        title=case_title(sighting.stage, sighting.case),
        has_page=is_case(sighting.case),
        n_looks=sighting.n_looks,
        is_one_look=sighting.is_one_look,
        has_misfire=any(look["outcome"] == "misfire" for look in sighting.looks),
    )


def solves_report(
    *,
    actor: User,
    membership_id: int | None = None,
    page: int = 1,
    kind: str = "",
    case: str = "",
    figure: FigureAsked = NO_FIGURE,
) -> SolvesReport:
    """A page of the solves of the actor, or of the member of the membership.

    Args:
        actor: Who asks.
        membership_id: Whose solves; the actor's own when None.
        page: 1-based.
        kind: ``solve``, ``drill``, or empty for both; anything else counts as empty.
        case: Such as ``oll-27`` or ``pll-skip``, or empty; anything else counts as empty.
        figure: Only the solves behind it.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = sight_of(actor=actor, membership_id=membership_id)
    wanted = Kind(kind) if kind in Kind.__members__.values() else None
    stage, number = _known_case(case)
    found = solve_list(
        actor=actor,
        member=member.user,
        page=page,
        kind=wanted,
        stage=stage,
        case=number,
        behind=figure.behind,
        window=figure.window,
        span=figure.span(member.zone),
    )
    return SolvesReport(
        whose=member,
        lines=tuple(solve_line(solve, member.zone) for solve in found),
        n=found.paginator.count,
        page=found.number,
        n_pages=found.paginator.num_pages,
        kind=wanted.value if wanted else "",
        case=case if stage else "",
        case_title=case_title(stage.value, number) if stage and number else "",
        behind=figure.words,
    )


def _known_case(text: str) -> tuple[Stage | None, str | None]:
    stage, _, number = text.partition("-")
    is_known = stage in Stage.__members__.values() and (
        not is_case(number) or find_case(stage, number) is not None
    )
    return (Stage(stage), number) if is_known else (None, None)
