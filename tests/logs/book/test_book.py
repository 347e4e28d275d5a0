"""A club's book changed by programs: the database then holds what the pages would have put there."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cubecore.cases import CaseId, Stage
from logs.algorithms.models import BookAlgorithm, TriggerName
from logs.algorithms.services import algorithm_add
from logs.book.report import book_case_report
from logs.jobs import report as jobs
from logs.jobs.models import Job, JobKind
from logs.jobs.services import job_cancel
from logs.people.models import AuditEvent, Membership, Visibility
from logs.solves.models.solves import Sighting
from logs.solves.services import relabel
from logs.solves.services.relabel import relabel_start
from tests.factories import (
    CORNER_CYCLE,
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_client,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)
from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db


@pytest.fixture
def ask(coach):
    """Posts to an address below the club's book."""
    client = program(coach.user, "manage")
    return lambda to, **sent: post(client, f"/api/v1/clubs/{coach.club.slug}/book/{to}", sent)


def texts(coach: Membership) -> list[str]:
    """What the page of the case lists."""
    report = book_case_report(actor=coach.user, slug=coach.club.slug, stage="oll", number="27")
    return [entry.facts.text for entry in report.entries]


def error_of(answer) -> tuple[int, str | None, str]:
    status, _ = refusal(answer)
    error = answer.json()["error"]
    return status, error["field"], error["message"]


def test_an_algorithm_is_added_moved_and_taken_out(coach, ask):
    before = texts(coach)
    added = ask("oll/27/algorithms", text=f"({CORNER_CYCLE})", note="for lefties")
    assert (added.status_code, added.json()) == (201, {"text": CORNER_CYCLE, "is_relabelled": True})
    row = BookAlgorithm.objects.get(club=coach.club, text=CORNER_CYCLE)
    assert (row.stage, row.case) == ("oll", "27")
    assert (row.note, row.added_by) == ("for lefties", coach.user)
    assert ask("oll/27/move", text=CORNER_CYCLE, place=1).status_code == 204
    assert texts(coach) == [CORNER_CYCLE, *before]
    taken_out = ask("oll/27/retire", text=SUNE)
    assert (taken_out.status_code, taken_out.json()["text"]) == (200, SUNE)
    assert texts(coach) == [CORNER_CYCLE, *(text for text in before if text != SUNE)]


def test_what_the_book_refuses_names_the_field_and_what_would_do(coach, ask):
    half = "R U R' U R U R'"
    status, field, words = error_of(ask("oll/27/algorithms", text=half))
    assert (status, field) == (422, "text")
    assert f"It follows {SUNE} for 5 turns" in words
    assert error_of(ask("oll/27/algorithms", text=SUNE))[0] == 409
    assert error_of(ask("oll/27/algorithms"))[:2] == (422, "text")
    assert error_of(ask("oll/27/move", text=SUNE, place=9))[:2] == (422, "place")
    status, _, words = error_of(ask("oll/27/retire", text=half))
    assert status == 409
    assert SUNE in words
    assert error_of(ask("oll/58/algorithms", text=SUNE))[0] == 404
    assert not BookAlgorithm.objects.exists()


def test_a_run_of_turns_gets_a_name_and_loses_it(coach, ask):
    named = ask("triggers", name="the  dip", turns="(R U R' U)")
    assert named.status_code == 201
    assert named.json() == {"name": "the dip", "turns": "R U R' U", "is_own": True}
    row = TriggerName.objects.get(club=coach.club)
    assert (row.name, row.turns) == ("the dip", "R U R' U")
    assert error_of(ask("triggers", name="dip", turns="R ?"))[:2] == (422, "turns")
    assert error_of(ask("triggers", name="dip", turns="R U R' U"))[0] == 409
    assert ask("triggers/forget", name="the dip").status_code == 204
    assert not TriggerName.objects.exists()
    assert error_of(ask("triggers/forget", name="the dip"))[0] == 409


