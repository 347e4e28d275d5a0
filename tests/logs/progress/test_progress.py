import json

import pandas as pd
import pytest

from cubecore.book import default_book
from cubecore.replay import replay_row
from cubecore.rows import Penalty
from logs.progress.charts import cases_figure, shares_figure
from logs.progress.figures.cases import CaseOrder
from logs.progress.report.progress import Choice, LooksChoice, SolvePart, progress_report
from logs.stats.grid import pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_row, make_upload, make_user

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"


def timed_rows():
    """Sunes and Antisunes of growing gaps, an untimed one, a DNF and a drill."""
    rows = [make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=103 + 10 * k) for k in range(7)]
    rows += [make_row(LAST_PAIR, ANTISUNE, T_PERM, gap_ms=203 + 10 * k) for k in range(2)]
    rows += [
        make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=155, is_timed=False),
        make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=90, penalty=Penalty.DNF),
        make_row(SUNE, T_PERM, gap_ms=903),
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
    blocks = [ago for ago, stage in zip(blocks_ago(len(met)), met, strict=True) if stage in timed]
    pooled = pooled_times(case_sums(times, blocks=blocks))
    assert pooled is not None
    for line in report.cases:
        assert line.n == sum(str(stage.case) == line.number for stage in met)
        assert line.n_timed == (times.index == line.number).sum()
        row = pooled.table().to_dict("index")[line.number]
        assert line.recognition is not None
        found_range = line.recognition.range_ms
        assert line.recognition.centre_ms == pytest.approx(row["centre_ms"])
        assert (found_range.low, found_range.high) == pytest.approx((row["low_ms"], row["high_ms"]))
        assert line.recognition.is_known == row["is_known"]
    assert [line.number for line in report.cases] == ["26", "27"]
    assert (report.n_solves, report.n_drills, report.n_split) == (11, 1, 9)
    assert report.n_met == 11


def test_shares_add_up_to_one():
    user = make_user()
    make_upload(user, timed_rows())
    report = progress_report(actor=user, choice=Choice(), now=NOW)
    assert [line.part for line in report.shares] == list(SolvePart)
    assert sum(line.share for line in report.shares) == pytest.approx(1)


def test_one_look_is_counted_with_its_range():
    user = make_user()
    make_upload(user, [*timed_rows(), make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)])
    found = progress_report(actor=user, choice=Choice(), now=NOW).one_look
    assert (found.n_hits, found.n) == (11, 12)
    assert found.share == pytest.approx(11 / 12)
    assert found.range.low < 11 / 12 < found.range.high <= 1


def test_one_look_times_leave_misfires_out_and_counts_whole():
    user = make_user()
    slow = make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM, gap_ms=403)
    make_upload(user, [make_row(gap_ms=101 + k) for k in range(3)] + [slow])
    one = progress_report(actor=user, choice=Choice(), now=NOW).cases[0]
    more = progress_report(actor=user, choice=Choice(looks=LooksChoice.MORE), now=NOW).cases[0]
    assert (more.n, more.n_timed, one.n, one.n_timed) == (4, 1, 4, 3)
    assert more.n_one_look == one.n_one_look == 3
    for line in (one, more):  # both stand beside one another, whichever is chosen
        assert line.in_one_look is not None
        assert line.in_more_looks is not None
        assert line.in_one_look.centre_ms < line.in_more_looks.centre_ms


def test_the_figure_of_cases_is_plain_json_in_the_order_of_the_table():
    user = make_user()
    make_upload(user, timed_rows())
    report = progress_report(actor=user, choice=Choice(), now=NOW)
    figure = cases_figure(report.cases)
    assert figure is not None
    rows = json.loads(json.dumps(figure))["layout"]["yaxis"]["categoryarray"]
    assert [row.split(" · ")[0] for row in rows] == ["OLL 27", "OLL 26"]
    assert [line.number for line in report.cases] == ["27", "26"]


def test_nothing_is_a_report_too():
    report = progress_report(actor=make_user(), choice=Choice(), now=NOW)
    assert shares_figure(report.shares) is None
    assert cases_figure(report.cases) is None
    assert (report.one_look.n, report.one_look.share, report.coverage) == (0, None, None)
    assert len(report.unmet) == report.n_cases == report.n_unmet_expected == 57
    assert report.n_unmet_sd == 0


def test_two_solves_far_apart_in_time_are_one_log():
    user = make_user()
    make_upload(user, [make_row(done_at=NOW), make_row(done_at=None)])
    assert progress_report(actor=user, choice=Choice(), now=NOW).n_solves == 2
