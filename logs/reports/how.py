"""The page that explains each figure: its sections, in their order, and their worked examples.

One section a figure. To add one: a line in ``_GROUPS``, its words in
``templates/logs/how/<name>.html``, and, where it has a worked example, a function without
arguments in ``logs/reports/how_<area>.py`` that computes it with the public functions of
`logs.analytics`. The template finds what that function returns as ``example``: plain text, ready
to be written. Pages link to a section as ``{% url 'logs:how' %}#<name>``.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

Example = Mapping[str, object]
"""The figures of a worked example by the names that its template uses."""


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


_GROUPS: Final[tuple[tuple[str, tuple[Explanation, ...]], ...]] = (
    (
        "A solve",
        (
            Explanation("stages", "Stages"),
            Explanation("looks", "Looks, recognition, execution"),
            Explanation("shares", "Shares of a solve"),
            Explanation("average", "Average of 5"),
        ),
    ),
    (
        "The cases",
        (
            Explanation("one-look", "One look"),
            Explanation("case-times", "Times by case"),
            Explanation("odd", "Far from the others"),
            Explanation("unmet", "Cases that have not come up"),
            Explanation("information", "What to look at"),
        ),
    ),
    (
        "Practice",
        (
            Explanation("drills", "Drills"),
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
        template=f"logs/how/{explanation.name}.html",
        example=explanation.work() if explanation.work else {},
    )
