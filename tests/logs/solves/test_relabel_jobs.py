"""Labels made anew behind the request: in parts, from where they stand, after whatever changes a book."""

import pytest
from django.utils import timezone

from cubecore.cases import CaseId, Stage
from logs.algorithms.services import algorithm_add
from logs.jobs.models import Job
from logs.jobs.report import job_report
from logs.jobs.services import deliver
from logs.people.models import Membership, Role
from logs.people.services.invitations import invitation_accept, invitation_create
from logs.people.services.memberships import membership_leave, membership_remove
from logs.solves.models.solves import Solve
from logs.solves.services import relabel
from logs.solves.services.relabel import relabel_start
from logs.tasks import execute, execute_next
from tests.factories import (
    NOW,
    make_club,
    make_membership,
    make_rows,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db


def changed_labels(n: int) -> None:
    """Give the first ``n`` solves a label that nothing makes."""
    ids = Solve.objects.order_by("pk").values_list("pk", flat=True)[:n]
    Solve.objects.filter(pk__in=list(ids)).update(f2l_ms=1)


def run_all() -> int:
    """How many jobs there were to do."""
    n_done = 0
    while execute_next(worker="a"):
        n_done += 1
    return n_done


def test_a_relabelling_is_split_and_its_report_is_of_all_parts():
    club = make_club()
    coach, member = make_membership(club, role=Role.COACH).user, make_membership(club).user
    make_upload(member, make_rows(7))
    make_upload(make_user(), make_rows(2))  # in no club: not labelled
    changed_labels(5)
    first = relabel_start(club=club, now=NOW, part_solves=3)
    assert first is not None
    assert Job.objects.filter(kind="relabel").count() == 3
    other = Job.objects.filter(part_of=first).latest("pk")
    assert execute(other.pk, worker="b")
    report = job_report(actor=coach, job_id=first.pk, now=NOW)
    assert (report.status, report.n_total, report.n_read, report.share) == ("queued", 7, 1, 14)
    assert run_all() == 2
    report = job_report(actor=coach, job_id=first.pk, now=NOW)
    assert (report.status, report.n_read, report.n_changed, report.share) == ("done", 7, 5, 100)
    assert not Solve.objects.filter(f2l_ms=1).exists()


def test_a_part_goes_on_where_it_was_left(monkeypatch):
    monkeypatch.setattr(relabel, "JOB_BATCH", 2)
    make_upload(make_user(), make_rows(5))
    changed_labels(5)
    job = relabel_start(now=NOW)
    assert job is not None
    left = iter([False])
    execute(job.pk, worker="a", is_stopping=lambda: next(left, True))
    job.refresh_from_db()
    assert (job.status, job.n_read, job.n_changed) == ("queued", 2, 2)
    assert Solve.objects.filter(f2l_ms=1).count() == 3
    assert execute(job.pk, worker="b")
    job.refresh_from_db()
    assert (job.status, job.n_read, job.n_changed) == ("done", 5, 5)


def test_a_relabelling_of_the_same_takes_the_place_of_one_that_goes_on():
    make_upload(make_user(), make_rows(2))
    first, second = relabel_start(now=NOW), relabel_start(now=NOW)
    assert first is not None
    assert second is not None
    first.refresh_from_db()
    assert (first.status, second.status) == ("cancelled", "queued")
    assert relabel_start(member=make_user(), now=NOW) is None


def test_who_joins_or_leaves_a_club_with_a_book_of_its_own_is_labelled_by_it():
    club = make_club()
    owner = make_membership(club, role=Role.OWNER).user
    sune = CaseId(Stage.OLL, 27)
    algorithm_add(actor=owner, slug=club.slug, case=sune, text="R U' L' U R' U' L", now=NOW)
    member = make_user()
    make_upload(member, make_rows(2))
    _, code = invitation_create(
        actor=owner, slug=club.slug, role=Role.MEMBER, max_uses=2, days=7, now=timezone.now()
    )
    standard = Solve.objects.first()
    invitation_accept(actor=member, code=code, display_name="Fern", now=timezone.now())
    assert Job.objects.get(kind="relabel").member == member
    run_all()
    joined = Solve.objects.first()
    assert standard is not None
    assert joined is not None
    assert joined.book_version != standard.book_version
    membership_leave(actor=member, slug=club.slug, now=NOW)
    assert run_all() == 1
    assert set(Solve.objects.values_list("book_version", flat=True)) == {standard.book_version}
    invitation_accept(actor=member, code=code, display_name="Fern", now=timezone.now())
    run_all()
    own = Membership.objects.get(user=member)
    membership_remove(actor=owner, slug=club.slug, membership_id=own.pk, now=NOW)
    assert run_all() == 1
    assert set(Solve.objects.values_list("book_version", flat=True)) == {standard.book_version}


def test_a_club_that_follows_the_standard_book_changes_no_label():
    club = make_club()
    owner = make_membership(club, role=Role.OWNER).user
    member = make_user()
    make_upload(member, make_rows(1))
    _, code = invitation_create(
        actor=owner, slug=club.slug, role=Role.MEMBER, max_uses=1, days=7, now=timezone.now()
    )
    invitation_accept(actor=member, code=code, display_name="Fern", now=timezone.now())
    assert not Job.objects.filter(kind="relabel").exists()


def test_an_engine_that_is_not_to_be_reached_is_no_error(settings):
    settings.BROKER = "redis://127.0.0.1:1/0"  # nothing listens on port 1
    assert deliver(1) is False
