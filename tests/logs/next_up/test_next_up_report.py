"""The list and the coach's word on it: kept over recomputation, exactly undone when withdrawn."""

import re
from datetime import timedelta

import numpy as np
import pytest
from scipy.stats import norm

from logs.errors import NotFoundError
from logs.next_up.models import Override
from logs.next_up.order import Candidate, OverrideKind, Rule, next_up
from logs.next_up.report import NextUpReport, next_up_report, saving_of
from logs.next_up.services import override_set, override_withdraw
from logs.next_up.words import (
    coach_words,
    line_figures,
    next_answer,
    per_hour_words,
    reason_words,
    saving_bar,
    saving_words,
)
from logs.people.models import Visibility
from logs.solves.models.solves import Solve
from logs.solves.services.relabel import solve_relabel
from logs.stats import Range
from tests.desk import CASE_27, CASE_40, DAY, make_homework, make_team, solves
from tests.factories import NOW, make_membership, make_upload

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(days=30)


@pytest.fixture
def team():
    club, coach, (member,) = make_team()
    make_upload(member.user, solves("0000"))
    return club, coach, member


def report_of(coach, member) -> NextUpReport:
    return next_up_report(actor=coach.user, membership_id=member.pk, now=LATER)


def order(report: NextUpReport) -> list[str]:
    return [line.taught.code for line in (*report.now, *report.later)]


def say(coach, member, case, kind, place=None) -> Override:
    return override_set(
        actor=coach.user,
        membership_id=member.pk,
        case=case,
        kind=kind,
        place=place,
        reason="You asked.",
        now=NOW,
    )


def test_a_word_survives_a_hundred_recomputations_and_leaves_no_trace(team):
    _, coach, member = team
    before = order(report_of(coach, member))
    words = [
        say(coach, member, CASE_27, OverrideKind.SKIP),
        say(coach, member, CASE_40, OverrideKind.PIN),
    ]
    first = report_of(coach, member)
    for _ in range(99):
        assert report_of(coach, member) == first
    assert order(first)[0] == "oll-40"
    assert "oll-27" not in order(first)
    assert [line.taught.code for line in first.skipped] == ["oll-27"]
    for word in words:
        override_withdraw(actor=coach.user, membership_id=member.pk, override_id=word.pk, now=LATER)
    assert order(report_of(coach, member)) == before


def test_a_pin_survives_another_engine_that_labels_everything_anew(team):
    """The word is kept, and taking it back leaves the model's order."""
    _, coach, member = team
    before = order(report_of(coach, member))
    word = say(coach, member, CASE_40, OverrideKind.PIN)
    assert order(report_of(coach, member)) != before
    Solve.objects.update(engine_version="0")
    assert solve_relabel().n_solves == Solve.objects.count()
    assert not Solve.objects.filter(engine_version="0").exists()
    assert order(report_of(coach, member))[0] == "oll-40"
    override_withdraw(actor=coach.user, membership_id=member.pk, override_id=word.pk, now=LATER)
    assert order(report_of(coach, member)) == before


def test_a_case_that_one_look_would_slow_down_is_shown_with_its_chance():
    """The chance is that of a normal gap, by scipy."""
    slower = Candidate("oll-40", 4 / 216, 1.0, 9.0, 2000.0, 300.0, 2400.0, 200.0)
    faster = Candidate("oll-27", 4 / 216, 1.0, 9.0, 3000.0, 300.0, 2000.0, 200.0)
    rows = next_up([slower, faster], rng=np.random.default_rng(1)).to_dict("index")
    saving = saving_of(rows["oll-40"])
    assert saving is not None
    assert saving.per_solve_ms < 0
    assert saving.gain_chance == pytest.approx(norm.sf(400 / np.hypot(300, 200)), abs=0.02)
    assert re.fullmatch(r"no gain expected, \d+ chances in 100 of one", saving_words(saving))
    saving = saving_of(rows["oll-27"])
    assert saving is not None
    assert saving.range_ms.low < faster.value_ms < saving.range_ms.high
    assert saving.per_hour_ms == pytest.approx(faster.value_ms)  # it takes one hour
    assert per_hour_words(saving) == "1.7\u00a0s for each hour"
    assert saving_words(saving).startswith("1.7\u00a0s (")
    bar = saving_bar(saving, Range(low=0.0, high=2 * saving.range_ms.high, level=0.8))
    assert (bar.zero, bar.high) == (0.0, 100.0)
    assert bar.low < bar.width < bar.high


