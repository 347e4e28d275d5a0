"""Averages, times by day or week, marks and trends, as Progress shows them."""

from datetime import UTC, date, datetime, timedelta

import pytest

from cubecore.cases import Stage
from cubecore.rows import Penalty
from logs.progress.report.progress import Choice, progress_report
from logs.progress.report.time import MarkKind, TimeReport
from logs.progress.services import time_mark_add
from logs.progress.time_charts import over_time_figure
from logs.solves.models.solves import Solve
from logs.stats.curves import TrendState
from tests.desk import CASE_27, make_homework, make_team
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_row, make_upload, make_user

pytestmark = pytest.mark.django_db

OTHER_SUNE = "y' R' U' R U' R' U2 R"  # OLL 26, so that one file holds two cases
GAPS_MS = (100, 140, 120, 160, 130)


def time_of(user, *, now: datetime = NOW, stage: Stage = Stage.OLL) -> TimeReport:
    return progress_report(actor=user, choice=Choice(stage=stage), now=now).time


def five(penalty: Penalty = Penalty.NONE):
    """Five solves a minute apart; the last with ``penalty``."""
    return [
        make_row(
            gap_ms=gap_ms,
            done_at=NOW + timedelta(minutes=n),
            penalty=penalty if n == 4 else Penalty.NONE,
        )
        for n, gap_ms in enumerate(GAPS_MS)
    ]


