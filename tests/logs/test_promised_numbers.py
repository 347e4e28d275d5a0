"""The numbers that we promise: each constant, its value, where it is from, who repeats it.

A constant that changes fails here: whoever changes it has to look at its source and at the sentence
that repeats it. "Our own rule" has no source; its value is a choice that pages state.
"""

import pytest
from django.template.loader import get_template

from logs.club import figures as club_figures
from logs.homework import figures as homework_figures
from logs.how.report import NUMBERS, how_report
from logs.next_up import gains, order
from logs.next_up import order as next_figures
from logs.next_up import services as next_services
from logs.progress import services as progress_services
from logs.progress import words as progress_words
from logs.progress.figures import cases, load
from logs.progress.figures import log as log_figures
from logs.progress.report import case, case_times
from logs.progress.report import load as load_report
from logs.solves.figures import mistakes, standing
from logs.stats import (
    curves,
    distributions,
    effect,
    grid,
    periods,
    pooling,
    rates,
    transfer,
    two_way,
)

NUMBERS_PROMISED = [
    # Each line: the module, the constant, its value, its source.
    (grid, "LIKELY", 0.66, "Mastrandrea et al. 2010: two thirds"),
    (grid, "VERY_LIKELY", 0.90, "Mastrandrea et al. 2010"),
    (grid, "BAND", 0.80, "our own rule: eight in ten"),
    (grid, "KNOWN_RATIO", 1.5, "our own rule"),
    (grid, "HOLLOW_BELOW", 3, "our own rule"),
    (rates, "BAND", 0.80, "our own rule: eight in ten"),
    (standing, "COVERAGE_LEVEL", 0.80, "our own rule: eight in ten"),
    (distributions, "BAND", 0.80, "our own rule: eight in ten"),
    (distributions, "ODD_Z", 3.5, "Iglewicz and Hoaglin 1993; NIST e-Handbook 1.3.5.17"),
    (distributions, "FITTED_FROM", 40, "our own rule"),
    (curves, "BAND", 0.80, "our own rule: eight in ten"),
    (curves, "FITTED_FROM", 12, "our own rule"),
    (curves, "MARGIN", 0.03, "our own rule"),
    (curves, "TREND_LEVEL", 0.90, "Schuirmann 1987: two one-sided tests at 5 %"),
    (curves, "JUDGED_FROM", 8, "our own rule"),
    (curves, "JUDGED", 12, "our own rule"),
    (curves, "PER", 10, "our own rule"),
    (periods, "DAYS_SHOWN_SINGLY", 56, "our own rule: eight weeks"),
    (periods, "FEW", 5, "our own rule"),
    (transfer, "BAND", 0.90, "our own rule"),
    (effect, "LEVEL", 0.80, "our own rule: eight in ten"),
    (effect, "USUAL_CHANGE", 0.30, "our own rule: sd of changes of log time"),
    (effect, "NO_CHANGE", 0.2, "our own rule, tried in tests.worlds"),
    (effect, "RATE_PRIOR", 0.25, "our own rule: a case is known or not"),
    (
        effect,
        "N_DRAWS",
        4_000,
        "simulation error of an end of a range below a hundredth of its width",
    ),
    (rates, "DIFFERENT", 0.5, "our own rule, tried in tests.worlds: a false mark on 5 % of pages"),
    (rates, "ALPHA", 0.05, "Wald 1945, the customary 5 %"),
    (rates, "RESTARTED_ALPHA", 0.01, "largest hundredth that keeps all runs within ALPHA"),
    (standing, "BAND", 0.80, "our own rule: eight in ten"),
    (standing, "FITTED_FROM", 8, "our own rule"),
    (standing, "RECENT", 24, "our own rule"),
    (standing, "LEARN", 0.12, "our own rule, tried in tests/logs/solves/test_standing.py"),
    (standing, "FORGET", 0.02, "our own rule, tried in tests/logs/solves/test_standing.py"),
    (rates, "RAISED_ALPHA", 0.03, "largest hundredth that keeps all runs within ALPHA up to .70"),
    (rates, "HIGHEST_NULL", 0.70, "our own rule"),
    (homework_figures, "GAIN_ASKED", 0.10, "our own rule: a tenth"),
    (homework_figures, "BEFORE", 24, "our own rule: as many as tell a standing"),
    (rates, "FALSE_SHARE", 0.10, "Benjamini and Hochberg 1995: the customary tenth"),
    (club_figures, "CLEAN_LATELY", 5, "our own rule: five of the last six"),
    (club_figures, "LATELY", 6, "our own rule: five of the last six"),
    (two_way, "VARIANCE_WORTH", 10.0, "our own rule"),
    (mistakes, "LIMIT", 0.05, "our own rule: once in twenty looks"),
    (mistakes, "PRINTED_FROM", 2, "our own rule"),
    (standing, "FLUENT_FROM", 3, "our own rule"),
    (standing, "TARGET_CASES", 3, "our own rule"),
    (standing, "TARGET_FACTOR", 1.25, "our own rule"),
    (next_figures, "N_DRAWS", 20_000, "simulation error of a chance below 0.004"),
    (gains, "TIMED_FROM", 4, "our own rule"),
    (gains, "LEARNT_WORTH", 20, "our own rule"),
    (pooling, "BLOCKS", 32, "our own rule, tried in tests.worlds"),
    (pooling, "BLOCK_OF", 4, "our own rule, tried in tests.worlds"),
    (pooling, "SLOPE", 1.0, "common practice, no source: twice the turns, twice the time"),
    (pooling, "SLOPE_SD", 0.5, "our own rule"),
    (gains, "SEED", 20_260, "any; the same log gives the same list"),
    (order, "MAX_OPEN", 3, "our own rule"),
    (order, "BAND", 0.80, "our own rule: eight in ten"),
    (next_services, "MAX_PLACE", 78, "57 OLLs and 21 PLLs"),
    (cases, "SHOWN_SINGLY", 4, "our own rule"),
    (cases, "USED_FROM", 3, "our own rule"),
    (cases, "RUN", 3, "our own rule"),
    (load, "RISE", 1.5, "our own rule: a prompt, no threshold is proven"),
    (load, "WEEKS_COMPARED", 4, "our own rule"),
    (load, "BREAK_AFTER_MINUTES", 45.0, "our own rule"),
    (load, "BREAK_MINUTES", 5.0, "UK HSE: 5 to 10 minutes an hour"),
    (load_report, "DAYS_SHOWN", 7, "our own rule"),
    (load_report, "WEEKS_READ", 12, "our own rule"),
    (log_figures, "RECENT_SOLVES", 100, "our own rule"),
    (case_times, "DRAWN", 60, "our own rule"),
    (case_times, "SPREAD_FROM", 3, "our own rule"),
    (case_times, "LATE_DAYS", 30, "our own rule"),
    (case, "NEWEST", 50, "our own rule"),
    (progress_services, "MAX_MARKS", 50, "our own rule"),
]


