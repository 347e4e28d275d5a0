"""The looks of a solve, in words."""

from dataclasses import dataclass

from cubecore.cases import Stage
from cubecore.looks import Look, MisfireKind, Outcome
from cubecore.replay import Replay
from logs.reports.words import case_title, is_case, split


@dataclass(frozen=True, slots=True)
class LookLine:
    """One look of the last layer."""

    stage: str
    case: str
    has_page: bool
    case_title: str
    outcome: str
    is_misfire: bool
    algorithm: str
    known: bool
    n_turns: int
    recognition: str
    execution: str
    lining_up: str
    n_lining_up: int


def look_lines(result: Replay) -> tuple[LookLine, ...]:
    """The looks of both stages, in order."""
    stages = ((Stage.OLL, result.oll), (Stage.PLL, result.pll))
    return tuple(
        LookLine(
            stage=stage.value,
            case=str(shown.case),
            has_page=is_case(str(shown.case)),
            case_title=case_title(stage, str(shown.case)),
            outcome=outcome_words(stage, look),
            is_misfire=look.outcome is Outcome.MISFIRE,
            algorithm=look.algorithm,
            known=look.known,
            n_turns=look.turns,
            recognition=split(look.recognition_ms),
            execution=split(look.execution_ms),
            lining_up=split(look.lining_up_ms),
            n_lining_up=look.lining_up_turns,
        )
        for stage, shown in stages
        if shown is not None
        for look in shown.looks
    )


_MISSING = {1: "U", 2: "U2", 3: "U'"}


def outcome_words(stage: Stage, look: Look) -> str:
    """What a look did, in words."""
    goal = "oriented the layer" if stage is Stage.OLL else "put the layer right"
    words = {
        Outcome.FINISHED: goal,
        Outcome.EDGES: "oriented the edges" if stage is Stage.OLL else "put the edges right",
        Outcome.CORNERS: "put the corners right",
    }
    if look.outcome is not Outcome.MISFIRE:
        return words[look.outcome]
    if look.misfire is None:
        return "misfire: nothing the book knows for a case"
    if look.misfire.kind is MisfireKind.WRONG_HOLD:
        missing = _MISSING[look.misfire.quarter_turns or 0]
        return f"misfire: the right algorithm from a wrong hold, {missing} was missing before it"
    other = look.misfire.case
    return f"misfire: that is the algorithm of {case_title(other.stage, str(other.number))}"
