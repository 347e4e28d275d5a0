"""Averages, times by day or week, marks and trends, as Progress shows them."""

from datetime import UTC, date, datetime, timedelta

import pytest

from cubecore.cases import Stage
from cubecore.rows import Penalty
from logs.progress.report.progress import Choice, progress_report
from logs.progress.report.time import TimeReport
from logs.progress.services import time_mark_add
from logs.solves.models.solves import Solve
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
    single, mean, average, *rest = time_of(user).averages
    assert single.best is not None
    assert mean.latest is not None
    assert average.latest is not None
    assert average.best is not None
    assert single.best.time == f"{min(times) / 1000:.2f}"
    assert float(mean.latest.time) == pytest.approx(sum(times[2:]) / 3000, abs=0.0101)
    assert float(average.latest.time) == pytest.approx(sum(middle) / 3000, abs=0.0101)
    last = Solve.objects.order_by("done_at").last()
    assert last is not None
    assert average.latest.solve_id == average.best.solve_id == last.pk
    assert [(line.name, line.latest, line.best) for line in rest] == [
        ("Average of 12", None, None),
        ("Average of 50", None, None),
        ("Average of 100", None, None),
    ]


@pytest.mark.parametrize("gap_ms", range(150, 160))
def test_a_single_is_cut_to_the_hundredth_and_never_rounded_up(gap_ms: int):
    """WCA Regulations 9f1, as DOMAIN 7 has it; the log and the list of solves write it so too."""
    user = make_user()
    row = make_row(gap_ms=gap_ms)
    make_upload(user, [row])
    single = time_of(user).averages[0]
    assert single.best is not None
    assert single.latest is not None
    assert row.time_ms is not None
    seconds, ms = divmod(row.time_ms, 1000)
    assert single.best.time == single.latest.time == f"{seconds}.{ms // 10:02}"


def test_a_dnf_is_the_latest_single_and_the_mean_and_only_the_worst_of_five():
    """WCA Regulations 9f9 and 9f10: one DNF counts as the worst; of three it makes the mean DNF."""
    user = make_user()
    make_upload(user, five(Penalty.DNF))
    single, mean, average, *_ = time_of(user).averages
    assert single.latest is not None
    assert mean.latest is not None
    assert average.latest is not None
    assert (single.latest.time, mean.latest.time) == ("DNF", "DNF")
    assert float(average.latest.time) > 0


def test_a_period_needs_five_solves_for_a_range():
    user = make_user()
    later = [make_row(done_at=NOW + timedelta(days=1, minutes=n)) for n in range(4)]
    make_upload(user, [*five(), *later, make_row(done_at=None)], now=NOW + timedelta(days=2))
    time = time_of(user, now=NOW + timedelta(days=2))
    assert time.unit == "day"
    assert [(line.start, line.since, line.n) for line in time.periods] == [
        ("2 Mar 2026", "2026-03-02", 4),
        ("1 Mar 2026", "2026-03-01", 5),
    ]
    assert time.periods[0].band == "too few for a range"
    low, _, high = time.periods[1].band.partition(" to ")
    assert float(low) < float(time.periods[1].median) < float(high)
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
    assert (oldest.day, oldest.kind, oldest.words) == ("1 Mar 2026", "Homework set", "OLL 27 Sune")
    own = [m for m in time.marks if m.mark_id == mark.pk]
    assert [(m.day, m.kind, m.words, m.solve_id) for m in own] == [
        ("2 Mar 2026", "Own mark", "new cube", None)
    ]
    assert time.figure is not None
    drawn = str(time.figure)
    assert "new cube" in drawn
    assert "OLL 27 Sune" not in drawn  # set before the first day drawn


@pytest.mark.parametrize(
    ("factor", "words"),
    [(0.93, "still improving"), (1.0, "plateau: the same within 3%"), (1.08, "getting slower")],
)
def test_a_case_is_said_to_change_as_its_times_do_with_what_happened_meanwhile(factor, words):
    """Twelve sightings, each by ``factor`` of the one before: the sign of the change is plain."""
    user = make_user()
    rows = [
        make_row(gap_ms=round(200 * factor**n), done_at=NOW + timedelta(days=n)) for n in range(12)
    ]
    after = NOW + timedelta(days=20)
    make_upload(user, rows, now=after)
    time_mark_add(actor=user, day=date(2026, 3, 4), word="new cube", today=after.date())
    time_mark_add(actor=user, day=date(2026, 2, 1), word="long before", today=after.date())
    (line,) = time_of(user, now=after).trends
    assert (line.number, line.title, line.n, line.words) == ("27", "OLL 27 Sune", 12, words)
    assert "own mark: new cube, 4 Mar 2026" in line.marks
    assert not any("long before" in mark for mark in line.marks)
    low, _, high = line.range.replace("\N{MINUS SIGN}", "-").replace("%", "").partition(" to ")
    assert int(low) <= round(100 * (factor**10 - 1)) <= int(high) or factor == 1.0
    assert time_of(user, now=after, stage=Stage.PLL).trends[0].number == "T"


def test_seven_sightings_are_no_trend():
    user = make_user()
    rows = [make_row(done_at=NOW + timedelta(days=n)) for n in range(7)]
    make_upload(user, rows, now=NOW + timedelta(days=9))
    time = time_of(user, now=NOW + timedelta(days=9))
    assert (time.trends, time.n_judged, time.n_by_chance) == ((), 0, "0")


def test_nothing_is_a_report_too():
    time = time_of(make_user(), now=datetime(2026, 3, 1, tzinfo=UTC))
    assert (time.figure, time.periods, time.marks, time.trends) == (None, (), (), ())
    assert all(line.latest is None and line.best is None for line in time.averages)
