"""Labels can be thrown away and come back the same."""

import pytest

from cubecore.book import Book, default_book
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services import relabel
from logs.solves.services.relabel import Relabelled, solve_relabel
from tests.factories import LAST_PAIR, make_row, make_rows, make_upload, make_user

pytestmark = pytest.mark.django_db


def _labels() -> list[dict[str, object]]:
    solves = [dict(values) for values in Solve.objects.order_by("id").values()]
    return solves + _sightings()


def _sightings() -> list[dict[str, object]]:
    names = [field.attname for field in Sighting._meta.concrete_fields if field.name != "id"]
    return list(Sighting.objects.order_by("solve", "stage").values(*names))


def test_fresh_labels_do_not_change():
    make_upload(
        make_user(),
        [*make_rows(3), make_row(is_timed=False, done_at=None), make_row("U", LAST_PAIR)],
    )
    before = _labels()
    assert solve_relabel() == Relabelled(n_solves=5, n_changed=0)
    assert _labels() == before


def test_lost_and_wrong_labels_are_made_anew_and_counted():
    make_upload(make_user(), make_rows(4))
    before = _labels()
    first, second, third, _ = Solve.objects.order_by("id")
    Solve.objects.filter(pk=first.pk).update(f2l_ms=1, pair_ms=[], cross="red")
    second.sightings.all().delete()
    third.sightings.filter(stage="pll").update(case="Aa", looks=[])
    assert solve_relabel() == Relabelled(n_solves=4, n_changed=3)
    assert _labels() == before


def test_another_book_changes_what_looks_are_called_and_the_version():
    make_upload(make_user(), make_rows(2))
    bare = Book([])
    assert solve_relabel(book=bare).n_changed == 2
    assert set(Solve.objects.values_list("book_version", flat=True)) == {bare.version}
    assert {look["known"] for one in Sighting.objects.all() for look in one.looks} == {False}
    assert solve_relabel(book=default_book()).n_changed == 2
    assert {look["known"] for one in Sighting.objects.all() for look in one.looks} == {True}


def test_a_new_version_alone_is_written_but_is_no_change():
    make_upload(make_user())
    Solve.objects.update(engine_version="0")
    assert solve_relabel().n_changed == 0
    assert Solve.objects.get().engine_version != "0"


def test_a_solve_the_engine_takes_no_longer_keeps_its_labels_and_is_named():
    make_upload(make_user(), make_rows(2))
    bad = Solve.objects.earliest("done_at")
    Solve.objects.filter(pk=bad.pk).update(solution_turns=b"", turn_gaps=None)
    before = _labels()
    assert solve_relabel() == Relabelled(n_solves=2, n_changed=0, refused=(bad.pk,))
    assert _labels() == before


def test_relabelling_reads_no_text(django_assert_max_num_queries):
    make_upload(make_user(), [*make_rows(3), make_row("U", LAST_PAIR)])
    Solve.objects.update(f2l_ms=1)
    with django_assert_max_num_queries(100) as seen:
        assert solve_relabel().n_changed == 4
    asked = " ".join(query["sql"] for query in seen.captured_queries)
    assert '"solution_turns"' in asked
    for text in ("scramble", "solution", "turn_ms", "note"):
        assert f'"{text}"' not in asked


def test_turns_that_are_not_kept_yet_are_read_from_the_texts_and_kept():
    make_upload(
        make_user(),
        [*make_rows(2), make_row("M2 U M2 U2 M2 U M2"), make_row(is_timed=False, done_at=None)],
    )
    before = _labels()
    assert all(one["scramble_turns"] for one in before[:4])
    Solve.objects.update(scramble_turns=None, solution_turns=None, turn_gaps=None)
    assert solve_relabel() == Relabelled(n_solves=4, n_changed=0)
    assert _labels() == before


def test_a_text_that_is_no_longer_read_is_named_and_the_solve_kept():
    make_upload(make_user(), make_rows(2))
    bad = Solve.objects.earliest("done_at")
    Solve.objects.filter(pk=bad.pk).update(
        scramble_turns=None, solution_turns=None, turn_gaps=None, solution="R Q"
    )
    before = _labels()
    assert solve_relabel() == Relabelled(n_solves=2, n_changed=0, refused=(bad.pk,))
    assert _labels() == before


def test_batches_add_up(monkeypatch):
    monkeypatch.setattr(relabel, "BATCH", 2)
    make_upload(make_user(), make_rows(5))
    seen: list[int] = []
    done = solve_relabel(progress=lambda so_far: seen.append(so_far.n_solves))
    assert seen == [2, 4, 5]
    assert done.n_solves == 5
