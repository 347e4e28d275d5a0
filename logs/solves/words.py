"""Logs in words: a solve's time, its parts, what a look did, what became of rows."""

from typing import NamedTuple, Protocol
from zoneinfo import ZoneInfo

from django.template import Library
from django.utils.safestring import SafeString, mark_safe

from cubecore.cases import Stage
from cubecore.endings import Status
from cubecore.outcomes import Outcome
from cubecore.pictures import cube_picture
from cubecore.results import Reason
from cubecore.rows import TimedBy
from cubecore.skips import SkipOrigin
from logs import words
from logs.intake.mapping import ROLE_WORDS
from logs.solves.figures.frames import Result
from logs.solves.figures.sampling import Basis
from logs.solves.models.kept_rows import Change, Fate
from logs.solves.report.drawn import DrawLine, RowsWritten
from logs.solves.report.log import SetAsideLine
from logs.solves.report.mapping import KeptLine
from logs.solves.report.solve import KeyState, LookLine, SolveReport, StageLine
from logs.solves.report.solves import FigureAsked
from logs.solves.report.steps import CubeFaces, Part, PartKind
from logs.solves.report.undo import FieldChange, HeldRow, RowSays, SolveChanged, TellingRow
from logs.solves.selectors.solves import Behind
from logs.words import day_words, solves, split, whole_ms

register = Library()
register.filter("is_case", words.is_case)
register.filter("kind_words", words.kind_words)

PARTS = {
    PartKind.CROSS: "Cross",
    PartKind.PAIR: "Pair",
    PartKind.OLL: "OLL",
    PartKind.PLL: "PLL",
    PartKind.FINAL_AUF: "Final AUF",
    PartKind.REST: "The rest",
}

REASONS = {
    Reason.NO_SOLUTION: "The log holds no solution for it, so it counts with its time alone.",
    Reason.F2L_NOT_REACHED: "The first two layers never came home, so no last layer was met.",
    Reason.NOT_LAYER_BY_LAYER: (
        "The first two layers came home only in the turn that solved the cube, with fewer than"
        " three pairs home before: it was not solved layer by layer, so no last layer was met."
    ),
}

BEHIND = {
    Behind.LOOKS: "those in which a look was made",
    Behind.TIMES: "those that were timed",
    Behind.ONE_LOOK_TIMES: "those that went in one look and were timed",
    Behind.MORE_LOOK_TIMES: "those that took more looks and were timed",
    Behind.SPLITS: "those that hold every split",
}

BASES = {
    Basis.LOGGED: "",
    Basis.CHOSEN: "of solves picked to be written down, so it may lean",
    Basis.DRAWN: "of a draw, each weighed as it stands for",
}

FIELDS = {
    "scramble": "scramble",
    "time": "time",
    "penalty": "penalty",
    "solution": "solution",
    "turn_ms": "turn times",
    "mark_ms": "five marks",
    "timed_by": "timed by",
    "step_ms": "as fine as",
    "done_at": "date",
    "note": "note",
}

_MISSING = {1: "U", 2: "U2", 3: "U'"}


class Timed(Protocol):
    """A solve in a report."""

    @property
    def time_ms(self) -> int:
        """The timer's reading, ms."""

    @property
    def status(self) -> Status:
        """How it ended."""


@register.filter
def solve_time(solve: Timed) -> str:
    """A solve's time as it counts: ``12.34``, ``14.34 (+2)``, ``DNF, 12.34 on the timer``."""
    return words.reading(solve.time_ms, solve.status)


@register.filter
def counted_time(solve: Timed) -> str:
    """The same for a narrow cell, where a DNF's reading stands on a line of its own."""
    return words.DNF if solve.status == Status.DNF else solve_time(solve)


@register.filter
def result_words(result: Result | None) -> str:
    """The best single or an average; a dash for none."""
    if result is None:
        return words.UNKNOWN
    return words.DNF if result.time_ms is None else words.average(result.time_ms)


@register.filter
def figure_words(figure: FigureAsked) -> str:
    """The figure whose solves are listed, or empty."""
    if figure.behind is not None:
        return BEHIND[figure.behind]
    if figure.window is not None:
        return f"the {figure.window.n} behind one average"
    if figure.since is not None:
        days = "day" if figure.n_days == 1 else f"{figure.n_days} days"
        return f"the {days} from {words.day_words(figure.since)}"
    return ""


@register.filter
def reason_words(reason: Reason | None) -> str:
    """Why no last layer was met, or empty."""
    return "" if reason is None else REASONS[reason]


@register.filter
def part_name(part: Part | None) -> str:
    """A part: ``Pair 3``, ``PLL, not finished``; the scrambled cube for none."""
    if part is None:
        return "Scrambled"
    name = f"{PARTS[part.kind]} {part.pair}" if part.pair else PARTS[part.kind]
    return name if part.is_reached else f"{name}, not finished"


