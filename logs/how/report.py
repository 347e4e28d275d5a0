"""What a worked example on the page of explanations is."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from logs.how import log as how_log
from logs.how import teaching as how_teaching
from logs.how.log import Example
from logs.progress.figures.log import RECENT_SOLVES
from logs.stats.curves import JUDGED, JUDGED_FROM, MARGIN, PER
from logs.stats.distributions import FITTED_FROM as TAIL_FROM
from logs.stats.effect import NO_CHANGE
from logs.stats.grid import HOLLOW_BELOW, KNOWN_RATIO, LIKELY, VERY_LIKELY


@dataclass(frozen=True, slots=True)
class Explanation:
    """One figure explained.

    Attributes:
        name: What its section is linked by, and the name of its template.
        title: Its heading, in sentence case.
        work: Computes its worked example; None where there is none.
    """

    name: str
    title: str
    work: Callable[[], Example] | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """An explanation as the page shows it.

    Attributes:
        name: What it is linked by.
        title: Its heading.
        template: The file with its words.
        example: The figures of its worked example, empty without one.
    """

    name: str
    title: str
    template: str
    example: Example


@dataclass(frozen=True, slots=True)
class Group:
    """Sections that belong together."""

    title: str
    sections: tuple[Section, ...]


NUMBERS: Final[Mapping[str, float]] = {
    "hollow_below": HOLLOW_BELOW,
    "judged": JUDGED,
    "judged_from": JUDGED_FROM,
    "known_ratio": KNOWN_RATIO,
    "likely_share": LIKELY,
    "no_change_share": NO_CHANGE,
    "margin_share": MARGIN,
    "per": PER,
    "recent_solves": RECENT_SOLVES,
    "tail_from": TAIL_FROM,
    "very_likely_share": VERY_LIKELY,
}
"""Constants that the explanations repeat."""


_GROUPS: Final[tuple[tuple[str, tuple[Explanation, ...]], ...]] = (
    (
        "A solve",
        (
            Explanation("log", "What a log can hold"),
            Explanation("stages", "Stages"),
            Explanation("looks", "Looks, recognition, execution"),
            Explanation("marks", "Five marks in the place of turn times"),
            Explanation("instruments", "What times are compared"),
            Explanation("shares", "Shares of a solve"),
            Explanation("average", "Averages", how_log.averages_example),
        ),
    ),
    (
        "The cases",
        (
            Explanation("one-look", "One look", how_log.one_look_example),
            Explanation("coverage", "Coverage", how_log.coverage_example),
            Explanation("drawn", "Solves written down: drawn or picked"),
            Explanation("case-times", "Times by case", how_log.case_times_example),
            Explanation("odd", "Far from the others"),
            Explanation("unmet", "Cases that have not come up", how_log.unmet_example),
            Explanation("chances-fit", "Whether chance fits", how_log.chances_example),
            Explanation("information", "What to look at"),
        ),
    ),
    (
        "Over time",
        (
            Explanation("over-time", "Times over time, and marks"),
            Explanation("plateau", "Still getting faster, or a plateau", how_log.plateau_example),
        ),
    ),
    (
        "One case over time",
        (
            Explanation("curve", "The curve of one case", how_teaching.curve_example),
            Explanation("spread", "How times spread", how_teaching.spread_example),
            Explanation("review", "Review by chance", how_teaching.review_example),
        ),
    ),
    (
        "How sure",
        (Explanation("likely", "What likely means"),),
    ),
    (
        "What to learn, and whether it took",
        (
            Explanation("next-up", "Next up, and ties", how_teaching.next_up_example),
            Explanation("effort", "The work of learning", how_teaching.effort_example),
            Explanation("due-date", "Dates, and what chance brings", how_teaching.due_date_example),
            Explanation(
                "homework-check", "When homework is verified", how_teaching.homework_check_example
            ),
            Explanation("before-after", "Before and since", how_teaching.before_after_example),
            Explanation("mistaken", "Mistaken for", how_teaching.mistaken_example),
            Explanation("shapes", "Members side by side", how_teaching.shapes_example),
        ),
    ),
    ("Your log", (Explanation("sent-again", "Sent again, taken back, corrected"),)),
    (
        "Practice",
        (
            Explanation("drills", "Drills"),
            Explanation("load", "How much practice", how_log.load_example),
            Explanation("hands", "Hands"),
        ),
    ),
)


@cache
def how_report() -> tuple[Group, ...]:
    """The page. Its examples hang on nothing but the code, so each process works them out once."""
    return tuple(
        Group(title, tuple(_section(explanation) for explanation in explanations))
        for title, explanations in _GROUPS
    )


def _section(explanation: Explanation) -> Section:
    return Section(
        name=explanation.name,
        title=explanation.title,
        template=f"how/topics/{explanation.name}.html",
        example=explanation.work() if explanation.work else {},
    )
