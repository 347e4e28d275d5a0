"""The page of explanations: its words are there, and its examples are the specification's."""

import pytest
from django.template.loader import get_template

from logs.how import log as how_log
from logs.how.report import NUMBERS, how_report

SECTIONS = [section for group in how_report() for section in group.sections]


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.name)
def test_a_section_says_every_figure_of_its_example(section):
    template = get_template(section.template)
    words = " ".join(template.render({"example": section.example, "numbers": NUMBERS}).split())
    assert len(words) > 100

    def said(value: object) -> None:
        if isinstance(value, bool):
            return
        if isinstance(value, list):
            for row in value:
                for part in row.values():
                    said(part)
        else:
            assert str(value).replace("+", "") in words.replace("+", ""), (section.name, value)

    for value in section.example.values():
        said(value)


def test_each_name_is_there_once():
    names = [section.name for section in SECTIONS]
    assert len(set(names)) == len(names)


# Worked examples of ANALYTICS.md, computed there with NumPy, SciPy and statsmodels apart from this
# project's code; the page computes them anew from the same public functions.
def test_w1b_of_the_page():
    rows = {row["case"]: row for row in how_log.case_times_example()["rows"]}  # type: ignore[attr-defined]  # rows of text
    assert (rows["A"]["time"], rows["A"]["band"]) == ("2.05", "1.89 to 2.25")
    assert (rows["G"]["time"], rows["G"]["band"]) == ("not known yet", "2.6 to 5.0")


def test_w2c_of_the_page():
    found = how_log.coverage_example()
    assert [found[name] for name in ("covered", "never_met", "most")] == [27, 50, 77]
    assert [found[name] for name in ("low", "high", "unweighted")] == [25, 30, 59]  # 24.6-29.5


def test_w2d_and_w2e_of_the_page():
    rows = how_log.unmet_example()["rows"]
    assert [(row["n"], row["mean"], row["sd"]) for row in rows] == [  # type: ignore[attr-defined]  # rows of text
        (50, "24.0", "2.3"), (100, "10.5", "2.3"), (200, "2.4", "1.4"),
    ]  # fmt: skip
    check = how_log.chances_example()
    assert (check["in_hundred"], check["is_alarm"]) == (9, False)  # p = .090


def test_w5b_of_the_page():
    rows = how_log.plateau_example()["rows"]
    assert [(row["low"], row["high"], row["words"]) for row in rows] == [  # type: ignore[attr-defined]  # rows of text
        ("-16.3", "-1.7", "still improving"), ("-15.3", "+10.9", "cannot tell yet"),
    ]  # fmt: skip


def test_the_average_of_the_page():
    """WCA Regulations 9b1, 9f1, 9f9 (from memory), by hand: 12.34 + 13.11 + 16.02 = 41.47."""
    found = how_log.averages_example()
    assert (found["average"], found["two_dnf"]) == ("13.82", "DNF")
    assert found["times"] == "12.34, 16.02, 11.87, DNF, 13.11"
