"""A replay as the stretches of its time strip."""

from cubecore.cases import Stage
from cubecore.looks import Look, Outcome
from cubecore.replay import LastLayerStage, Replay
from logs.charts.strip import Fill, Stretch
from logs.reports.solve_steps import Milestone
from logs.reports.words import split


def stage_stretches(result: Replay, marks: tuple[Milestone, ...]) -> list[Stretch]:
    """Each part with some time of its own, OLL and PLL with their cases."""
    stretches = []
    begun = 0
    for mark in marks:
        start_ms, end_ms = result.time_after(begun), result.time_after(mark.n_turns)
        if start_ms is None or end_ms is None or end_ms <= start_ms:
            continue
        name = mark.case_name
        label = " ".join(name.split()[:2]) if mark.sighting else name
        title = f"{name}: {split(end_ms - start_ms)} s"
        stretches.append(Stretch(start_ms, end_ms, Fill.OPEN, label, title))
        begun = mark.n_turns
    return stretches


def look_stretches(result: Replay) -> list[Stretch]:
    """Recognition and execution of each look, back to back from the end of F2L."""
    stretches: list[Stretch] = []
    for stage, shown, begun in (
        (Stage.OLL, result.oll, result.f2l_turn),
        (Stage.PLL, result.pll, result.oriented_turn),
    ):
        at_ms = result.time_after(begun)
        if shown is None or at_ms is None:
            continue
        stretches += _looks(stage, shown, at_ms)
    return stretches


def _looks(stage: Stage, shown: LastLayerStage, at_ms: int) -> list[Stretch]:
    stretches = []
    for number, look in enumerate(shown.looks, start=1):
        assert look.recognition_ms is not None
        assert look.execution_ms is not None
        moved_ms = at_ms + look.recognition_ms
        end_ms = moved_ms + look.execution_ms
        name = f"{stage.upper()} look {number}"
        stretches += [
            Stretch(
                at_ms,
                moved_ms,
                Fill.HATCHED,
                "",
                f"{name}: recognition {split(moved_ms - at_ms)} s",
            ),
            Stretch(
                moved_ms,
                end_ms,
                Fill.SOLID,
                _mark(look),
                f"{name}: {_did(look, end_ms - moved_ms)}",
            ),
        ]
        at_ms = end_ms
    return stretches


def _mark(look: Look) -> str:
    return "misfire" if look.outcome is Outcome.MISFIRE else ""


def _did(look: Look, execution_ms: int) -> str:
    word = "misfire, " if look.outcome is Outcome.MISFIRE else ""
    return f"{word}execution {split(execution_ms)} s"