NOT_BY_CHANCE: dict[SkipOrigin | None, str] = {
    SkipOrigin.WITH_LAST_PAIR: "brought by the last pair",
    SkipOrigin.WITH_OLL: "brought with the OLL",
}


@register.filter
def stage_name(stage: StageLine) -> str:
    """A part by its case where it shows one: ``OLL 27 Sune``."""
    if stage.case is None:
        return part_name(stage.part)
    if stage.skip in NOT_BY_CHANCE:
        return f"{stage.case.title}, {NOT_BY_CHANCE[stage.skip]}"
    return stage.case.title if stage.part.is_reached else f"{stage.case.title}, not finished"


@register.filter
def turn_range(stage: StageLine) -> str:
    """Which turns of the solve a part holds: ``4 to 10``."""
    if stage.first_turn is None:
        return "none"
    if stage.first_turn == stage.last_turn:
        return f"{stage.last_turn}"
    return f"{stage.first_turn} to {stage.last_turn}"


@register.filter
def time_range(stage: StageLine) -> str:
    """From when to when a part went, in seconds of the solve; a dash without times."""
    if stage.took_ms is None:
        return split(None)
    return f"{split(stage.start_ms, stage.step_ms)} to {split(stage.end_ms, stage.step_ms)}"


def turn_end(at_ms: int, step_ms: int | None) -> str:
    """When a turn ended, with its ms where they were taken: ``1.23 s (1234 ms)``."""
    exact = whole_ms(at_ms, step_ms)
    return f"{split(at_ms)} s ({exact})" if exact.endswith(" ms") else exact


INSTRUMENTS = {
    TimedBy.SENSOR: "by a sensor in the cube",
    TimedBy.VIDEO: "from a video",
    TimedBy.HAND: "by hand",
}


@register.filter
def instrument_words(report: SolveReport) -> str:
    """What the times inside a solve were taken with; empty where its log does not say."""
    if report.timed_by is None and report.step_ms is None:
        return ""
    how = "" if report.timed_by is None else f" {INSTRUMENTS[report.timed_by]}"
    step = "" if report.step_ms is None else f", in steps of {report.step_ms} ms"
    return f"Timed{how}{step}."


@register.filter
def outcome_words(look: LookLine) -> str:
    """What a look did, and by whose algorithm where that was not the case's."""
    done = look.done
    outcome = _outcome(look.case.stage, look.outcome)
    if done is None or done.n_missing == 0:
        return outcome
    if done.n_missing is not None:
        if look.outcome not in (Outcome.STEP, Outcome.MISFIRE):
            return outcome
        missing = _MISSING[done.n_missing]
        return f"{outcome}; the right algorithm from a wrong hold, {missing} was missing before it"
    if look.outcome is Outcome.FINISHED:
        return outcome
    return f"{outcome}, by the algorithm of {done.case.title}"


def _outcome(stage: Stage, outcome: Outcome) -> str:
    is_oll = stage is Stage.OLL
    return {
        Outcome.FINISHED: "oriented the layer" if is_oll else "put the layer right",
        Outcome.EDGES: "oriented the edges" if is_oll else "put the edges right",
        Outcome.CORNERS: "oriented the corners" if is_oll else "put the corners right",
        Outcome.STEP: "a step on the way",
        Outcome.REPAIR: "oriented the layer again",
        Outcome.MISFIRE: "slip: something that stood was lost",
    }[outcome]


def letters(cube: CubeFaces) -> str:
    """A cube as drawings take it: a letter a sticker, the faces in the engine's order."""
    faces = (cube.up, cube.right, cube.front, cube.down, cube.left, cube.back)
    return "".join(colour[0].upper() for face in faces for colour in face)


@register.simple_tag
def cube_drawing(cube: CubeFaces, *, size: int, text: str) -> SafeString:
    """The picture of a cube; ``text`` is read out in its place."""
    return mark_safe(cube_picture(letters(cube), size=size, text=text))  # noqa: S308 - the engine escapes the text


@register.filter
def state_words(state: KeyState) -> str:
    """What is read out in the place of a key state's picture."""
    if state.part is None:
        return "The scrambled cube"
    return f"The cube after: {part_name(state.part)}"


@register.filter
def row_place(row: SetAsideLine) -> str:
    """The column and the turn at fault: ``scramble, 14th turn``; empty for the whole row."""
    return place_words(row.field, row.turn)


def place_words(field: str, turn: int | None) -> str:
    """A field in words, and the turn in it: ``scramble, 14th turn``."""
    name = FIELDS.get(field, "")
    return name if turn is None else f"{name}, {_ordinal(turn)} turn"


def _ordinal(number: int) -> str:
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{({1: 'st', 2: 'nd', 3: 'rd'}).get(number % 10, 'th')}"


@register.filter
def read_columns(kept: KeptLine) -> str:
    """What a kept mapping reads from which column."""
    columns = []
    for column in kept.columns:
        place = f"column {column.number}" + (f" “{column.name}”" if column.name else "")
        columns.append(f"{ROLE_WORDS[column.role]} from {place}")
    return "; ".join(columns)


