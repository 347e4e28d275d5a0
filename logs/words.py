"""Figures, cases and moments as the pages write them."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from cubecore.cases import CASES, SKIP, Case, CaseId
from cubecore.endings import Status
from cubecore.errors import CaseNameError
from cubecore.results import Kind
from cubecore.rows import PLUS_TWO_MS, format_time
from logs.stats import Range
from logs.stats.grid import Likelihood, decimals_shown, likelihood

DNF = "DNF"


UNKNOWN = "–"  # noqa: RUF001 - a dash stands where a log does not tell


def times(n: int) -> str:
    """A count: ``1 time``, ``11 times``."""
    return "1 time" if n == 1 else f"{n:,} times"


def solves(n: int) -> str:
    """A count of solves: ``1 solve``, ``1,204 solves``."""
    return "1 solve" if n == 1 else f"{n:,} solves"


def reading(time_ms: int, status: str) -> str:
    """A solve's time as it counts: ``12.34``, ``14.34 (+2)``, ``DNF, 12.34 on the timer``."""
    if status == Status.DNF:
        return f"{DNF}, {format_time(time_ms)} on the timer"
    if status == Status.PLUS_TWO:
        return f"{format_time(time_ms + PLUS_TWO_MS)} (+2)"
    return format_time(time_ms)


def average(ms: float | None) -> str:
    """An average or a median, rounded to the hundredth; DNF for NaN, a dash for None."""
    if ms is None:
        return UNKNOWN
    if ms != ms:  # NaN
        return DNF
    return format_time(int(ms / 10 + 0.5) * 10)


def split(ms: float | None, step_ms: int | None = None) -> str:
    """A time of one solve, truncated to the hundredth; a dash where the log does not tell.

    A clock of coarser steps, of ``step_ms``, has fewer digits: every page that shows a time inside
    a solve shows it by this.
    """
    if ms is None:
        return UNKNOWN
    text = format_time(int(ms))
    if step_ms is None or step_ms <= 10:
        return text
    return text[:-1] if step_ms <= 100 else text[:-3]


def whole_ms(ms: int, step_ms: int | None = None) -> str:
    """A time in ms, ``453 ms``; by a clock of coarser steps no finer than `split`: ``0.4 s``."""
    return f"{ms} ms" if step_ms is None or step_ms <= 1 else f"{split(ms, step_ms)} s"


def estimate(centre_ms: float, low_ms: float, high_ms: float) -> tuple[str, str]:
    """An estimate and its range in seconds, with the digits that its range leaves it."""
    decimals = decimals_shown((high_ms - low_ms) / 2000)
    centre, low, high = (f"{ms / 1000:.{decimals}f}" for ms in (centre_ms, low_ms, high_ms))
    return centre, f"{low} to {high}"


def band(low_ms: float | None, high_ms: float | None) -> str:
    """A range of times, both ends rounded; a dash for an unknown one."""
    if low_ms is None or high_ms is None or low_ms != low_ms:
        return UNKNOWN
    return f"{average(low_ms)}–{average(high_ms)}"  # noqa: RUF001 - a range has a dash


def range_words(span: Range | None) -> str:
    """A range of times in ms, both ends rounded; a dash for an unknown one."""
    return UNKNOWN if span is None else band(span.low, span.high)


def likely(probability: float) -> Likelihood:
    """The word for a chance of 0..1, the same on every page."""
    return likelihood(probability)


def pct(share: float, decimals: int = 0) -> str:
    """A share of 0..1 in per cent, without the per cent's sign: ``33``, with one decimal ``33.3``."""
    return _with_minus(f"{_pct(share, decimals):.{decimals}f}")


def signed_pct(share: float, decimals: int = 1) -> str:
    """A share in per cent with its sign and without the per cent's: ``+10.9``, ``0.0``."""
    value = _pct(share, decimals)
    return _with_minus(f"{value:+.{decimals}f}" if value else f"{value:.{decimals}f}")


def _pct(share: float, decimals: int) -> float:
    """In per cent, rounded; what rounds to nothing has no sign."""
    return round(100 * share, decimals) or 0.0


def _with_minus(digits: str) -> str:
    return digits.replace("-", "\N{MINUS SIGN}")


def day_words(day: date) -> str:
    """A day: ``3 Mar 2026``."""
    return f"{day.day} {day:%b %Y}"


def day_in(at: datetime, zone: ZoneInfo) -> str:
    """The day of a moment in ``zone``: ``3 Mar 2026``."""
    return day_words(at.astimezone(zone).date())


def moment(at: datetime | None, zone: ZoneInfo) -> str:
    """A day and a time in ``zone``: ``3 Mar 2026, 18:04``."""
    if at is None:
        return "no date"
    local = at.astimezone(zone)
    return f"{local.day} {local:%b %Y, %H:%M}"


def find_case(stage: str, number: str) -> Case | None:
    """The case of a stage by its number or letters, or None."""
    try:
        return CASES.get(CaseId.read(stage, number))
    except CaseNameError:
        return None


def case_title(stage: str, number: str) -> str:
    """``OLL 27 Sune``, ``PLL T``, ``OLL skip``."""
    case = find_case(stage, number)
    return str(case) if case else f"{stage.upper()} {number}"


def is_case(number: str) -> bool:
    """Whether a sighting has a case page: a skip has none."""
    return number != SKIP


def kind_words(kind: str | None) -> str:
    """``solve``, ``drill``, or what a row without a solution is."""
    return {Kind.SOLVE: "solve", Kind.DRILL: "drill"}.get(Kind(kind), "") if kind else "time only"