def test_an_average_of_five_leaves_out_the_best_and_the_worst():
    """WCA Regulations 9f8: the mean of the three others; 9f1: averages to the nearest hundredth."""
    user = make_user()
    rows = five()
    make_upload(user, rows)
    times = [(row.time_ms or 0) // 10 * 10 for row in rows]  # 9f1: solves are cut to hundredths
    middle = sorted(times)[1:4]
    single, mean, average = time_of(user).results
    assert single.best is not None
    assert mean.latest is not None
    assert average.latest is not None
    assert average.best is not None
    assert single.best.time_ms == min(times)
    assert mean.latest.time_ms == pytest.approx(sum(times[2:]) / 3, abs=5.1)
    assert average.latest.time_ms == pytest.approx(sum(middle) / 3, abs=5.1)
    last = Solve.objects.order_by("done_at").last()
    assert last is not None
    assert average.latest.solve_id == average.best.solve_id == last.pk


@pytest.mark.parametrize("gap_ms", range(150, 160))
def test_a_single_is_cut_to_the_hundredth_and_never_rounded_up(gap_ms: int):
    """WCA Regulations 9f1 (from memory); the log and the list of solves write it so too."""
    user = make_user()
    row = make_row(gap_ms=gap_ms)
    make_upload(user, [row])
    single = time_of(user).results[0]
    assert single.best is not None
    assert single.latest is not None
    assert row.time_ms is not None
    assert single.best.time_ms == single.latest.time_ms == row.time_ms - row.time_ms % 10


def test_a_dnf_is_the_latest_single_and_the_mean_and_only_the_worst_of_five():
    """WCA Regulations 9f9 and 9f10: one DNF counts as the worst; of three it makes the mean DNF."""
    user = make_user()
    make_upload(user, five(Penalty.DNF))
    single, mean, average = time_of(user).results
    assert single.latest is not None
    assert mean.latest is not None
    assert average.latest is not None
    assert (single.latest.time_ms, mean.latest.time_ms) == (None, None)
    assert average.latest.time_ms is not None


def test_the_median_of_the_newest_hundred_counts_a_dnf_as_the_slowest():
    """Order statistics by hand: of five the third; 93.75 % between first and fifth (Conover 1999)."""
    user = make_user()
    make_upload(user, five())
    times = sorted(row.time_ms or 0 for row in five())
    recent = time_of(user).recent
    assert recent is not None
    assert recent.range_ms is not None
    assert (recent.n, recent.n_dnf, recent.median_ms) == (5, 0, times[2])
    assert (recent.range_ms.low, recent.range_ms.high) == (times[0], times[4])
    assert recent.range_ms.level == pytest.approx(0.9375)
    other = make_user()
    make_upload(other, five(Penalty.DNF))
    rest = sorted(row.time_ms or 0 for row in five()[:4])
    recent = time_of(other).recent
    assert recent is not None
    assert (recent.n, recent.n_dnf, recent.median_ms, recent.range_ms) == (5, 1, rest[2], None)


def test_a_period_needs_five_solves_for_a_range():
    user = make_user()
    later = [make_row(done_at=NOW + timedelta(days=1, minutes=n)) for n in range(4)]
    make_upload(user, [*five(), *later, make_row(done_at=None)], now=NOW + timedelta(days=2))
    time = time_of(user, now=NOW + timedelta(days=2))
    assert time.unit == "day"
    assert [(line.start, line.n) for line in time.periods] == [
        (date(2026, 3, 2), 4),
        (date(2026, 3, 1), 5),
    ]
    assert time.periods[0].range_ms is None
    span = time.periods[1].range_ms
    assert span is not None
    assert span.low < time.periods[1].median_ms < span.high
    assert time.n_undated == 1


def test_marks_of_every_kind_stand_in_order_each_with_what_it_is_about():
    _, coach, (member,) = make_team()
    make_homework(coach, [member], (CASE_27,))  # set at NOW
    other = [make_row(LAST_PAIR, OTHER_SUNE, T_PERM, done_at=NOW + timedelta(days=1))]
    again = [
        make_row(LAST_PAIR, SUNE, T_PERM, done_at=NOW + timedelta(days=2, minutes=n))
        for n in range(2)
    ]
    make_upload(member.user, other + again, now=NOW + timedelta(days=9))
    mark, _ = time_mark_add(
        actor=member.user, day=date(2026, 3, 2), word="new cube", today=date(2026, 3, 9)
    )
    time = time_of(member.user, now=NOW + timedelta(days=9))
    oldest = time.marks[-1]
    assert (oldest.day, oldest.kind) == (date(2026, 3, 1), MarkKind.HOMEWORK)
    assert [case.title for case in oldest.cases] == ["OLL 27 Sune"]
    own = [m for m in time.marks if m.mark_id == mark.pk]
    assert [(m.day, m.kind, m.word, m.solve_id) for m in own] == [
        (date(2026, 3, 2), MarkKind.OWN, "new cube", None)
    ]
    drawn = str(over_time_figure(time.periods, time.marks, unit=time.unit))
    assert "new cube" in drawn
    assert "OLL 27 Sune" not in drawn  # set before the first day drawn


@pytest.mark.parametrize(
    ("factor", "state"),
    [(0.93, TrendState.IMPROVING), (1.0, TrendState.PLATEAU), (1.08, TrendState.SLOWING)],
)
def test_a_case_is_said_to_change_as_its_times_do_with_what_happened_meanwhile(factor, state):
    """Twelve sightings, each by ``factor`` of the one before: the sign of the change is plain."""
    user = make_user()
    rows = [
        make_row(gap_ms=round(203 * factor**n), done_at=NOW + timedelta(days=n)) for n in range(12)
    ]
    after = NOW + timedelta(days=20)
    make_upload(user, rows, now=after)
    time_mark_add(actor=user, day=date(2026, 3, 4), word="new cube", today=after.date())
    time_mark_add(actor=user, day=date(2026, 2, 1), word="long before", today=after.date())
    first_day = date(2026, 3, 1)
    time_mark_add(actor=user, day=first_day, word="on the first day", today=after.date())
    (line,) = time_of(user, now=after).trends
    assert (line.case.number, line.case.title, line.n, line.state) == (
        "27",
        "OLL 27 Sune",
        12,
        state,
    )
    words = [mark.word for mark in line.marks if mark.kind is MarkKind.OWN]
    assert words == ["on the first day", "new cube"]
    assert line.change.low <= factor**10 - 1 + 1e-3
    assert line.change.high >= factor**10 - 1 - 1e-3
    assert time_of(user, now=after, stage=Stage.PLL).trends[0].case.number == "T"


def test_seven_sightings_are_no_trend():
    user = make_user()
    rows = [make_row(done_at=NOW + timedelta(days=n)) for n in range(7)]
    make_upload(user, rows, now=NOW + timedelta(days=9))
    time = time_of(user, now=NOW + timedelta(days=9))
    assert (time.trends, time.n_by_chance) == ((), 0)


def test_nothing_is_a_report_too():
    time = time_of(make_user(), now=datetime(2026, 3, 1, tzinfo=UTC))
    assert (time.recent, time.periods, time.marks, time.trends) == (None, (), (), ())
    assert over_time_figure(time.periods, time.marks, unit=time.unit) is None
    assert all(line.latest is None and line.best is None for line in time.results)
