"""What the demo club has lived: the pages say what its life and its logs say, and none is empty.

The life stands in fixtures/demo/life.toml, the truth of the logs beside them; both share nothing with
the code that reads homework. The club is made as of a Friday, when all of its week has happened.
"""

import tomllib
from collections import Counter
from datetime import datetime, time, timedelta
from html.parser import HTMLParser
from io import StringIO
from typing import Any, NamedTuple

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone

from clubsite.accounts.models import User
from fixtures.demo.maker.members import case_of
from logs.algorithms.models import CaseWords
from logs.homework.models import Homework
from logs.homework.report.homework import assignment_report, homework_report
from logs.lessons.models import Lesson
from logs.management.commands.demo import Command, days_to
from logs.next_up.models import Override
from logs.people.models import Club, Membership
from logs.progress.models import TimeMark
from tests.demo.demo_club import ZONE, demo_club, made_as, verdict
from tests.demo.reading import FOLDER

pytestmark = pytest.mark.django_db

LIFE = tomllib.loads((FOLDER / "life.toml").read_text(encoding="utf-8"))
CLUB = {member.nickname: member for member in demo_club().members}
FRIDAY = 4
VOID = {"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"}
DATA = {"tr", "li", "dd", "svg", "img"}


@pytest.fixture(scope="module")
def now(django_db_setup, django_db_blocker):
    """A fresh demo club as of the last Friday at noon; that moment."""
    today = timezone.localdate()
    friday = today - timedelta(days=(today.weekday() - FRIDAY - 1) % 7 + 1)
    moment = datetime.combine(friday, time(12), ZONE)
    with django_db_blocker.unblock(), transaction.atomic():
        Command(stdout=StringIO()).make_club(FOLDER, moment)
        yield moment
        transaction.set_rollback(True)


class Part(NamedTuple):
    """A case that homework asks of a member."""

    homework: str
    member: str
    case: str
    state: str


def expected_parts(now: datetime) -> list[Part]:
    """Each case of each homework with the state that the life and the logs' truth give it."""
    days = days_to([{"until": str(one.until)} for one in CLUB.values()], now.date())
    met = {name: made_as(member, days=days) for name, member in CLUB.items()}
    drilled = {name: made_as(member, kind="drill", days=days) for name, member in CLUB.items()}
    parts = []
    for title, told, set_at in all_homework(now):
        end = (
            set_at - timedelta(hours=1) + weeks(told["closed"]["after_weeks"])
            if "closed" in told
            else now
        )
        for name, cases in told["asks"].items():
            for text in cases:
                stage, number = case_of(text)
                case = stage, str(number)
                state = _state(
                    told,
                    name,
                    text,
                    verdict(
                        [hit for at, hit in met[name].get(case, []) if set_at < at <= end],
                        [hit for at, hit in met[name].get(case, []) if at <= set_at],
                    ),
                    sum(hit for at, hit in drilled[name].get(case, []) if set_at < at <= end),
                )
                parts.append(Part(title, name, text, state))
    return parts


def weeks(n: int) -> timedelta:
    return timedelta(weeks=n)


def all_homework(now: datetime) -> list[tuple[str, dict[str, Any], datetime]]:
    """What was set and not taken back: a name, what is told of it, and when it was set."""
    last = now.date() - timedelta(days=FRIDAY - LIFE["weekday"])
    told = [
        (one["title"], one["homework"], one["weeks_ago"])
        for one in LIFE["lessons"]
        if "homework" in one
    ]
    told += [
        (one["note"], one, one["weeks_ago"])
        for one in LIFE["homework"]
        if not one.get("taken_back")
    ]
    return [
        (title, one, datetime.combine(last - weeks(n), LIFE["at"], ZONE) + timedelta(hours=1))
        for title, one, n in told
    ]


def _state(told: dict[str, Any], name: str, case: str, check: str, n_drilled: int) -> str:
    """Verified by solves, else excused, else looked at together, else learnt as it was asked."""
    is_recognition = told.get("goal") == "recognition"
    if check == "verified" and not is_recognition:
        return "verified"
    if case in told.get("excused", {}).get(name, {}).get("cases", ()):
        return "excused"
    if check == "ask_coach" and not is_recognition:
        return "together"
    if case in told.get("shown", {}).get(name, ()):
        return "shown"
    n_done = {
        "drills": told.get("clean", {}).get(name, 0) + n_drilled,
        "practice": told.get("right", {}).get(name, 0),
        "coach": 0,
    }[told.get("way", "drills")]
    wanted = told.get("wanted", 5)
    return "ready" if told.get("way") != "coach" and n_done >= wanted else "open"


def read_parts(now: datetime) -> list[Part]:
    """The same as the members' own pages have it."""
    parts = []
    names = {title: set_at for title, _, set_at in all_homework(now)}
    for homework in Homework.objects.order_by("set_at", "pk"):
        lesson = Lesson.objects.filter(homework=homework).first()
        title = lesson.title if lesson else homework.note
        assert homework.set_at == names[title]
        for assignment in homework.assignments.all():
            report = assignment_report(
                actor=assignment.member, homework_id=homework.pk, membership_id=None, now=now
            )
            name = next(n for n in CLUB if n.lower() == assignment.member.get_username())
            for case in report.member.cases:
                stage, _, number = case.case.code.partition("-")
                parts.append(Part(title, name, f"{stage.upper()} {number}", case.state.value))
    return parts


