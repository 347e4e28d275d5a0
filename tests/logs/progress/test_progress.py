import pandas as pd
import pytest

from cubecore.book import default_book
from cubecore.replay import replay_row
from cubecore.rows import Penalty
from logs.progress.figures.cases import CaseOrder
from logs.progress.report.lines import rate_words
from logs.progress.report.progress import Choice, progress_report
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from logs.stats.rates import rate
from logs.words import estimate
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_row, make_upload, make_user

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"


def timed_rows():
    """Sunes and Antisunes of growing gaps, an untimed one, a DNF and a drill."""
    rows = [make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=100 + 10 * k) for k in range(7)]
    rows += [make_row(LAST_PAIR, ANTISUNE, T_PERM, gap_ms=200 + 10 * k) for k in range(2)]
    rows += [
        make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=155, is_timed=False),
        make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=90, penalty=Penalty.DNF),
        make_row(SUNE, T_PERM, gap_ms=900),
    ]
    return rows


def test_the_figures_are_those_of_replaying_every_row_by_itself():
    # Slow twin: each row replayed on its own, pooled from plain lists.
    user = make_user()
    rows = timed_rows()
    make_upload(user, rows)
    report = progress_report(actor=user, choice=Choice(order=CaseOrder.NUMBER), now=NOW)
    found = [replay_row(row, default_book()) for row in rows]
    met = [one.oll for one in found if one.kind == "solve" and one.oll]
    timed = [stage for stage in met if stage.recognition_ms is not None]
    times = pd.Series(
        [float(stage.recognition_ms or 0) for stage in timed],
        index=[str(stage.case) for stage in timed],
    )
    pooled = pooled_times(case_sums(times))
    assert pooled is not None
    for line in report.cases:
        assert line.n == sum(str(stage.case) == line.number for stage in met)
        assert line.n_timed == (times.index == line.number).sum()
        row = pooled.table().to_dict("index")[line.number]
        time, band = estimate(row["centre_ms"], row["low_ms"], row["high_ms"])
        assert line.recognition.band == band
        assert line.recognition.time == (time if row["is_known"] else "not known yet")
    assert [line.number for line in report.cases] == ["26", "27"]
    assert (report.n_solves, report.n_drills, report.n_split) == (11, 1, 9)
    assert report.n_met == 11


def test_shares_add_up_to_a_hundred_but_for_rounding():
    user = make_user()
    make_upload(user, timed_rows())
    report = progress_report(actor=user, choice=Choice(), now=NOW)
    assert [line.name for line in report.shares][:2] == ["Cross", "Pairs"]
    assert abs(sum(line.share_pct for line in report.shares) - 100) <= 3


def test_one_look_is_counted_with_its_range():
    user = make_user()
    make_upload(user, [*timed_rows(), make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)])
    found = progress_report(actor=user, choice=Choice(), now=NOW).one_look
    assert found is not None
    assert (found.n_hits, found.n, found.pct) == (11, 12, 92)
    assert found.low_pct < found.pct < found.high_pct <= 100


def test_one_look_times_leave_misfires_out_and_counts_whole():
    user = make_user()
    slow = make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM, gap_ms=400)
    make_upload(user, [make_row(gap_ms=100 + k) for k in range(3)] + [slow])
    every = progress_report(actor=user, choice=Choice(), now=NOW).cases[0]
    one = progress_report(actor=user, choice=Choice(one_look_only=True), now=NOW).cases[0]
    assert (every.n, every.n_timed, one.n, one.n_timed) == (4, 4, 4, 3)
    assert every.n_one_look == one.n_one_look == 3


def test_the_figure_of_cases_is_plain_json_in_the_order_of_the_table():
    user = make_user()
    make_upload(user, timed_rows())
    report = progress_report(actor=user, choice=Choice(), now=NOW)
    assert report.cases_figure is not None
    rows = report.cases_figure["layout"]["yaxis"]["categoryarray"]
    assert [row.split(" · ")[0] for row in rows] == ["OLL 27", "OLL 26"]
    assert [line.number for line in report.cases] == ["27", "26"]


def test_nothing_is_a_report_too():
    report = progress_report(actor=make_user(), choice=Choice(), now=NOW)
    assert report.shares_figure is None
    assert report.cases_figure is None
    assert report.one_look is None
    assert len(report.unmet) == report.n_cases == report.n_unmet_expected == 57
    assert report.n_unmet_sd == "0.0"


def test_two_solves_far_apart_in_time_are_one_log():
    user = make_user()
    make_upload(user, [make_row(done_at=NOW), make_row(done_at=None)])
    assert progress_report(actor=user, choice=Choice(), now=NOW).n_solves == 2


@pytest.mark.parametrize(
    ("n_hits", "n", "pct"), [(0, 5, 0), (5, 5, 100), (489, 490, 99), (1, 490, 1), (1, 3, 33)]
)
def test_a_hundred_per_cent_means_all_and_nought_means_none(n_hits: int, n: int, pct: int):
    said = rate_words(rate(n_hits, n))
    assert said is not None
    assert said.pct == pct
