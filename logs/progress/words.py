"""Progress in words."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from django.template import Library

from logs.progress.figures.cases import CaseOrder
from logs.progress.figures.log import Form
from logs.progress.report.case import NamedMisfire
from logs.progress.report.case_times import CaseTrend, Meetings, Spread, TimesOf
from logs.progress.report.coverage import BAR_WIDTH, whole_pcts
from logs.progress.report.progress import (
    CaseLine,
    CoverageReport,
    LooksChoice,
    PartShare,
    SolvePart,
    TopEdges,
    TypicalTime,
)
from logs.progress.report.time import MarkKind, RecentSolves, SolveResult, TimeMarkLine
from logs.progress.report.times_alone import FirstOfSitting
from logs.solves.figures.mistakes import MistakeKind
from logs.solves.words import INSTRUMENTS
from logs.stats import Range
from logs.stats.curves import MARGIN, PER, TrendState
from logs.stats.rates import Rate
from logs.stats.transfer import Transfer
from logs.words import DNF, average, day_words, estimate, solves, times

register = Library()


PARTS = {
    SolvePart.CROSS: "Cross",
    SolvePart.PAIRS: "Pairs",
    SolvePart.OLL_RECOGNITION: "OLL recognition",
    SolvePart.OLL_EXECUTION: "OLL execution",
    SolvePart.PLL_RECOGNITION: "PLL recognition",
    SolvePart.PLL_EXECUTION: "PLL execution",
    SolvePart.FINAL_AUF: "Final AUF",
}


EDGES = {
    TopEdges.DOT: "none up",
    TopEdges.BAR: "a bar",
    TopEdges.ANGLE: "an angle",
    TopEdges.ORIENTED: "all up",
}


FORMS = {
    Form.SINGLE: "Single",
    Form.MEAN_OF_3: "Mean of 3",
    Form.AVERAGE_OF_5: "Average of 5",
}


ORDERS = {
    CaseOrder.COST: "what it costs in 100 solves",
    CaseOrder.COUNT: "times met",
    CaseOrder.RECOGNITION: "recognition",
    CaseOrder.EXECUTION: "execution",
    CaseOrder.NUMBER: "number",
}


LOOKS = {LooksChoice.ONE: "one look", LooksChoice.MORE: "more looks than one"}


MARKS = {
    MarkKind.HOMEWORK: "Homework set",
    MarkKind.NEW_CASE: "First in one look",
    MarkKind.NEW_ALGORITHM: "New algorithm",
    MarkKind.INSTRUMENT: "Timed otherwise",
    MarkKind.OWN: "Own mark",
}


MARGIN_PCT = f"{100 * MARGIN:.0f}%"


TRENDS = {
    TrendState.IMPROVING: "very likely still improving",
    TrendState.PLATEAU: f"plateau: the same within {MARGIN_PCT}",
    TrendState.SLOWING: "very likely getting slower",
    TrendState.CANNOT_TELL: "cannot tell yet",
}


COUNTED = {TimesOf.ONE_LOOK: "in one look", TimesOf.MORE_LOOKS: "in two looks or more"}


@register.filter
def part_name(part: SolvePart) -> str:
    """``OLL recognition``."""
    return PARTS[part]


@register.simple_tag
def coverage_parts(coverage: CoverageReport) -> dict[str, int]:
    """Whole per cents that add up to 100, and where the parts of a bar `BAR_WIDTH` wide end."""
    covered, not_covered, never_met = whole_pcts(
        (coverage.covered_share, coverage.not_covered_share, coverage.never_met_share)
    )
    return {
        "covered_pct": covered,
        "not_covered_pct": not_covered,
        "never_met_pct": never_met,
        "covered_width": round(BAR_WIDTH * coverage.covered_share),
        "bar_end": round(BAR_WIDTH * (coverage.covered_share + coverage.not_covered_share)),
    }


@register.filter
def edges_words(edges: TopEdges) -> str:
    """How the top edges lie: ``a bar``."""
    return EDGES[edges]


@register.filter
def form_name(form: Form) -> str:
    """``Average of 5``."""
    return FORMS[form]


@register.filter
def result_time(result: SolveResult | None) -> str:
    """A result as it counts, a dash for none.

    Singles come cut to the hundredth and averages rounded to it (9f1).
    """
    if result is None:
        return average(None)
    return DNF if result.time_ms is None else average(result.time_ms)


@register.filter
def recent_median(recent: RecentSolves) -> str:
    """The median of the newest solves with its unit; DNF where at least half did not finish."""
    return DNF if recent.median_ms is None else f"{average(recent.median_ms)} s"


@register.filter
def mark_kind(kind: MarkKind) -> str:
    """``Homework set``."""
    return MARKS[kind]


@register.filter
def mark_words(mark: TimeMarkLine) -> str:
    """What a mark is about: a word of the member's own, or cases with a new algorithm."""
    if mark.kind is MarkKind.OWN:
        return mark.word
    if mark.timed_by is not None:
        return f"times of turns {INSTRUMENTS[mark.timed_by]} from here"
    titles = ", ".join(case.title for case in mark.cases)
    return f"{titles}: {mark.algorithm}" if mark.algorithm else titles


