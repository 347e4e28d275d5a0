"""All cases with where the reader stands, what is wanted, their own word, and the poster."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from cubecore.cases import CASES, CaseId
from logs.case_map.models import KnownByWord
from logs.case_map.report import Only, case_map, own_words
from logs.case_map.services import known_by_word_set
from logs.privacy.report.export import account_copy
from logs.progress.report.cases import cases_report
from logs.solves.figures.standing import Standing
from tests.desk import CASE_27, CASE_40, CASE_T, ONE_LOOK, make_homework, make_team
from tests.factories import NOW, make_client, make_row, make_upload, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def member():
    """Somebody who did three solves alike, an OLL and a PLL in one look each."""
    user = make_user()
    make_upload(user, [make_row(*ONE_LOOK, gap_ms=gap) for gap in (120, 130, 140)])
    return user


def shown(actor, only: Only) -> list[CaseId]:
    report = case_map(actor=actor, now=NOW, only=only)
    return [
        CaseId.read(one.case.stage, one.case.number)
        for family in report.families
        for one in family.cases
    ]


def by_word(actor) -> set[str]:
    report = case_map(actor=actor, now=NOW)
    return {
        one.case.code for family in report.families for one in family.cases if one.is_known_by_word
    }


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


def test_all_cases_stand_once_each_in_their_family(member):
    report = case_map(actor=member, now=NOW)
    assert sorted(shown(member, Only.ALL), key=str) == sorted(CASES, key=str)
    for family in report.families:
        for one in family.cases:
            case = CASES[CaseId.read(one.case.stage, one.case.number)]
            assert (family.stage, family.name) == (case.id.stage, case.family)
    assert [family.stage for family in report.families] == sorted(
        family.stage for family in report.families
    )


def test_a_choice_shows_as_many_as_it_says(member):
    counts = {count.only: count.n for count in case_map(actor=member, now=NOW).counts}
    assert counts.pop(Only.NEXT) is None
    expected = {"all": 78, "unmet": 76, "one-look": 2, "two-look": 0, "fluent": 0}
    assert counts == expected | {"homework": 0, "mistaken": 0}
    assert {only: len(shown(member, only)) for only in counts} == counts
    client = make_client(member)
    for query, n in (("", 78), ("?only=one-look", 2), ("?only=x", 78)):
        page = client.get(f"/cases/{query}").content.decode()
        assert len(re.findall(r'<a class="map-case"', page)) == n


def test_homework_and_what_comes_next_are_shown_where_that_is_asked():
    _, coach, (first,) = make_team()
    make_homework(coach, [first], [CASE_40, CASE_T])
    make_upload(first.user, [make_row(*ONE_LOOK)])
    assert set(shown(first.user, Only.HOMEWORK)) == {CASE_40, CASE_T}
    told = make_client(first.user).get("/next-up/").content.decode()
    for case in shown(first.user, Only.NEXT):
        assert str(CASES[case]) in told


def test_a_word_stands_apart_and_a_solve_overrules_it():
    user = make_user()
    before = cases_report(actor=user)
    known_by_word_set(actor=user, cases=[CASE_27, CASE_40], now=NOW)
    assert by_word(user) == {"oll-27", "oll-40"}
    assert cases_report(actor=user) == before  # what solves show knows nothing of it
    make_upload(user, [make_row(*ONE_LOOK)])  # an OLL 40
    assert by_word(user) == {"oll-27"}
    overruled = {one.number: one.is_overruled for one in own_words(actor=user).cases}
    assert overruled == {"27": False, "40": True}


def test_the_page_keeps_a_word_on_what_no_solve_shows_alone(member):
    client = make_client(member)
    known_by_word_set(actor=member, cases=[CASE_40], now=NOW)
    page = client.get("/cases/").content.decode()
    assert 'value="oll-27"' in page
    assert 'value="oll-40"' not in page
    sent = client.post("/cases/say/", {"case": ["oll-27", "oll-40", "oll-99"]}, follow=True)
    assert "By your own word: 1 in one look." in sent.content.decode()
    assert "by my word" in sent.content.decode()
    client.post("/cases/say/", {})
    assert [row.case for row in KnownByWord.objects.all()] == ["40"]  # it was not asked about


def test_a_word_said_again_keeps_its_day_and_is_in_the_copy():
    user = make_user()
    known_by_word_set(actor=user, cases=[CASE_27], now=NOW)
    first = KnownByWord.objects.get()
    known_by_word_set(actor=user, cases=[CASE_27, CASE_T], now=NOW.replace(year=NOW.year + 1))
    assert KnownByWord.objects.get(case="27") == first
    copied = account_copy(actor=user)["known_by_word"]
    assert [one["case"] for one in copied] == ["OLL 27", "PLL T"]
    known_by_word_set(actor=user, cases=[], now=NOW)
    assert not KnownByWord.objects.exists()


Matrix = list[float]
# ISO 216, in points of 1/72 inch.
SIZES = {"a4": (595.28, 841.89), "a3": (841.89, 1190.55)}


@pytest.mark.parametrize("paper", SIZES)
def test_the_poster_holds_every_case_on_one_page(member, paper):
    pdf = make_client(member).get(f"/cases/poster.pdf?paper={paper}")
    (page,) = PdfReader(BytesIO(pdf.content)).pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
        SIZES[paper], abs=0.1
    )
    ends = []

    def note(text: str, cm: Matrix, tm: Matrix, *_: object) -> None:
        if text.strip():
            ends.append(tm[4] * cm[1] + tm[5] * cm[3] + cm[5])

    words = page.extract_text(visitor_text=note)
    for case in CASES.values():
        assert re.search(rf"\b{case.id.number}\b", words), case.id
    assert min(ends) > 13 / 25.4 * 72 - 1  # nothing runs below the margin
    has_turns = "U2" in words
    assert has_turns == (paper == "a3")
