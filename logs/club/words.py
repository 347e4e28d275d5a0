"""A club's figures in words."""

from django.template import Library

from logs.club.report.compare import CompareReport
from logs.club.report.mistaken import MistakenCost, MistakenLine
from logs.club.report.own_speed import SpeedCell, SpeedLine
from logs.club.report.weeks import CaseWeeks, TimesMet
from logs.solves.figures.standing import Standing
from logs.stats import Range
from logs.stats.grid import decimals_shown
from logs.words import UNKNOWN, average, day_words, range_words

register = Library()

STANDINGS = {
    Standing.UNMET: "No look at it in a solve yet.",
    Standing.TWO_LOOK: "The latest looks say that it does not go in one look as a rule.",
    Standing.ONE_LOOK: "It is at least likely that it goes in one look now.",
    Standing.FLUENT: "One look, and recognition within the target for that member.",
}


@register.simple_tag
def standings() -> tuple[tuple[str, str], ...]:
    """Each standing with its meaning."""
    return tuple((standing.value, words) for standing, words in STANDINGS.items())


@register.filter
def range_pct(span: Range) -> str:
    """A range of shares, in whole per cents with a dash between."""
    return f"{round(100 * span.low)}–{round(100 * span.high)}"  # noqa: RUF001 - a range has a dash


@register.filter
def once_in(chance: float) -> str:
    """How often a case comes up: ``comes up once in 54 solves``."""
    return f"comes up once in {int(1 / chance + 1e-9)} solves"


@register.filter
def excess(share: float) -> str:
    """Slower or faster, with a sign: ``+19%``, ``−4%``, ``0%``."""  # noqa: RUF002 - a minus
    pct = round(100 * share)
    sign = "+" if pct > 0 else "\N{MINUS SIGN}" if pct < 0 else ""
    return f"{sign}{abs(pct)}%"


@register.filter
def by_member(line: SpeedLine, report: CompareReport) -> tuple[SpeedCell | None, ...]:
    """The cells of a line in the order of the members compared; None without a time."""
    cells = {cell.membership_id: cell for cell in line.cells}
    return tuple(cells.get(member.membership_id) for member in report.chosen)


@register.filter
def who_did_it(line: MistakenLine) -> str:
    """How many members did it: ``1 of 13 members``."""
    return (
        f"{line.n_members} of {line.n_members_met} member{'' if line.n_members_met == 1 else 's'}"
    )


@register.filter
def cost(of: MistakenCost | None) -> str:
    """What a mix-up costs in 100 solves, with its range and count; empty where not known."""
    if of is None:
        return ""
    mean, low, high = (ms / 10 for ms in (of.mean_ms, of.range_ms.low, of.range_ms.high))
    decimals = decimals_shown((high - low) / 2, most=1)
    span = f"{low:.{decimals}f} to {high:.{decimals}f}"
    return f"{mean:.{decimals}f} s in 100 solves ({span}; {of.n_timed} timed)"


@register.filter
def weeks_name(weeks: CaseWeeks, newest: CaseWeeks) -> str:
    """A week by its Monday; halves by how far back they lie, seen from the ``newest`` week."""
    if weeks.n_weeks == 1:
        return day_words(weeks.first_on)
    is_later = (newest.first_on - weeks.first_on).days < 7 * weeks.n_weeks
    return f"The last {weeks.n_weeks} weeks" if is_later else f"The {weeks.n_weeks} weeks before"


@register.filter
def median(times: TimesMet | None) -> str:
    """The median; a dash of too few."""
    return UNKNOWN if times is None else average(times.median_ms)


@register.filter
def middle(times: TimesMet | None) -> str:
    """Where eight in ten lie; a dash of too few."""
    return UNKNOWN if times is None else range_words(times.range_ms)