@register.filter
def mark_beside_trend(mark: TimeMarkLine) -> str:
    """``homework set, 1 Mar 2026``; an own mark with its word."""
    word = f": {mark.word}" if mark.kind is MarkKind.OWN else ""
    return f"{MARKS[mark.kind].lower()}{word}, {day_words(mark.day)}"


@register.filter
def mark_on_axis(mark: TimeMarkLine) -> str:
    """What happened, on the page of one case: ``1 Mar 2026: homework set``."""
    words = {
        MarkKind.HOMEWORK: "homework set",
        MarkKind.NEW_CASE: "goes in one look from here",
        MarkKind.NEW_ALGORITHM: f"first time with {mark.algorithm}",
        MarkKind.INSTRUMENT: mark_words(mark),
        MarkKind.OWN: mark.word,
    }
    return f"{day_words(mark.day)}: {words[mark.kind]}"


@register.filter
def trend_state(state: TrendState) -> str:
    """``still improving``."""
    return TRENDS[state]


@register.filter
def signed_range(change: Range) -> str:
    """Shares in per cent with their signs."""
    return f"{_signed(change.low)} to {_signed(change.high)}"


def _signed(share: float) -> str:
    percent = round(100 * share)
    sign = "+" if percent > 0 else "\N{MINUS SIGN}" if percent < 0 else ""
    return f"{sign}{abs(percent)}%"


@register.filter
def typical_words(typical: TypicalTime | None) -> str:
    """A typical time with the digits that its range leaves it; a dash for none."""
    if typical is None:
        return average(None)
    if not typical.is_known:
        return "not known yet"
    return estimate(typical.centre_ms, typical.range_ms.low, typical.range_ms.high)[0]


@register.filter
def typical_range(typical: TypicalTime | None) -> str:
    """Its range with the same digits; empty for none."""
    if typical is None:
        return ""
    return estimate(typical.centre_ms, typical.range_ms.low, typical.range_ms.high)[1]


@register.filter
def to_words(span: Range) -> str:
    """Two times of a range: ``1.89 to 2.25``."""
    return f"{average(span.low)} to {average(span.high)}"


@register.filter
def once_in(chance: float) -> int:
    """In so many solves a case comes up once."""
    return round(1 / chance)


@register.filter
def per_hundred(ms: float) -> str:
    """Time in an average solve as seconds in 100 of them."""
    return average(100 * ms)


@register.filter
def pct(share: float) -> int:
    """A share in whole per cent."""
    return round(100 * share)


@register.filter
def rate_pct(rate: Rate) -> int:
    """A share in per cent: 0 and 100 are kept for none and for all."""
    if rate.share is None or rate.n_hits in (0, rate.n):
        return 100 * rate.n_hits // max(rate.n, 1)
    return min(99, max(1, round(100 * rate.share)))


@register.filter
def counted_words(counted: TimesOf) -> str:
    """Which sightings are counted: ``in one look``."""
    return COUNTED[counted]


@register.filter
def day_of(at: datetime | None, zone: ZoneInfo) -> str:
    """The day of a moment, as the club has it."""
    return "undated" if at is None else day_words(at.astimezone(zone).date())


@register.filter
def misfire_words(misfire: NamedMisfire) -> str:
    """What a named misfire was."""
    if misfire.kind is MistakeKind.WRONG_HOLD:
        return "the right algorithm from a wrong hold"
    return f"the algorithm of {misfire.case.title}"


@register.filter
def spread_words(spread: Spread | None) -> str:
    """How times spread: the median and the 90th percentile; the slow tail where it is known."""
    if spread is None:
        return ""
    words = (
        f"Half of my times are at most {average(spread.median_ms)} s, nine in ten at most"
        f" {average(spread.slow_ms)} s ({times(spread.n)})."
    )
    if spread.tail_ms is None:
        return words
    return f"{words} Now and then I had to think: that adds {average(spread.tail_ms)} s on average."