@pytest.mark.parametrize(
    ("module", "name", "value", "source"),
    NUMBERS_PROMISED,
    ids=[f"{module.__name__}.{name}" for module, name, *_ in NUMBERS_PROMISED],
)
def test_a_constant_is_what_we_promise(module, name, value, source):
    assert source
    assert getattr(module, name) == value


def test_the_check_of_homework_has_the_rates_of_its_source():
    """Wald 1945 with rates .30 against .85, as pages explain it."""
    test = rates.DEFAULT_TEST
    assert (test.not_learnt, test.learnt, test.alpha, test.beta) == (0.30, 0.85, 0.05, 0.10)
    assert (test, rates.RESTARTED_TEST, rates.RESTARTED_TEST) == rates.RUNS


@pytest.mark.parametrize(("solves_a_week", "n_open"), [(0, 2), (77.9, 2), (78, 3), (500, 3)])
def test_three_cases_at_once_take_312_solves_in_four_weeks(solves_a_week, n_open):
    """312 solves: three cases of 4 in 216, thrice each, 80 % (negative binomial)."""
    assert order.open_cases_allowed(solves_a_week) == n_open


SENTENCES = [
    ("plateau", "latest 8 to 12 timed sightings"),
    ("plateau", "lies within 3% of no change"),
    ("plateau", "changes in 10 sightings"),
    ("next-up", "cannot tell with 66 chances in 100 are tied"),
    ("case-times", "timed fewer than 3 times"),
    ("case-times", "more than 1.5 times the lower"),
    ("spread", "From 40 times on"),
    ("before-after", "Likely means at least 66 chances in 100, very likely at least 90."),
    ("average", "median of the newest 100:"),
]


@pytest.mark.parametrize(("topic", "sentence"), SENTENCES)
def test_a_sentence_repeats_the_constant(topic, sentence):
    (section,) = [s for group in how_report() for s in group.sections if s.name == topic]
    page = get_template(section.template).render({"example": section.example, "numbers": NUMBERS})
    assert sentence in " ".join(page.split())


def test_words_repeat_the_constant():
    assert progress_words.MARGIN_PCT == "3%"
    assert NUMBERS["margin_share"] == 0.03
