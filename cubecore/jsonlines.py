"""A line of JSON in, a line of JSON out: the engine as other programs call it.

The keys written here are fixed: other programs read them.
"""

import json
from typing import Any, NoReturn

from cubecore.book import Book
from cubecore.cases import CaseId
from cubecore.endings import Status
from cubecore.errors import CubeError, NotSolvedError, RowError
from cubecore.looks import Look
from cubecore.replay import replay_row
from cubecore.results import LastLayerStage, Replay
from cubecore.rows import parse_row

MAX_LINE = 200_000


def label_line(text: str, book: Book) -> dict[str, Any]:
    """The label of one line of a JSON Lines log; never raises on bad input."""
    try:
        result = replay_row(parse_row(parse_line(text)), book)
    except NotSolvedError as error:
        return _without_label(Status.NOT_SOLVED) | {"problem": problem_json(error)}
    except CubeError as error:
        return _without_label(Status.REFUSED) | {"problem": problem_json(error)}
    return replay_json(result)


def label_json(text: str, book: Book) -> str:
    """The label of one line as one line of JSON."""
    return json.dumps(label_line(text, book), ensure_ascii=False)


def parse_line(text: str) -> dict[str, object]:
    """The fields of one line.

    Raises:
        RowError: It is too long, no JSON object, or holds a key twice or a number without end.
    """
    if len(text) > MAX_LINE:
        raise RowError(
            "line_too_long", f"The line has {len(text)} characters; at most {MAX_LINE} are read."
        )
    try:
        values = json.loads(
            text, object_pairs_hook=_unique_keys, parse_constant=_refuse_constant, parse_int=_int
        )
    except json.JSONDecodeError as error:
        raise RowError(
            "bad_json",
            f"Column {error.colno}: this is not JSON ({error.msg}); write one object on a line.",
            column=error.colno,
        ) from error
    except RecursionError as error:
        raise RowError("bad_json", "The line is nested too deeply; a row is flat.") from error
    if not isinstance(values, dict):
        raise RowError("bad_json", 'The line is no object; write {"scramble": …, "time": …}.')
    return values


def _unique_keys(pairs: list[tuple[str, object]]) -> dict[str, object]:
    values = dict(pairs)
    if len(values) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise RowError(
            "duplicate_key", f"The key {twice[:40]!r} stands twice; keep one.", token=twice[:40]
        )
    return values


def _refuse_constant(name: str) -> NoReturn:
    raise RowError("bad_json", f"{name} is no number; leave the key out.", token=name)


def _int(digits: str) -> int | str:
    """The whole number; one too long for any time stays text, to be refused as it stands."""
    return int(digits) if len(digits) <= 10 else digits


def problem_json(error: CubeError) -> dict[str, Any]:
    """The problem of a refused row, as it is written out."""
    return {
        "code": error.code,
        "message": error.message,
        "field": error.field,
        "column": error.column,
        "token": error.token,
    }


def replay_json(result: Replay) -> dict[str, Any]:
    """The keys of a labelled row; what the row cannot support is None."""
    return {
        "status": result.status.value,
        "cross": None if result.cross is None else result.cross.colour,
        "kind": None if result.kind is None else result.kind.value,
        "reason": None if result.reason is None else result.reason.value,
        "no_splits": None if result.no_splits is None else result.no_splits.value,
        "cross_ms": result.time_after(result.cross_turn),
        "pair_ms": [result.time_after(turn) for turn in result.pair_turns],
        "f2l_ms": result.f2l_ms,
        "oll": _stage_json(result.oll),
        "pll": _stage_json(result.pll),
        "final_auf_ms": result.final_auf_ms,
    }


def _without_label(status: Status) -> dict[str, Any]:
    return replay_json(Replay(status=status))


def _stage_json(stage: LastLayerStage | None) -> dict[str, Any] | None:
    if stage is None:
        return None
    return {
        "case": stage.case,
        "angle": stage.angle,
        "skip": None if stage.skip is None else stage.skip.value,
        "looks": [look_json(look) for look in stage.looks],
        "stage_ms": stage.stage_ms,
        "recognition_ms": stage.recognition_ms,
        "execution_ms": stage.execution_ms,
        "edge_step": stage.edge_step.value,
        "corner_step": stage.corner_step,
        "permutation_step": stage.permutation_step.value,
        "position": stage.position,
    }


def look_json(look: Look) -> dict[str, Any]:
    """The keys of one look."""
    done = look.done
    return {
        "outcome": look.outcome.value,
        "case": _case_json(look.case),
        "algorithm": look.algorithm,
        "known": look.known,
        "done": None
        if done is None
        else {**_case_json(done.case), "quarter_turns": done.quarter_turns},
        "recognition_ms": look.recognition_ms,
        "execution_ms": look.execution_ms,
        "lining_up_ms": look.lining_up_ms,
        "lining_up_turns": look.lining_up_turns,
        "turns": look.turns,
    }


def _case_json(case: CaseId) -> dict[str, Any]:
    return {"stage": case.stage.value, "case": case.number}