@register.filter
def trend_words(trend: CaseTrend) -> str:
    """Whether a case still gets faster; "level" only where that is shown."""
    if trend.change is None:
        more = f"{trend.n_more} more timed one{'s' * (trend.n_more != 1)}"
        return f"Cannot tell yet whether it gets faster: about {more}."
    verdicts = {
        TrendState.IMPROVING: "Very likely it is still getting faster.",
        TrendState.SLOWING: "Very likely it is getting slower: a new algorithm or cube can do that at first.",
        TrendState.PLATEAU: f"It stays level: any change is within {MARGIN_PCT} in {PER} times.",
        TrendState.CANNOT_TELL: "Cannot tell yet whether it still gets faster.",
    }
    span = f"{_change(trend.change.low)} to {_change(trend.change.high)}"
    return f"{verdicts[trend.state]} From the last {trend.n} times: {span} in {PER} more."


def _change(share: float) -> str:
    return f"{100 * abs(share):.0f}% {'faster' if share < 0 else 'slower'}"


@register.filter
def meetings_words(meetings: Meetings | None) -> str:
    """When chance brings the case again; empty without a pace."""
    if meetings is None:
        return ""
    last = "" if meetings.last_on is None else f"Last met on {day_words(meetings.last_on)}. "
    return (
        f"{last}At {meetings.solves_a_week:.0f} solves a week chance brings it about every"
        f" {meetings.mean_gap_days:.0f} days; {pct(meetings.late_share)} gaps in 100 are longer than"
        f" {meetings.late_days} days. Each time it comes is a review."
    )


@register.filter
def gap_words(gap: Transfer | None) -> str:
    """How much longer solves take than drills, with its counts and its range."""
    if gap is None:
        return ""
    drills = f"{gap.n_drills} drill{'s' * (gap.n_drills != 1)}"
    counts = f"from {drills} and {solves(gap.n_solves)} in one look"
    if gap.range is None:
        return f"Too few yet to say how drills and solves differ: {counts}."
    return (
        f"In solves it takes {gap.ratio:.2f} times as long as in drills, {counts};"
        f" {pct(gap.range.level)} times in 100 such a range, {gap.range.low:.2f} to"
        f" {gap.range.high:.2f}, holds the truth."
    )


@register.filter
def first_of_sitting(first: FirstOfSitting) -> str:
    """Whether the first solves of a sitting are slower, said only where the range leaves 0 out."""
    if first.range_ms.low <= 0 <= first.range_ms.high:
        return "The first solves of a sitting are about as fast as the later ones, as far as can be told."
    how = "slower" if first.slower_ms > 0 else "faster"
    low, high = sorted((abs(first.range_ms.low), abs(first.range_ms.high)))
    centre, spread = estimate(abs(first.slower_ms), low, high)
    return f"The first solves of a sitting are {how} than the later ones by about {centre} s ({spread} s)."


STAGES = {
    SolvePart.CROSS: "the cross",
    SolvePart.PAIRS: "the pairs",
    SolvePart.OLL_RECOGNITION: "OLL",
    SolvePart.OLL_EXECUTION: "OLL",
    SolvePart.PLL_RECOGNITION: "PLL",
    SolvePart.PLL_EXECUTION: "PLL",
    SolvePart.FINAL_AUF: "the final AUF",
}


@register.filter
def time_answer(shares: Sequence[PartShare]) -> str:
    """Where most of a solve goes: ``The pairs take most: 9.90 s of 18.90 s in an average solve.``."""
    sums: dict[str, float] = {}
    for share in shares:
        sums[STAGES[share.part]] = sums.get(STAGES[share.part], 0.0) + share.mean_ms
    most = max(sums, key=lambda stage: sums[stage])
    verb = "take" if most == "the pairs" else "takes"
    whole = sum(sums.values())
    return (
        f"{most[0].upper()}{most[1:]} {verb} most:"
        f" {average(sums[most])} s of {average(whole)} s in an average solve."
    )


@register.filter
def last_layer_answer(shares: Sequence[PartShare]) -> str:
    """What seeing and doing take in the last layer."""
    ms = {share.part: average(share.mean_ms) for share in shares}
    return (
        f"Seeing the OLL takes {ms[SolvePart.OLL_RECOGNITION]} s and doing it"
        f" {ms[SolvePart.OLL_EXECUTION]} s; the PLL {ms[SolvePart.PLL_RECOGNITION]} s and"
        f" {ms[SolvePart.PLL_EXECUTION]} s."
    )


@register.filter
def dearest(lines: Sequence[CaseLine]) -> CaseLine | None:
    """The case that costs most in an average solve; None while no cost is known."""
    priced = [(line.cost_ms, line) for line in lines if line.cost_ms is not None]
    return max(priced, key=lambda item: item[0])[1] if priced else None
