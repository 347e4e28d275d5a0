"""A case in the club week by week, held against a plain pandas recount of its sightings.

Expected are pandas' own groupby, sum and quantile of the same sightings.
"""

import random
from datetime import UTC, datetime, timedelta

import pandas as pd
import pytest

from cubecore.rows import Row
from logs.club.page import weeks_figure
from logs.club.report.weeks import HALF, WEEKS_SHOWN, CaseMet, ClubCaseReport, club_case_report
from logs.club.words import weeks_name
from logs.errors import NotFoundError
from logs.people.models import Role, Visibility
from logs.solves.selectors.frames import sighting_frame
from logs.stats.sketch import ALPHA
from tests.desk import DRILL, ONE_LOOK, TWO_LOOKS
from tests.factories import LAST_PAIR, SUNE, make_club, make_membership, make_row, make_upload

pytestmark = pytest.mark.django_db

AT = datetime(2026, 11, 18, 12, 0, tzinfo=UTC)
"""A Wednesday: what is dated later in its week stands in it too."""
THIS_WEEK = pd.Timestamp("2026-11-16")
FEW = 5
GIVEN_UP = (LAST_PAIR, ONE_LOOK[1])  # the PLL is never looked at


def a_log(rng: random.Random, n: int, *, is_timed: bool = True) -> list[Row]:
    """Solves in one look, in two, given up and undated, over more weeks than are shown; drills."""
    kinds = (ONE_LOOK, ONE_LOOK, (LAST_PAIR, SUNE, ONE_LOOK[2]), TWO_LOOKS, GIVEN_UP, DRILL)
    ago = [timedelta(weeks=int(16 * rng.random() ** 2), hours=rng.randrange(60)) for _ in range(n)]
    dates = [THIS_WEEK.tz_localize(UTC) + timedelta(days=3) - one for one in ago]
    return [
        make_row(
            *rng.choice(kinds),
            gap_ms=rng.randrange(70, 300),
            is_timed=is_timed,
            done_at=None if place % 10 == 0 else date.to_pydatetime(),
        )
        for place, date in enumerate(dates)
    ]


@pytest.fixture
def club():
    """A coach who solves nothing, three who show their log, one of them without times, and a hider."""
    rng = random.Random(20261118)
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    shown = [make_membership(club, visibility=Visibility.COACH) for _ in range(3)]
    for member in shown:
        make_upload(member.user, a_log(rng, 50, is_timed=member is not shown[-1]))
    make_upload(make_membership(club).user, a_log(rng, 20))
    return coach, shown


def sightings(shown) -> pd.DataFrame:
    """The members' sightings of solves in the weeks shown, with the Monday of each."""
    frames = [
        sighting_frame(actor=one.user, member=one.user).assign(member=one.display_name)
        for one in shown
    ]
    frame = pd.concat(frames).dropna(subset="done_at")
    utc = frame["done_at"].dt.tz_convert("UTC").dt.tz_localize(None)
    frame["week"] = utc.dt.to_period("W-SUN").dt.start_time
    first = THIS_WEEK - timedelta(weeks=WEEKS_SHOWN - 1)
    return frame[(frame["week"] >= first) & (frame["week"] <= THIS_WEEK)]


def check(figures: CaseMet, met: pd.DataFrame) -> None:
    looked, hit = met[met["n_looks"] > 0], met[met["is_one_look"]]
    timed = hit[(hit["recognition_ms"] > 0) & (hit["execution_ms"] > 0)]
    counts = (figures.n, figures.n_looked, figures.n_one_look, figures.n_timed)
    assert counts == (len(met), len(looked), len(hit), len(timed))
    if len(looked) < FEW:
        assert figures.one_look_share is None
    else:
        assert figures.one_look_share == pytest.approx(len(hit) / len(looked))
    for part in ("recognition", "execution"):
        times = getattr(figures, part)
        if len(timed) < FEW:
            assert times is None
            continue
        low, median, high = timed[f"{part}_ms"].quantile([0.1, 0.5, 0.9])
        found = times.median_ms, times.range_ms.low, times.range_ms.high
        assert found == pytest.approx((median, low, high), rel=1.001 * ALPHA)
        assert times.range_ms.level == 0.8


def check_chart(report: ClubCaseReport) -> None:
    """A dot for each week that is told, oldest first, and none for others."""
    medians = [
        times.median_ms for line in reversed(report.weeks) if (times := line.met.recognition)
    ]
    figure = weeks_figure(report)
    assert (figure is not None) == (len(medians) > 1)
    if figure is not None:
        dots, few = figure["data"]
        assert dots["y"] == pytest.approx([median / 1000 for median in medians], abs=0.0006)
        assert few["x"] == []


def report_of(actor, slug: str, stage: str, number: str, **choice) -> ClubCaseReport:
    return club_case_report(actor=actor, slug=slug, stage=stage, number=number, now=AT, **choice)


def test_every_line_equals_a_recount_of_the_sightings(club):
    coach, shown = club
    frame = sightings(shown)
    n_told = 0
    for stage, number in (("pll", "T"), ("oll", "40"), ("oll", "27")):
        report = report_of(coach.user, coach.club.slug, stage, number)
        met = frame[(frame["stage"] == stage) & (frame["case"] == number)]
        assert report.n == len(met) > 0
        weeks = [THIS_WEEK - timedelta(weeks=ago) for ago in range(WEEKS_SHOWN)]
        assert [(line.first_on, line.n_weeks) for line in report.weeks] == [
            (week.date(), 1) for week in weeks
        ]
        for line, week in zip(report.weeks, weeks, strict=True):
            of_week = met[met["week"] == week]
            assert line.n_members == of_week["member"].nunique()
            check(line.met, of_week)
            n_told += line.met.recognition is not None
        later = met["week"] > THIS_WEEK - timedelta(weeks=HALF)
        for line, of_half in zip(report.halves, (met[later], met[~later]), strict=True):
            assert line.n_members == of_half["member"].nunique()
            check(line.met, of_half)
        lines = {line.member.name: line.met for line in report.members}
        assert set(lines) == {one.display_name for one in (coach, *shown)}
        for name, figures in lines.items():
            check(figures, met[met["member"] == name])
        check_chart(report)
        names = [weeks_name(line, report.weeks[0]) for line in (*report.halves, report.weeks[0])]
        assert names == ["The last 6 weeks", "The 6 weeks before", "16 Nov 2026"]
    assert n_told > 5  # so that medians were compared, not dashes alone


def test_members_stand_by_name_or_by_letter_and_the_case_is_asked_of_coaches_alone(club):
    coach, shown = club
    slug = coach.club.slug
    named = [line.member.name for line in report_of(coach.user, slug, "pll", "T").members]
    assert named == sorted(named)
    hidden = report_of(coach.user, slug, "pll", "T", hides_names=True)
    assert [line.member.name for line in hidden.members][:2] == ["Member A", "Member B"]
    with pytest.raises(NotFoundError):
        report_of(shown[0].user, slug, "pll", "T")
    with pytest.raises(NotFoundError):
        report_of(coach.user, slug, "pll", "27")
