"""A club's figures in words."""

import pytest

from logs.club.report.mistaken import MistakenCost
from logs.club.report.weeks import TimesMet
from logs.club.words import STANDINGS, cost, excess, median, middle, once_in, range_pct
from logs.solves.figures.standing import Standing
from logs.stats import Range
from logs.words import UNKNOWN


def test_every_standing_has_its_meaning():
    assert set(STANDINGS) == set(Standing)


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.19, "+19%"), (-0.04, "\N{MINUS SIGN}4%"), (0.004, "0%"), (-0.004, "0%")],
)
def test_slower_or_faster_has_a_sign(share: float, words: str):
    assert excess(share) == words


def test_shares_and_chances():
    assert range_pct(Range(low=0.081, high=0.302, level=0.8)) == "8\N{EN DASH}30"
    assert once_in(4 / 216) == "comes up once in 54 solves"
    assert once_in(1 / 72) == "comes up once in 72 solves"


def test_what_a_mix_up_costs():
    of = MistakenCost(mean_ms=14.0, range_ms=Range(low=4.0, high=30.0, level=0.8), n_timed=3)
    assert cost(of) == "1.4 s in 100 solves (0.4 to 3.0; 3 timed)"
    assert cost(None) == ""


def test_times_of_a_week():
    times = TimesMet(median_ms=1234.0, range_ms=Range(low=900.0, high=2000.0, level=0.8))
    assert (median(times), middle(times)) == ("1.23", "0.90\N{EN DASH}2.00")
    assert median(None) == middle(None) == UNKNOWN
