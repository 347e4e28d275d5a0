"""The calendar by a secret address, read by a general parser of iCalendar."""

from datetime import UTC, date, datetime, timedelta

import pytest
import vobject
from django.test import Client

from logs.home.models import CalendarFeed
from logs.home.report.calendar import CalendarDay
from logs.home.words import calendar_text
from logs.homework.services import homework_close
from logs.people.models import Membership
from logs.people.services.memberships import membership_leave
from tests.desk import CASE_27, CASE_40, CASE_T, make_homework, make_lesson, make_team
from tests.factories import NOW

pytestmark = pytest.mark.django_db


def signed_in(member: Membership) -> Client:
    client = Client()
    client.force_login(member.user)
    return client


def secret_path(client: Client) -> str:
    client.post("/calendar/", {"what": "make"})
    address: str = client.get("/calendar/").context["address"]
    return address.removeprefix("http://testserver")


def events(client: Client) -> dict[str, date]:
    """What a calendar program reads at the member's secret address: titles and days."""
    answer = Client().get(secret_path(client))
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    calendar = vobject.readOne(answer.content.decode())
    calendar.validate(raiseException=True)
    return {
        event.summary.value: event.dtstart.value for event in calendar.contents.get("vevent", [])
    }


def test_a_member_has_their_lessons_and_their_homework_a_coach_the_club_s():
    club, coach, (wren, tarn) = make_team(2)
    lesson = make_lesson(coach, [wren])
    make_homework(coach, [wren, tarn], (CASE_40, CASE_T), due_on=date(2026, 3, 9))
    make_homework(coach, [tarn], (CASE_27,), due_on=date(2026, 3, 12))
    make_homework(coach, [wren], (CASE_27,))  # without a date
    closed = make_homework(coach, [wren], (CASE_T,), due_on=date(2026, 3, 20))
    homework_close(actor=coach.user, homework_id=closed.pk, reason="Enough.", now=NOW)
    both = {f"Homework: OLL 40 Big lightning, PLL T ({club.name})": date(2026, 3, 9)}
    single = {f"Homework: OLL 27 Sune ({club.name})": date(2026, 3, 12)}
    evening = {f"Evening ({club.name})": lesson.on}
    assert events(signed_in(wren)) == {**evening, **both}
    assert events(signed_in(tarn)) == {**both, **single}
    assert events(signed_in(coach)) == {**evening, **both, **single}


def test_the_page_says_what_is_in_it_before_there_is_an_address():
    club, coach, (wren, tarn) = make_team(2)
    make_lesson(coach, [wren])
    assert f"Evening ({club.name})" in signed_in(wren).get("/calendar/").text
    assert "What is in it" not in signed_in(tarn).get("/calendar/").text


def test_who_leaves_the_club_reads_no_more_of_it():
    club, coach, (wren,) = make_team(1)
    make_lesson(coach, [wren])
    client = signed_in(wren)
    path = secret_path(client)
    assert "Evening" in Client().get(path).text
    membership_leave(actor=wren.user, slug=club.slug, now=NOW)
    assert "Evening" not in Client().get(path).text


def test_a_secret_works_until_it_is_withdrawn_or_another_is_taken():
    _, _, (wren,) = make_team(1)
    client = signed_in(wren)
    first = secret_path(client)
    second = secret_path(client)
    assert [Client().get(path).status_code for path in (first, second)] == [404, 200]
    client.post("/calendar/", {"what": "withdraw"})
    assert Client().get(second).status_code == 404
    assert Client().get(second).content == Client().get("/calendar/" + "0" * 64 + ".ics").content


def test_the_table_does_not_tell_the_secret():
    _, _, (wren,) = make_team(1)
    secret = secret_path(signed_in(wren)).split("/")[-1].removesuffix(".ics")
    assert len(bytes.fromhex(secret)) == 32
    assert secret not in str(CalendarFeed.objects.values())


def test_a_locked_account_s_calendar_is_gone():
    _, _, (wren,) = make_team(1)
    path = secret_path(signed_in(wren))
    wren.user.is_active = False
    wren.user.save()
    assert Client().get(path).status_code == 404


def a_day(**fields: object) -> CalendarDay:
    plain: dict[str, object] = {
        "kind": "lesson", "id": 7, "on": date(2026, 3, 5), "club": "Riverbank",
        "title": "Evening", "cases": (), "is_coach": True,
    }  # fmt: skip
    return CalendarDay(**{**plain, **fields})  # type: ignore[arg-type]  # any field


def text_of(*days: CalendarDay) -> str:
    made = calendar_text(
        days,
        site="https://cubes.example.org",
        name="Riverbank",
        now=datetime(2026, 3, 1, tzinfo=UTC),
    )
    return made.decode()


def test_the_object_is_as_the_standard_says():
    """RFC 5545: 3.1 (lines of at most 75 octets, each ended by CRLF), 3.6.1, 3.8.2.4, 3.8.4.7."""
    title = "Übung; erste, zweite\\dritte " * 3
    text = text_of(a_day(title=title), a_day(kind="homework", id=9, cases=("OLL 27 Sune",)))
    assert text.endswith("END:VCALENDAR\r\n")
    lines = text.split("\r\n")
    assert all(len(line.encode()) <= 75 for line in lines)
    assert not any("\n" in line for line in lines)
    for wanted in (
        "VERSION:2.0",
        "DTSTART;VALUE=DATE:20260305",
        "DTSTAMP:20260301T000000Z",
        "UID:lesson-7@cubes.example.org",
        "UID:homework-9@cubes.example.org",
        "TRANSP:TRANSPARENT",
        "REFRESH-INTERVAL;VALUE=DURATION:PT12H",  # RFC 7986, 5.7
    ):
        assert wanted in lines
    read = vobject.readOne(text)
    assert read.vevent.summary.value == f"{title} (Riverbank)"
    assert read.vevent.url.value == "https://cubes.example.org/lessons/7/"


def test_a_member_is_led_to_no_page_that_is_a_coach_s():
    assert "URL" not in text_of(a_day(is_coach=False))
    assert "/homework/9/" in text_of(a_day(kind="homework", id=9, is_coach=False))


def test_a_member_without_dates_has_an_empty_calendar():
    _, _, (wren,) = make_team(1)
    assert events(signed_in(wren)) == {}


@pytest.mark.parametrize("n", [1, 30])
def test_it_asks_as_often_for_thirty_lessons_as_for_one(n: int, django_assert_num_queries):
    _, coach, (wren,) = make_team(1)
    for day in range(n):
        make_lesson(coach, [wren])
        make_homework(coach, [wren], due_on=(NOW + timedelta(days=day + 8)).date())
    path = secret_path(signed_in(wren))
    with django_assert_num_queries(6):  # secret, clubs coached, lessons, homework with cases (3)
        Client().get(path)
