"""The public names, for type checkers; ``__init__.py`` says which module each comes from."""

from cubecore.algorithms import Algorithm, Normal, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import (
    CASES,
    SKIP,
    Case,
    CaseId,
    EdgeStep,
    LastLayer,
    LastLayerKey,
    PermutationStep,
    Stage,
    find_case,
    label,
)
from cubecore.compact import CompactRow, TurnedRow, compact_row, unpack
from cubecore.cube import SOLVED, Cube, Places, after_turns
from cubecore.cue_words import cue_sentence
from cubecore.cues import ColourClue, Cue, PairClue, Relation, WrongHold, cue_of, nearest_wrong_hold
from cubecore.descriptions import Description, describe
from cubecore.drills import Drill, DrillMaker
from cubecore.endings import Status
from cubecore.errors import (
    AlgorithmError,
    CaseNameError,
    CubeError,
    NotationError,
    NotSolvedError,
    RowError,
)
from cubecore.holds import Feature, Side, SideView, Sticker, Where, side_views
from cubecore.looks import Look
from cubecore.notation import (
    Metrics,
    Script,
    Token,
    count_metrics,
    format_tokens,
    format_turns,
    parse_script,
    parse_tokens,
)
from cubecore.outcomes import Done, Outcome
from cubecore.pictures import case_picture, cube_picture
from cubecore.questions import Question, Task
from cubecore.replay import ENGINE_VERSION, replay_row
from cubecore.results import Kind, LastLayerStage, NoSplits, Reason, Replay
from cubecore.rows import Marks, Penalty, Row, TimedBy, parse_row
from cubecore.skips import SkipOrigin
from cubecore.turns import HOLDS, HOME_HOLD, Face, Hold, Turn, Turns, inverse, mirror

__all__ = [
    "CASES",
    "ENGINE_VERSION",
    "HOLDS",
    "HOME_HOLD",
    "SKIP",
    "SOLVED",
    "Algorithm",
    "AlgorithmError",
    "Book",
    "Case",
    "CaseId",
    "CaseNameError",
    "ColourClue",
    "CompactRow",
    "Cube",
    "CubeError",
    "Cue",
    "Description",
    "Done",
    "Drill",
    "DrillMaker",
    "EdgeStep",
    "Face",
    "Feature",
    "Hold",
    "Kind",
    "LastLayer",
    "LastLayerKey",
    "LastLayerStage",
    "Look",
    "Marks",
    "Metrics",
    "NoSplits",
    "Normal",
    "NotSolvedError",
    "NotationError",
    "Outcome",
    "PairClue",
    "Penalty",
    "PermutationStep",
    "Places",
    "Question",
    "Reason",
    "Relation",
    "Replay",
    "Row",
    "RowError",
    "Script",
    "Side",
    "SideView",
    "SkipOrigin",
    "Stage",
    "Status",
    "Sticker",
    "Task",
    "TimedBy",
    "Token",
    "Turn",
    "TurnedRow",
    "Turns",
    "Where",
    "WrongHold",
    "after_turns",
    "case_picture",
    "compact_row",
    "count_metrics",
    "cube_picture",
    "cue_of",
    "cue_sentence",
    "default_book",
    "describe",
    "find_case",
    "format_tokens",
    "format_turns",
    "inverse",
    "label",
    "mirror",
    "nearest_wrong_hold",
    "parse_row",
    "parse_script",
    "parse_tokens",
    "prove_algorithm",
    "replay_row",
    "side_views",
    "unpack",
]
