"""All cases with where the reader stands, as their own page and programs have it."""

import re

import pytest

from cubecore.cases import CASES, Stage
from logs.progress.report.cases import cases_report
from logs.solves.figures.standing import Standing
from tests.desk import ONE_LOOK
from tests.factories import make_client, make_row, make_upload, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    """Somebody who did three solves alike, an OLL and a PLL in one look each."""
    user = make_user()
    make_upload(user, [make_row(*ONE_LOOK, gap_ms=gap) for gap in (120, 130, 140)])
    return user


def test_each_case_of_both_stages_has_one_standing(member):
    report = cases_report(actor=member)
    for group, n_cases in zip(report.stages, (57, 21), strict=True):
        assert [count.standing for count in group.counts] == list(Standing)
        assert sum(count.n for count in group.counts) == len(group.cases) == n_cases
        for count in group.counts:
            assert count.n == sum(card.standing == count.standing for card in group.cases)
        met = {card.number: card.standing for card in group.cases if card.n}
        assert list(met.values()) == [Standing.ONE_LOOK]  # three of three: likely the rule


def test_who_has_no_solves_has_met_nothing():
    for group in cases_report(actor=make_user()).stages:
        assert {card.standing for card in group.cases} == {Standing.UNMET}


def test_the_page_shows_the_cases_of_one_standing_where_that_is_asked(member):
    client = make_client(member)
    shown = {
        query: len(re.findall(r'class="case-card"', client.get(f"/cases/{query}").content.decode()))
        for query in (
            "",
            "?standing=unmet",
            "?standing=one-look",
            "?standing=fluent",
            "?standing=x",
        )
    }
    n_cases = len(CASES)
    assert n_cases == sum(sum(case.stage is stage for case in CASES) for stage in Stage) == 78
    assert shown == {
        "": 78,
        "?standing=unmet": 76,
        "?standing=one-look": 2,
        "?standing=fluent": 0,
        "?standing=x": 78,
    }
