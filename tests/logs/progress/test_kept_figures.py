"""Figures kept under a key are never shown for a log, an engine, a book or a zone that changed."""

from datetime import timedelta
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from cubecore.algorithms import prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Stage
from logs.privacy.services import member_erase
from logs.progress.models import KeptFigures
from logs.progress.report.progress import Choice, ProgressReport, progress_report
from logs.progress.services import PACKAGES, figures_keep, figures_key, sources_digest
from logs.solves.models.solves import SetAsideRow, Sighting, Solve
from logs.solves.models.tallies import LogVersion
from logs.solves.services.relabel import solve_relabel
from logs.solves.services.tallies import tally_rebuild
from logs.solves.services.uploads import set_aside_mend
from tests.factories import NOW, SUNE, make_csv, make_rows, make_upload, make_user

pytestmark = pytest.mark.django_db


def shown(user, stage: Stage = Stage.OLL) -> ProgressReport:
    return progress_report(actor=user, choice=Choice(stage=stage), now=NOW)


def tables_read(user) -> str:
    with CaptureQueriesContext(connection) as queries:
        shown(user)
    return " ".join(query["sql"] for query in queries if query["sql"].startswith("SELECT"))


def test_a_second_look_reads_no_sighting_and_shows_the_same():
    user = make_user()
    make_upload(user, make_rows(4))
    first = shown(user)
    assert 'FROM "logs_sighting"' not in tables_read(user)
    assert shown(user) == first
    Sighting.objects.all().delete()  # behind the services' back: what is kept is still shown
    assert shown(user) == first


def test_a_new_upload_is_shown_at_once():
    user = make_user()
    for n in (4, 9, 15):
        make_upload(user, make_rows(n))
        for stage in Stage:
            report = shown(user, stage)
            assert (report.n_solves, report.n_met, report.n_split) == (n, n, n)
            assert report.cases[0].n == n
            assert sum(line.n for line in report.time.periods) == n


def test_an_upload_that_is_undone_leaves_no_trace():
    user = make_user()
    make_upload(user, make_rows(3))
    assert shown(user).n_solves == 3
    with transaction.atomic():
        make_upload(user, make_rows(5))
        assert shown(user).n_solves == 5
        transaction.set_rollback(True)
    assert shown(user).n_solves == 3


def test_a_mended_row_is_shown_at_once():
    user = make_user()
    lines = make_csv(make_rows(3)).decode().splitlines(keepends=True)
    good, bad = "".join(lines[:3]), lines[3].replace('"7.670"', '"seven"')
    make_upload(user, content=(good + bad).encode())
    assert shown(user).n_solves == 2
    (aside,) = SetAsideRow.objects.filter(upload__member=user)
    mended = set_aside_mend(actor=user, set_aside_id=aside.pk, text=lines[3].strip(), now=NOW)
    assert mended.solve is not None
    assert shown(user).n_solves == 3


def test_labels_made_anew_are_shown_at_once():
    user = make_user()
    make_upload(user, make_rows(3))
    right = shown(user)
    Sighting.objects.filter(stage="oll").update(case="26")
    tally_rebuild(member_ids=[user.pk])
    assert [line.number for line in shown(user).cases] == ["26"]
    solve_relabel()
    assert shown(user) == right
    Solve.objects.update(f2l_ms=None)
    tally_rebuild(member_ids=[user.pk])
    assert shown(user).n_split == 0


def test_whatever_a_figure_stands_on_is_in_its_key():
    sune, antisune = prove_algorithm(SUNE), prove_algorithm("R U2 R' U' R U' R'")
    case = next(case for case in CASES if len(default_book().algorithms(case)) > 1)
    first, second = default_book().algorithms(case)[:2]
    books = [Book([sune]), Book([sune, antisune]), Book([first, second]), Book([second, first])]
    keys = {figures_key(log_version=3, book=book, zone="UTC") for book in books}
    keys |= {
        figures_key(log_version=4, book=books[0], zone="UTC"),
        figures_key(log_version=3, book=books[0], zone="Europe/Lisbon"),
    }
    assert len(keys) == len(books) + 2
    assert all(len(key) <= 100 for key in keys)


def test_a_change_of_any_source_file_is_another_key(tmp_path: Path):
    for package in PACKAGES:
        copytree(package, tmp_path / package.name, ignore=ignore_patterns("static", "templates"))
    folders = [tmp_path / package.name for package in PACKAGES]
    before = sources_digest(folders)
    assert sources_digest(folders) == before == sources_digest()
    digests = {before}
    for name in ("logs/stats/grid.py", "logs/solves/figures/standing.py", "cubecore/looks.py"):
        path = tmp_path / name
        path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        digests.add(sources_digest(folders))
    (tmp_path / "logs/stats/another.py").touch()
    digests.add(sources_digest(folders))
    assert len(digests) == 5


def test_figures_of_two_members_are_apart():
    one, other = make_user(), make_user()
    make_upload(one, make_rows(2))
    make_upload(other, make_rows(5))
    assert (shown(one).n_solves, shown(other).n_solves) == (2, 5)
    assert LogVersion.objects.count() == 2


def test_what_came_before_is_replaced_so_that_a_member_keeps_a_row_for_each_name():
    user = make_user()
    for n in (1, 2, 3):
        make_upload(user, make_rows(n))
        shown(user)
    kept = KeptFigures.objects.filter(member=user)
    assert sorted(kept.values_list("name", flat=True)) == ["oll", "pll", "rows", "solves"]


def test_an_erased_member_leaves_no_figure_and_none_is_kept_after():
    user = make_user()
    make_upload(user, make_rows(2))
    shown(user)
    member_erase(actor=user, now=NOW + timedelta(days=1))
    assert not KeptFigures.objects.exists()
    assert not LogVersion.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_figures_of_a_member_erased_meanwhile_are_not_kept():
    user = make_user()
    user_id = user.pk
    user.delete()
    figures_keep(member_id=user_id, name="oll", key="k", content={"n": 1})
    assert not KeptFigures.objects.exists()
