"""The engine: turns, solves, cases and looks; imports the standard library alone, never Django.

What a newcomer needs of it stands here by name::

    >>> import cubecore
    >>> row = cubecore.parse_row({"scramble": "R U R' U'", "time": "1.25", "solution": "U R U' R'"})
    >>> cubecore.replay_row(row, cubecore.default_book()).status
    Status.SOLVED

A name's module is imported when it is first asked for, so that ``import cubecore`` costs nothing.
`cubecore.batch.replay_batch`, which needs NumPy, is left out.

Rules of ours where the trade has none (common practice, no source):

- Three pairs that come home by the very turn that brings the cross are blocks: such a solve was not
  built layer by layer (`cubecore.stages`).
- A book's PLL that passes through F2L is one look, however long the pause on its way: its first part
  is nothing by itself (`cubecore.looks`).
- An algorithm that a member begins, the stage unfinished by it, in three or more other cases is a
  step of theirs and no case taken for another. It takes many solves to see, so it is told where
  sightings are counted and not here (`logs.solves.figures.mistakes`).
"""

from importlib import import_module

_NAMES_BY_MODULE = {
    "algorithms": ("Algorithm", "Normal", "prove_algorithm"),
    "book": ("Book", "default_book"),
    "cases": (
        *("CASES", "SKIP", "Case", "CaseId", "EdgeStep", "LastLayer", "LastLayerKey"),
        *("PermutationStep", "Stage", "find_case", "label"),
    ),
    "compact": ("CompactRow", "TurnedRow", "compact_row", "unpack"),
    "cube": ("SOLVED", "Cube", "Places", "after_turns"),
    "cue_words": ("cue_sentence",),
    "cues": (
        *("ColourClue", "Cue", "PairClue", "Relation", "WrongHold"),
        *("cue_of", "nearest_wrong_hold"),
    ),
    "descriptions": ("Description", "describe"),
    "drills": ("Drill", "DrillMaker"),
    "errors": (
        *("AlgorithmError", "CaseNameError", "CubeError"),
        *("NotSolvedError", "NotationError", "RowError"),
    ),
    "holds": ("Feature", "Side", "SideView", "Sticker", "Where", "side_views"),
    "endings": ("Status",),
    "looks": ("Look",),
    "notation": (
        *("Metrics", "Script", "Token", "count_metrics", "format_tokens"),
        *("format_turns", "parse_script", "parse_tokens"),
    ),
    "outcomes": ("Done", "Outcome"),
    "pictures": ("case_picture", "cube_picture"),
    "questions": ("Question", "Task"),
    "replay": ("ENGINE_VERSION", "replay_row"),
    "results": ("Kind", "LastLayerStage", "NoSplits", "Reason", "Replay"),
    "rows": ("Marks", "Penalty", "Row", "TimedBy", "parse_row"),
    "skips": ("SkipOrigin",),
    "turns": ("HOLDS", "HOME_HOLD", "Face", "Hold", "Turn", "Turns", "inverse", "mirror"),
}
_MODULES = {name: module for module, names in _NAMES_BY_MODULE.items() for name in names}
__all__ = sorted(_MODULES)  # noqa: PLE0605 - spelled out in the stub, which a test holds equal


def __getattr__(name: str) -> object:
    """The value of a public name, from the module it stands in."""
    if name not in _MODULES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_MODULES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """The public names."""
    return [*__all__]