def test_a_word_comes_with_its_reason(team):
    _, coach, member = team
    say(coach, member, CASE_40, OverrideKind.MOVE, 3)
    own = next_up_report(actor=member.user, now=LATER)
    (line,) = [one for one in (*own.now, *own.later) if one.taught.code == "oll-40"]
    assert line.word is not None
    assert (line.word.kind, line.word.place, line.word.reason) == (
        OverrideKind.MOVE,
        3,
        "You asked.",
    )
    assert (line.word.on, coach_words(line.word)) == (NOW.date(), "moved to place 3")
    assert not own.is_coach


def test_each_line_says_its_figures_with_their_counts(team):
    _, coach, member = team
    report = report_of(coach, member)
    (line,) = [one for one in (*report.now, *report.later) if one.taught.code == "oll-40"]
    assert (line.n_one_look, line.n, line.now_ms, line.saving) == (0, 4, None, None)
    assert line_figures(line) == ("1 in 54 solves", "0 of 4 in one look")
    assert next_answer(line) == f"Next: {line.taught.title}. It comes up once in 54 solves."


def test_look_alikes_are_not_started_together(team):
    _, coach, member = team
    say(coach, member, CASE_27, OverrideKind.PIN)
    report = report_of(coach, member)
    assert "oll-26" not in [line.taught.code for line in report.now]
    waiting = [line for line in report.later if line.taught.code == "oll-26"]
    assert waiting[0].reasons[-1].rule is Rule.LOOK_ALIKES_APART
    assert reason_words(waiting[0].reasons[-1]) == "it looks like OLL 27 Sune, which comes first"


def test_open_homework_takes_the_places(team):
    _, coach, member = team
    make_homework(coach, [member], (CASE_40, CASE_27))
    report = report_of(coach, member)
    assert {line.taught.code for line in report.now} == {"oll-40", "oll-27"}
    assert all(line.is_open for line in report.now)


def test_a_clubmate_sees_a_list_only_where_the_log_is_shown(team):
    club, _, member = team
    mate = make_membership(club)
    with pytest.raises(NotFoundError):
        report_of(mate, member)
    member.visibility = Visibility.CLUB
    member.save()
    assert not report_of(mate, member).is_coach


def test_an_empty_log_makes_no_list_up():
    _, coach, (member,) = make_team()
    report = report_of(coach, member)
    assert report.n_sightings == 0
    assert not report.has_times


def test_words_of_two_clubs_on_one_case_do_not_clash(team):
    _, coach, member = team
    other_club, other_coach, _ = make_team()
    again = make_membership(other_club, member.user, visibility=Visibility.COACH)
    say(coach, member, CASE_40, OverrideKind.PIN)
    override_set(
        actor=other_coach.user,
        membership_id=again.pk,
        case=CASE_40,
        kind=OverrideKind.SKIP,
        reason="Later.",
        now=NOW + DAY,
    )
    own = next_up_report(actor=member.user, now=LATER)
    assert [line.taught.code for line in own.skipped] == ["oll-40"]
    assert order(report_of(coach, member))[0] == "oll-40"


def test_a_clubmate_is_told_nothing_of_homework_and_of_the_coach_s_words(team):
    club, coach, member = team
    member.visibility = Visibility.CLUB
    member.save()
    clubmate = make_membership(club)
    plain = report_of(clubmate, member)
    say(coach, member, CASE_27, OverrideKind.SKIP)
    say(coach, member, CASE_40, OverrideKind.MOVE, 2)
    make_homework(coach, [member], [CASE_40])
    assert report_of(clubmate, member) == plain
    for reader, report in (
        (coach, report_of(coach, member)),
        (member, next_up_report(actor=member.user, now=LATER)),
    ):
        lines = [*report.now, *report.later, *report.skipped]
        assert {line.word.reason for line in lines if line.word} == {"You asked."}, reader
        assert [line.taught.code for line in lines if line.is_open] == ["oll-40"], reader
