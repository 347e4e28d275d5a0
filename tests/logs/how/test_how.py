"""The page of explanations: its words are there, and its examples are the worked ones."""

from typing import Any

import pytest
from django.template.loader import get_template

from logs.how import log as how_log
from logs.how.log import W1_TIMES_MS, Example
from logs.how.report import NUMBERS, how_report
from logs.progress.words import typical_range, typical_words
from logs.stats.curves import TrendState

SECTIONS = [section for group in how_report() for section in group.sections]


class Read(dict[str, object]):
    """An example that notes which of its figures were read."""

    def __init__(self, example: Example) -> None:
        super().__init__(example)
        self.names: set[str] = set()

    def __getitem__(self, name: str) -> object:
        self.names.add(name)
        return super().__getitem__(name)


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.name)
def test_a_section_says_every_figure_of_its_example(section):
    template, example = get_template(section.template), Read(section.example)
    words = " ".join(template.render({"example": example, "numbers": NUMBERS}).split())
    assert len(words) > 100
    assert example.names == set(section.example)


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.name)
def test_an_example_is_data(section):
    """Its figures are written by its template alone."""

    def texts(value: object) -> list[str]:
        if isinstance(value, str) and not isinstance(value, TrendState):
            return [value]
        parts = value.values() if isinstance(value, dict) else value
        if isinstance(parts, list | tuple | type({}.values())):
            return [text for part in parts for text in texts(part)]
        return []

    assert {text for text in texts(dict(section.example)) if text not in W1_TIMES_MS} == set()


def test_each_name_is_there_once():
    names = [section.name for section in SECTIONS]
    assert len(set(names)) == len(names)


# The worked examples of `tests.logs.stats.worked`, computed apart from this project's code; the page
# computes them anew from the same public functions.
def test_w1b_of_the_page():
    rows: Any = how_log.case_times_example()["rows"]
    typical = {row["case"]: row["typical"] for row in rows}
    # W1a and W1b have 2.04 (1.88 to 2.21) and 2.05 (1.89 to 2.25) for A, by other priors.
    assert (typical_words(typical["A"]), typical_range(typical["A"])) == ("2.04", "1.88 to 2.22")
    assert typical_words(typical["G"]) == "not known yet"


def test_w2c_of_the_page():
    example: Any = how_log.coverage_example()
    parts = example["parts"]
    shares = (parts.covered_share, parts.never_met_share)
    assert [round(100 * share) for share in shares] == [27, 50]
    bounds = (example["low_share"], example["high_share"], example["unweighted_share"])
    assert [round(100 * share) for share in bounds] == [25, 30, 59]  # 24.6-29.5


def test_w2d_and_w2e_of_the_page():
    rows: Any = how_log.unmet_example()["rows"]
    assert [(row["n"], round(row["mean"], 1), round(row["sd"], 1)) for row in rows] == [
        (50, 24.0, 2.3), (100, 10.5, 2.3), (200, 2.4, 1.4),
    ]  # fmt: skip
    check: Any = how_log.chances_example()
    assert (round(check["p"], 3), check["is_alarm"]) == (0.090, False)


def test_w5b_of_the_page():
    rows: Any = how_log.plateau_example()["rows"]
    assert [(round(row["low_share"], 3), round(row["high_share"], 3)) for row in rows] == [
        (-0.163, -0.017), (-0.153, 0.109),
    ]  # fmt: skip
    assert [row["state"] for row in rows] == [TrendState.IMPROVING, TrendState.CANNOT_TELL]


def test_the_average_of_the_page():
    """WCA Regulations 9b1, 9f1, 9f9 (from memory), by hand: 12.34 + 13.11 + 16.02 = 41.47."""
    example: Any = how_log.averages_example()
    assert (example["average_ms"], example["is_dnf_of_two"]) == (13_820, True)
    assert example["counted_ms"] == pytest.approx(
        [12_340, 16_020, 11_870, float("nan"), 13_110], nan_ok=True
    )