def test_each_state_is_that_of_the_life_and_the_logs(now):
    expected = {part[:3]: part.state for part in expected_parts(now)}
    read = {part[:3]: part.state for part in read_parts(now)}
    assert read == expected


def test_homework_stands_in_every_state(now):
    states = Counter(part.state for part in read_parts(now))
    assert {"open", "ready", "shown", "verified", "excused"} <= set(states)
    assert states["verified"] >= 3
    closed = {one.close_reason for one in Homework.objects.exclude(closed_at=None)}
    assert closed == {told["closed"]["why"] for _, told, _ in all_homework(now) if "closed" in told}
    assert len(closed) == 4
    assert not Homework.objects.filter(note="Set for the wrong evening.").exists()
    coach = User.objects.get(username="marlow")
    waiting = [
        case
        for homework in Homework.objects.filter(set_by=coach)
        for member in homework_report(actor=coach, homework_id=homework.pk, now=now).members
        for case in member.cases
        if case.state in ("ready", "shown") and not case.solves.n_met
    ]
    assert waiting  # learnt, and not come up yet


def test_a_dozen_lessons_were_held_as_told_and_one_is_planned(now):
    held = Lesson.objects.order_by("on")
    assert held.filter(on__lte=now.date()).count() == 12
    assert held.filter(on__gt=now.date()).count() == 1
    for lesson, told in zip(held, LIFE["lessons"], strict=True):
        assert lesson.title == told["title"]
        assert (now.date() - lesson.on).days == 7 * told["weeks_ago"] + FRIDAY - LIFE["weekday"]
        rows = {row.member.get_username(): row.is_missing for row in lesson.members.all()}
        came = {name.lower(): name in told.get("missing", ()) for name in told["come"]}
        assert rows == came


def test_one_hides_the_log_and_one_is_in_two_clubs(now):
    hidden = Membership.objects.filter(visibility="only_me", club__slug="riverside-turners")
    assert [one.display_name for one in hidden] == ["Sorrel"]
    people = Membership.objects.filter(club__slug="riverside-turners")
    in_two = [one.display_name for one in people if one.user.memberships.count() == 2]
    assert in_two == ["Quill"]
    assert Club.objects.get(slug=LIFE["second_club"]["slug"]).memberships.count() == 1


def test_groups_marks_and_words_are_those_told(now):
    club = Club.objects.get(slug="riverside-turners")
    groups = {
        group.name: sorted(group.members.values_list("display_name", flat=True))
        for group in club.groups.all()
    }
    assert groups == {told["name"]: sorted(told["members"]) for told in LIFE["groups"]}
    marks = [(mark.member.get_username(), mark.word) for mark in TimeMark.objects.all()]
    assert sorted(marks) == sorted((t["member"].lower(), t["word"]) for t in LIFE["marks"])
    words = {(one.member.get_username(), one.reason) for one in Override.objects.all()}
    assert words == {(told["member"].lower(), told["why"]) for told in LIFE["pins"]}
    beside = {f"{one.stage.upper()} {one.case}": one.text for one in CaseWords.objects.all()}
    assert beside == {told["case"]: told["says"] for told in LIFE["words"]}


class Parts(HTMLParser):
    """The ways that a page's menus lead, and what its main part holds."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[tuple[str, str]] = []
        self.menu: list[str] = []
        self.empty: list[str] = []
        self.n_data = 0
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        inside = {name for name, _ in self.open}
        href = values.get("href", "")
        if tag == "a" and "nav" in inside and href.startswith("/"):
            self.menu.append(href.partition("#")[0])
        if "main" in inside and "nav" not in inside:
            self.n_data += tag in DATA
            if "empty" in values.get("class", "").split():
                self.empty.append(self.get_starttag_text() or "")
        if tag not in VOID:
            self.open.append((tag, values.get("class", "")))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass


@pytest.mark.parametrize("name", ["marlow", "juno", "tumble"])
def test_no_page_of_a_menu_is_empty(now, name: str):
    """Every page that a menu leads to, and the menus there: no empty block, and something in it."""
    client = Client()
    client.force_login(User.objects.get(username=name))
    waiting, seen, faults = ["/"], set(), []
    while waiting:
        address = waiting.pop(0)
        seen.add(address)
        answer = client.get(address, follow=True)
        page = Parts(answer.content.decode())
        waiting += [way for way in dict.fromkeys(page.menu) if way not in {*seen, *waiting}]
        if answer.status_code != 200 or page.empty or not page.n_data:
            faults.append((address, answer.status_code, page.empty, page.n_data))
    assert faults == []
    assert {"/log/", "/homework/", "/practice/", "/progress/", "/next-up/", "/privacy/"} <= seen
