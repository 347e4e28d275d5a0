"""Members solve often enough for cases to come up, and pause as people do."""

from datetime import datetime, time
from random import Random
from zoneinfo import ZoneInfo

from fixtures.demo.maker.calendar import schedule
from fixtures.demo.maker.members import read_club
from logs.homework.figures import solves_until_met, usual_week, weekly_counts
from tests.demo.reading import FOLDER

CLUB = read_club(FOLDER / "club.toml")


def moments(member):
    return [moment.at for moment in schedule(member, CLUB.zone, Random(member.nickname))]


def counts_of(member):
    at = moments(member)
    now = datetime.combine(member.until, time(23, 59), ZoneInfo(CLUB.zone))
    return weekly_counts(at, since=at[0], now=now)


def test_most_members_have_a_usual_week_in_which_a_common_case_comes_up():
    """solves_until_met(4/72) is 13: ln .5 / ln(68/72) is 12.1."""
    assert solves_until_met(4 / 72) == 13
    paces = [usual_week(counts_of(member)) for member in CLUB.members]
    assert sum(pace >= 13 for pace in paces) >= len(paces) - 3  # three solve seldom


def test_there_are_weeks_without_a_solve():
    n_weeks = n_with = 0
    for member in CLUB.members:
        weeks = {(member.until - at.date()).days // 7 for at in moments(member)}
        n_weeks += max(weeks) + 1
        n_with += len(weeks)
    assert 0.6 < n_with / n_weeks < 0.95
