"""A solve and a case as plain text for a terminal."""

from cubecore.algorithms import Algorithm
from cubecore.book import Book
from cubecore.cases import CASES, Case, CaseId, LastLayerKey, Stage, homeward
from cubecore.cube import PLACES
from cubecore.cue_words import cue_sentence
from cubecore.endings import Status
from cubecore.looks import Look
from cubecore.notation import count_metrics, format_turns, parse_tokens
from cubecore.questions import turns_to_hold
from cubecore.results import LastLayerStage, NoSplits, Replay
from cubecore.rows import Row, format_time
from cubecore.side_words import side_words
from cubecore.skips import SkipOrigin
from cubecore.turns import Face, layer_turn

_ENDS = {Status.SOLVED: "solved", Status.PLUS_TWO: "+2", Status.DNF: "DNF"}
_TOP_NAMES = (
    *("front", "left", "back", "right"),
    *("front left", "back left", "back right", "front right"),
)
_REASONS = {
    "no_solution": "the log has no solution for it",
    "f2l_not_reached": "the first two layers never came home",
    "not_layer_by_layer": "it was not solved layer by layer",
}
_SKIPS = {
    SkipOrigin.CLEAN: "skip",
    SkipOrigin.WITH_LAST_PAIR: "done with the last pair",
    SkipOrigin.WITH_OLL: "done with the OLL",
}


def solve_text(row: Row, result: Replay) -> str:
    """One solve, stage by stage: splits in seconds, cases, looks, misfires."""
    lines = [
        f"{format_time(row.time_ms)}  {_ENDS[result.status]}"
        + (f", {result.cross.colour} cross" if result.cross is not None else ""),
        f"scramble  {row.scramble}",
    ]
    if row.solution:
        lines.append(f"solution  {' '.join(row.solution.split())}")
    if result.reason is not None:
        return "\n".join([*lines, f"no last-layer case: {_REASONS[result.reason]}"])
    lines.append("")
    lines.append(f"{'stage':<26}{'ends at':>8}{'recogn.':>9}{'execut.':>9}{'turns':>7}")
    lines.append(_stage_line("cross", result.time_after(result.cross_turn)))
    for number, turn in enumerate(result.pair_turns, start=1):
        lines.append(_stage_line(f"pair {number}", result.time_after(turn)))
    for stage, seen, end in (
        (Stage.OLL, result.oll, result.oriented_turn),
        (Stage.PLL, result.pll, result.permuted_turn),
    ):
        if seen is not None:
            lines += _last_layer_lines(stage, seen, result.time_after(end))
    if result.final_auf_ms is not None:
        name = f"final AUF {format_time(result.final_auf_ms)}"
        lines.append(_stage_line(name, result.times[-1] if result.times else row.time_ms))
    if result.marks is not None:
        lines.append("(five marks: they split a stage of one look, and tell nothing inside a look)")
    elif result.times is None:
        lines.append("(the log has no turn times, so there are no splits)")
    if result.no_splits is NoSplits.COARSE_CLOCK:
        lines.append("(its times come in steps of a tenth or more, so looks have no times)")
    return "\n".join(lines)


def _seconds(value: int | None) -> str:
    return "-" if value is None else format_time(value)


def _stage_line(
    name: str, end: int | None, recognition: str = "", execution: str = "", turns: str = ""
) -> str:
    return f"{name:<26}{_seconds(end):>8}{recognition:>9}{execution:>9}{turns:>7}".rstrip()


def _last_layer_lines(stage: Stage, seen: LastLayerStage, end: int | None) -> list[str]:
    if seen.skip is not None:
        name = f"{stage.upper()} {_SKIPS[seen.skip]}"
    else:
        name = str(CASES[CaseId(stage, seen.case)])
    lines = [
        _stage_line(name, end, _seconds(seen.recognition_ms), _seconds(seen.execution_ms))
        + ("" if seen.is_reached else "  not reached")
    ]
    lines += [_look_line(look) for look in seen.looks]
    return lines


def _look_line(look: Look) -> str:
    times = (_seconds(look.recognition_ms), _seconds(look.execution_ms), str(look.turns))
    line = _stage_line(f"  look: {look.outcome}", None, *times).replace("       -", "        ", 1)
    line += f"  {look.algorithm}"
    if look.done is None or look.done.is_right:
        return line
    if look.done.is_held_wrongly:
        return f"{line}  (held wrongly)"
    return f"{line}  (the algorithm of {CASES[look.done.case]})"


def case_text(case: Case, book: Book) -> str:
    """One case: how it lies, how often it comes up, what to look at, its algorithms from there."""
    total = case.id.stage.chances_in
    sides = side_words(case.key, case.id.stage)
    return "\n".join(
        [
            f"{case}  ({case.family})",
            f"comes up {case.chance} times in {total}, once in {total // case.chance} solves",
            "",
            *_drawing(case),
            "",
            cue_sentence(case),
            *(f"{side.capitalize()}: {words}." for side, words in sides.items()),
            "",
            *(_algorithm_line(case, algorithm) for algorithm in book.algorithms(case.id)),
        ]
    )


def _algorithm_line(case: Case, algorithm: Algorithm) -> str:
    """An algorithm after the turn of the layer that leads to its hold from the one drawn."""
    count = count_metrics(parse_tokens(algorithm.text))
    auf = format_turns(layer_turn(Face.U, turns_to_hold(case, 0, algorithm.angle)))
    first = f"({auf}) " if auf else ""
    return f"{first}{algorithm.text}  ({count.htm} HTM, {count.stm} STM)"


def _drawing(case: Case) -> list[str]:
    """The layer from above: ``#`` faces up, ``+`` does not, and where its colour faces instead.

    A permutation is said in words, piece by piece.
    """
    if case.id.stage is Stage.PLL:
        return _moves(case.key)
    cells = [[" "] * 5 for _ in range(5)]
    cells[2][2] = "#"
    for place in case.key:
        (x, _, z), normal = PLACES[place]
        is_up = normal == Face.U.normal
        cells[z + 2][x + 2] = "#" if is_up else "+"
        if not is_up:
            cells[z + 2 + normal[2]][x + 2 + normal[0]] = "|" if normal[2] else "-"
    return ["  " + " ".join(row).rstrip() for row in cells] + ["  (the solver sits below)"]


def _moves(key: LastLayerKey) -> list[str]:
    lines = []
    for start, end in sorted(homeward(key).items()):
        if start != end:
            lines.append(f"  {_TOP_NAMES[start]} goes to {_TOP_NAMES[end]}")
    return lines