def known() -> set[bool]:
    """Whether the algorithms in the members' solves are in the books these are labelled by."""
    looks = [look for one in Sighting.objects.filter(stage="oll") for look in one.looks]
    return {look["known"] for look in looks}


def test_labels_are_made_anew_by_the_book_as_it_stands(coach, ask, monkeypatch):
    make_upload(make_membership(coach.club).user, [make_row(LAST_PAIR, CORNER_CYCLE, T_PERM)])
    asked = {"actor": coach.user, "slug": coach.club.slug, "now": NOW}
    algorithm_add(**asked, case=CaseId(Stage.OLL, 27), text=CORNER_CYCLE)
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 0)
    assert ask("relabel").json() == {"is_relabelled": False}
    book = program(coach.user).get(f"/api/v1/clubs/{coach.club.slug}/book").json()
    assert (book["is_behind"], book["job"] is None, known()) == (True, False, {False})
    monkeypatch.undo()
    job_cancel(actor=coach.user, job_id=book["job"]["id"], now=NOW)
    assert ask("relabel").json() == {"is_relabelled": True}
    assert known() == {True}


def test_what_goes_on_is_begun_again_for_a_changed_book_alone(coach, ask, monkeypatch):
    make_upload(make_membership(coach.club).user, [make_row(LAST_PAIR, CORNER_CYCLE, T_PERM)])
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 0)
    begun = Job.objects.filter(kind=JobKind.RELABEL).order_by("pk")
    assert ask("relabel").json() == {"is_relabelled": True}  # nothing is behind
    assert not begun.exists()
    assert ask("oll/27/algorithms", text=CORNER_CYCLE).json()["is_relabelled"] is False
    assert [ask("relabel").json() for _ in range(2)] == [{"is_relabelled": False}] * 2
    assert [job.status for job in begun.all()] == ["queued"]
    assert ask("oll/27/retire", text=CORNER_CYCLE).json()["is_relabelled"] is False
    assert [job.status for job in begun.all()] == ["cancelled", "queued"]
    page = make_client(coach.user)
    page.post(f"/clubs/{coach.club.slug}/book/relabel/")
    assert begun.count() == 2


def test_jobs_come_by_the_page_with_as_many_queries_however_many_they_are(coach, monkeypatch):
    monkeypatch.setattr(jobs, "PAGE_SIZE", 4)
    client = program(coach.user)
    make_upload(coach.user, make_rows(3))

    def n_queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            assert client.get("/api/v1/jobs").status_code == 200
        return len(asked)

    relabel_start(member=coach.user, now=NOW, part_solves=2)
    n_queries()  # the first one notes that the token was used
    before = n_queries()
    for _ in range(4):
        relabel_start(member=coach.user, now=NOW, part_solves=2)
    assert n_queries() == before
    first, last = (client.get(f"/api/v1/jobs?page={page}").json() for page in (1, 9))
    assert (first["n"], first["page"], first["n_pages"], len(first["lines"])) == (6, 1, 2, 4)
    assert (last["page"], [one["kind"] for one in last["lines"]]) == (2, ["relabel", "upload"])
    newest = client.get(f"/api/v1/jobs/{first['lines'][0]['id']}").json()
    assert newest == first["lines"][0]
    assert (newest["status"], newest["n_total"]) == ("queued", 3)


def test_a_page_from_which_a_member_s_times_can_be_told_notes_the_look(coach: Membership):
    shows = [make_membership(coach.club, visibility=Visibility.CLUB) for _ in range(3)]
    address = f"/clubs/{coach.club.slug}/book/oll/27/"
    for n_used, looked_at in ((1, shows[:1]), (2, shows[:2]), (3, [])):
        make_upload(shows[n_used - 1].user, make_rows(3, LAST_PAIR, SUNE, T_PERM))
        reader = make_membership(coach.club)
        make_client(reader).get(address)
        make_client(reader).get(f"/clubs/{coach.club.slug}/book/oll/28/")
        seen = AuditEvent.objects.filter(actor=reader.user, page="book_case")
        assert set(seen.values_list("member", flat=True)) == {one.user_id for one in looked_at}