@register.filter
def field_word(change: FieldChange) -> str:
    """The field that was changed."""
    return FIELDS.get(change.field, change.field)


@register.filter
def held_fields(row: HeldRow) -> str:
    """The fields in which a row contradicts the log: ``penalty and time``."""
    names = [FIELDS.get(field, field) for field in row.fields]
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))


class HeldLine(NamedTuple):
    """A field of a row on hold beside that of the solve, in words."""

    name: str
    in_log: str
    in_row: str
    is_other: bool


@register.filter
def held_lines(row: HeldRow, zone: ZoneInfo) -> list[HeldLine]:
    """What a row says beside what the log says, field by field; what neither says is left out."""
    in_row = _says(row.in_row, zone)
    in_log = dict.fromkeys(in_row, "") if row.in_log is None else _says(row.in_log, zone)
    return [
        HeldLine(
            FIELDS[field].capitalize(),
            in_log[field] or words.UNKNOWN,
            text or words.UNKNOWN,
            field in row.fields,
        )
        for field, text in in_row.items()
        if text or in_log[field]
    ]


def _says(row: RowSays, zone: ZoneInfo) -> dict[str, str]:
    """A row by a log's fields, in words; empty for what it does not say."""
    return {
        "time": words.split(row.time_ms),
        "penalty": row.penalty or "none",
        "done_at": "" if row.done_at is None else words.moment(row.done_at, zone),
        "scramble": row.scramble,
        "solution": row.solution,
        "turn_ms": row.turn_ms,
        "mark_ms": row.mark_ms,
        "timed_by": str(row.timed_by or ""),
        "step_ms": "" if row.step_ms is None else f"{row.step_ms} ms",
        "note": row.note,
    }


@register.filter
def change_words(changed: SolveChanged) -> str:
    """What was done to a solve by hand."""
    return {
        Change.CORRECTED: "you corrected it",
        Change.DELETED: "you deleted it",
        Change.PUT_BACK: "you put it back",
        Change.DECIDED: "you decided about a row that contradicted it",
    }[changed.change]


@register.filter
def fate_words(row: TellingRow) -> str:
    """What a row of another file did for a solve."""
    return {
        Fate.COMPLETES: "Completed by",
        Fate.CORRECTS: "Corrected by",
    }.get(row.fate, "Told again by")


@register.filter
def written_words(rows: RowsWritten) -> str:
    """What rows written down by hand do in rates, in a sentence or two."""
    by_choice = f"{solves(rows.n_chosen)} picked to be written down"
    if rows.basis is Basis.DRAWN:
        n_written = rows.n_asked - rows.n_missing
        words = f"{solves(n_written)} drawn and written down {_stand(n_written)} for {rows.n_stands_for:,}."
        words += f" {rows.n_missing} of those drawn {_are(rows.n_missing)} missing." * bool(
            rows.n_missing
        )
        return words + f" Shares leave out {by_choice}." * bool(rows.n_chosen)
    missing = ""
    if rows.n_asked:
        missing = f"{rows.n_missing} of {solves(rows.n_asked)} drawn {_are(rows.n_missing)} not written down yet."
        if rows.n_missing < rows.n_asked:
            missing += " Until four in five are, all of them count as picked."
    if rows.basis is Basis.CHOSEN:
        words = "Shares here are made of solves picked to be written down. Memory picks the good and the awful, so they may lean."
        return f"{missing} {words}".strip()
    left_out = f"Shares leave out {by_choice}: memory picks the good and the awful."
    return f"{missing} {left_out if rows.n_chosen else ''}".strip()


@register.filter
def unlike_words(n: int) -> str:
    """How many solves' times of turns are left out; empty for none."""
    if not n:
        return ""
    return (
        f"{solves(n)} {'was' if n == 1 else 'were'} timed by another instrument than most of the newest:"
        " left out of times of turns, counted in all else."
    )


@register.filter
def picked_words(n: int) -> str:
    """How many of the rows behind a count were picked; empty for none."""
    if not n:
        return ""
    return (
        f"{n} of these {'was' if n == 1 else 'were'} picked to be written down. Memory picks the good"
        " and the awful, so how often may lean."
    )


@register.filter
def basis_words(basis: Basis) -> str:
    """What kind of rows a figure is made of, beside its count."""
    return BASES[basis]


def _are(n: int) -> str:
    return "is" if n == 1 else "are"


def _stand(n: int) -> str:
    return "stands" if n == 1 else "stand"


@register.filter
def draw_words(draw: DrawLine) -> str:
    """How a draw was made, so that anybody can make it again."""
    since = "" if draw.since is None else f" since {day_words(draw.since)}"
    rounds = f", {draw.n_rounds} of each" if draw.n_rounds > 1 else ", one of each"
    return (
        f"From {solves(draw.n_solves)}{since}, in the order of time, cut into {draw.n_parts}"
        f" equal part{'s' * (draw.n_parts != 1)}{rounds}. Lot {draw.seed}."
    )
