"""The weekly letter: wanted by its coach alone, once a week and never twice, ended by its link."""

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.conf import LazySettings
from django.core import mail
from django.test import Client
from django.utils import timezone

from logs.errors import ConflictError, NotFoundError
from logs.home.models import WeeklyLetter
from logs.home.services import letter_switch, letters_queue, week_due
from logs.jobs.models import Job, JobKind, JobStatus
from logs.people.models import Membership, Role
from logs.tasks import execute_next, sweep
from tests.desk import CASE_40, make_homework, make_team
from tests.factories import make_rows, make_upload

pytestmark = pytest.mark.django_db

MONDAY = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
WEEK = timedelta(days=7)


@pytest.fixture(autouse=True)
def sends_mail(settings: LazySettings) -> None:
    settings.SENDS_MAIL = True
    settings.SITE_ADDRESS = "https://cubes.example.org"


@pytest.fixture
def coach() -> Membership:
    """A coach with an address, and a member with homework and a log of today."""
    club, coach, (member,) = make_team(1)
    type(club).objects.filter(pk=club.pk).update(name="Riverbank\nBcc: all")
    coach.user.email = "coach@example.org"
    coach.user.save()
    make_homework(coach, [member], (CASE_40,))
    make_upload(member.user, make_rows(3), now=timezone.now())
    return coach


def switch(coach: Membership, *, is_wanted: bool = True, now: datetime = MONDAY) -> None:
    letter_switch(actor=coach.user, slug=coach.club.slug, is_wanted=is_wanted, now=now)


def the_job() -> Job:
    return Job.objects.get(kind=JobKind.LETTER)


def work() -> None:
    while execute_next(worker="test"):
        pass


def test_the_week_s_hour_is_six_on_monday_in_the_club_s_zone():
    """2 March 2026 is a Monday (ISO 8601 calendar; checked with `date.isocalendar`)."""
    assert date(2026, 3, 2).isocalendar().weekday == 1
    before = MONDAY - timedelta(seconds=1)
    utc, oslo = ZoneInfo("UTC"), ZoneInfo("Europe/Oslo")  # an hour ahead in winter
    assert (week_due(before, utc), week_due(MONDAY, utc)) == (date(2026, 2, 23), date(2026, 3, 2))
    assert week_due(before, oslo) == date(2026, 3, 2)
    assert week_due(MONDAY - timedelta(hours=1, seconds=1), oslo) == date(2026, 2, 23)


def test_no_letter_is_sent_unless_it_was_wanted(coach: Membership):
    assert letters_queue(now=MONDAY + WEEK) == 0
    work()
    assert mail.outbox == []


def test_a_letter_tells_what_the_desk_tells(coach: Membership):
    switch(coach, now=timezone.now())
    letters_queue(now=timezone.now() + WEEK)
    work()
    (letter,) = mail.outbox
    assert letter.to == ["coach@example.org"]
    assert letter.subject == "Riverbank Bcc: all: the desk of the week"
    text = str(letter.body)
    assert "1 member logged 3 solves" in text
    assert f"https://cubes.example.org/clubs/{coach.club.slug}/desk/" in text
    assert "&#" not in text
    assert not re.search(r"\n\n\n", text)


def test_it_goes_out_once_a_week_however_often_is_swept(coach: Membership):
    switch(coach)
    for now in (
        MONDAY,
        MONDAY + timedelta(days=6),
        MONDAY + WEEK,
        MONDAY + WEEK,
        MONDAY + 2 * WEEK,
    ):
        sweep(now=now)
        sweep(now=now)
    work()
    assert Job.objects.filter(kind=JobKind.LETTER).count() == 2
    assert len(mail.outbox) == 2


def test_a_worker_that_died_after_the_letter_went_out_sends_it_no_second_time(coach: Membership):
    switch(coach)
    letters_queue(now=MONDAY + WEEK)
    work()
    Job.objects.filter(kind=JobKind.LETTER).update(status=JobStatus.QUEUED, ended_at=None)
    work()
    assert len(mail.outbox) == 1
    assert the_job().status == JobStatus.DONE


def test_a_server_that_is_away_is_told_and_the_letter_can_go_out_later(
    coach: Membership, settings: LazySettings
):
    switch(coach)
    since = WeeklyLetter.objects.get().since_at
    letters_queue(now=MONDAY + WEEK)
    working = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9  # RFC 863: discard; nothing listens
    work()
    job = the_job()
    assert (job.status, job.error_code) == (JobStatus.FAILED, "mail_not_taken")
    assert WeeklyLetter.objects.get().since_at == since
    settings.EMAIL_BACKEND = working
    client = Client()
    client.force_login(coach.user)
    client.post(f"/jobs/{job.pk}/go-on/")
    work()
    assert len(mail.outbox) == 1


@pytest.mark.parametrize("change", ["role", "address", "locked", "off"])
def test_who_may_not_have_it_any_more_gets_none(coach: Membership, change: str):
    switch(coach)
    letters_queue(now=MONDAY + WEEK)
    if change == "role":
        Membership.objects.filter(pk=coach.pk).update(role=Role.MEMBER)
    elif change == "off":
        switch(coach, is_wanted=False)
    else:
        user = coach.user
        user.email = "" if change == "address" else user.email
        user.is_active = change != "locked"
        user.save()
    work()
    assert mail.outbox == []
    assert the_job().status == JobStatus.DONE


def test_a_letter_needs_mail_an_address_and_a_coach(coach: Membership, settings: LazySettings):
    member = Membership.objects.exclude(pk=coach.pk).get()
    with pytest.raises(NotFoundError):
        switch(member)
    settings.SENDS_MAIL = False
    with pytest.raises(ConflictError):
        switch(coach)
    settings.SENDS_MAIL = True
    coach.user.email = ""
    with pytest.raises(ConflictError):
        switch(coach)


def test_the_desk_switches_it_on_and_off_with_one_press(coach: Membership):
    client = Client()
    client.force_login(coach.user)
    desk = f"/clubs/{coach.club.slug}/desk/"
    assert "Mail me this desk each Monday" in client.get(desk).text
    page = client.post(f"{desk}letter/", {"wanted": "yes"}, follow=True).text
    assert "coach@example.org each Monday" in page
    client.post(f"{desk}letter/", {"wanted": "no"})
    assert not WeeklyLetter.objects.exists()


def test_the_link_ends_it_without_signing_in_as_mail_programs_do(coach: Membership):
    """RFC 8058, 3.1: a POST with ``List-Unsubscribe=One-Click``, no cookie; 3.2: the headers."""
    switch(coach)
    letters_queue(now=MONDAY + WEEK)
    work()
    headers = mail.outbox[0].extra_headers
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    address = headers["List-Unsubscribe"]
    assert re.fullmatch(r"<https://cubes\.example\.org/\S+>", address)
    path = address[1:-1].removeprefix("https://cubes.example.org")
    assert path in str(mail.outbox[0].body)
    program = Client(enforce_csrf_checks=True)
    assert program.get(path).status_code == 200
    assert WeeklyLetter.objects.exists()  # a look ahead ends nothing
    assert program.get(path[:-3] + "x/").status_code == 404
    assert program.post(path, {"List-Unsubscribe": "One-Click"}).status_code == 200
    assert not WeeklyLetter.objects.exists()
    assert program.post(path).status_code == 200
