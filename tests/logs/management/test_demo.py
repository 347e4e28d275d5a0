import json
import socket
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.utils import timezone

from clubsite.env import read_environment
from cubecore.book import default_book
from cubecore.replay import replay_row
from cubecore.results import Kind
from cubecore.rows import Row, format_time_exactly
from logs.homework.models import DrillAnswer, Homework
from logs.lessons.models import Lesson
from logs.management.commands.demo import days_to, free_port, moved, sent_at
from logs.people.models import Club, Membership
from logs.practice.models import PracticeAnswer
from logs.solves.models.solves import Solve, Upload
from tests.cubecore import twin
from tests.factories import make_csv, make_rows

pytestmark = pytest.mark.django_db(transaction=True)

CLUB = """
name = "Two of us"
zone = "Europe/Oslo"
seed = "x"
"""
MEMBER = """
[[members]]
nickname = "{nickname}"
role = "{role}"
visibility = "{visibility}"
colours = ["white"]
standing = "{nickname} stands here."
solves = 3
since = 2026-01-19
until = 2026-11-20
turns_per_second = [6.2, 6.8]
recognition_ms = 430
pair_ms = 330
sloppiness = 0.04
slow = {{}}
oll = "all"
pll = "all"
kinds = {{ sensor = 1.0 }}
format = "csv"
dnf = 0.0
plus_two = 0.0
"""
LIFE = """
weekday = 1
at = 18:30:00
lessons = [
    { weeks_ago = 1, title = "First", cases = ["OLL 27"], come = ["Elm"], homework = { asks = { Elm = ["OLL 27"] }, clean = { Elm = 5 } } },
    { weeks_ago = 0, title = "Second", cases = ["OLL 26", "PLL T"], come = ["Ash", "Elm"], missing = ["Ash"] },
]
homework = [
    { weeks_ago = 3, way = "practice", wanted = 2, asks = { Elm = ["PLL T"] }, right = { Elm = 3 } },
    { weeks_ago = 2, way = "coach", asks = { Elm = ["OLL 45"] }, shown = { Elm = ["OLL 45"] } },
    { weeks_ago = 1, asks = { Elm = ["OLL 44"] }, taken_back = true },
]
second_club = { name = "Two more", slug = "two-more", owner = "Elm" }
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A club of two: one log in one file, one in two that overlap."""
    (tmp_path / "logs").mkdir()
    people = [("Ash", "coach", "club"), ("Elm", "member", "coach")]
    members = [MEMBER.format(nickname=n, role=r, visibility=v) for n, r, v in people]
    (tmp_path / "life.toml").write_text(LIFE, encoding="utf-8")
    (tmp_path / "club.toml").write_text(CLUB + "".join(members), encoding="utf-8")
    (tmp_path / "logs" / "ash.csv").write_bytes(make_csv(make_rows(3)))
    rows = make_rows(4)
    (tmp_path / "logs" / "elm-1.csv").write_bytes(make_csv(rows[:3]))
    lines = [
        json.dumps(
            {
                "scramble": row.scramble,
                "time": format_time_exactly(row.time_ms),
                "solution": row.solution,
                "turn_ms": row.turn_ms,
                "done_at": row.done_at,
            }
        )
        for row in rows[2:]
    ]
    (tmp_path / "logs" / "elm-2.jsonl").write_text("\n".join(lines), encoding="utf-8")
    return tmp_path


def test_the_club_its_members_and_their_logs_are_made(folder: Path, capsys):
    call_command("demo", "--no-serve", folder=folder)
    club = Club.objects.get(name="Two of us")
    assert (club.name, club.time_zone) == ("Two of us", "Europe/Oslo")
    members = club.memberships.order_by("display_name")
    assert [(m.display_name, m.role, m.visibility) for m in members] == [
        ("Ash", "coach", "club"),
        ("Elm", "member", "coach"),
    ]
    counts = {u.file_name: (u.n_taken, u.n_doubled) for u in Upload.objects.all()}
    assert counts == {"ash.csv": (3, 0), "elm-1.csv": (3, 0), "elm-2.jsonl": (1, 1)}
    assert Solve.objects.filter(member__username="elm").count() == 4
    printed = capsys.readouterr().out
    assert "elm-2.jsonl: 1 imported, 1 duplicate, 0 on hold" in printed


def test_the_printed_sign_ins_open_the_door(folder: Path, client, capsys):
    call_command("demo", "--no-serve", folder=folder)
    printed = capsys.readouterr().out
    password = printed.split("the password is: ")[1].split("\n")[0]
    for name in ("ash", "elm"):
        assert name in printed
        answer = client.post("/sign-in/", {"username": name, "password": password})
        assert answer.status_code == 302


def test_what_stands_is_left_as_it_is(folder: Path, capsys):
    call_command("demo", "--no-serve", folder=folder)
    ash = get_user_model().objects.get(username="ash")
    ash.set_password("changed since then")
    ash.save()
    capsys.readouterr()
    call_command("demo", "--no-serve", folder=folder)
    assert "imported" not in capsys.readouterr().out
    assert (Club.objects.count(), Upload.objects.count(), Solve.objects.count()) == (2, 3, 7)
    ash.refresh_from_db()
    assert ash.check_password("changed since then")


def test_a_demo_that_was_cut_short_is_finished(folder: Path):
    call_command("demo", "--no-serve", folder=folder)
    Upload.objects.filter(file_name="elm-2.jsonl").delete()
    Membership.objects.filter(display_name="Elm").delete()
    call_command("demo", "--no-serve", folder=folder)
    assert (Membership.objects.count(), Solve.objects.count()) == (2, 7)


def test_a_public_site_gets_no_demo_club(folder: Path, settings, tmp_path: Path):
    variables = {
        "CLUBSITE_HOSTS": "club.example",
        "CLUBSITE_SECRET_KEY": "x1y2z3-" * 10,
    }
    settings.ENVIRONMENT = read_environment(variables, base_dir=tmp_path)
    with pytest.raises(CommandError, match="unset CLUBSITE_HOSTS"):
        call_command("demo", "--no-serve", folder=folder)
    assert Club.objects.count() == 0


def test_the_club_has_lived_up_to_today(folder: Path, capsys):
    call_command("demo", "--no-serve", folder=folder)
    printed = capsys.readouterr().out
    assert "Member 1 of 2: Ash" in printed
    assert printed.rstrip().endswith(
        "Sign in as marlow for the coach's desk, as juno for a member's."
    )
    older, newest = Lesson.objects.order_by("on")
    assert timedelta(0) <= timezone.localdate() - newest.on < timedelta(days=8)
    assert newest.on.weekday() == 1
    assert newest.on - older.on == timedelta(weeks=1)
    assert [row.is_missing for row in newest.members.order_by("member__username")] == [True, False]
    # The one that was taken back is gone.
    assert {one.way for one in Homework.objects.all()} == {"drills", "practice", "coach"}
    assert Homework.objects.count() == 3
    assert PracticeAnswer.objects.filter(is_right=True).count() == 6
    assert not DrillAnswer.objects.filter(at__gt=timezone.now()).exists()
    memberships = Membership.objects.filter(user__username="elm").order_by("club__name")
    assert [m.club.name for m in memberships] == ["Two more", "Two of us"]


def test_a_drill_of_the_demo_is_one_that_the_house_deals(folder: Path):
    call_command("demo", "--no-serve", folder=folder)
    for drill in DrillAnswer.objects.all():
        row = Row(scramble=drill.scramble, time_ms=9000, solution=twin.inverse(drill.scramble))
        result = replay_row(row, default_book())
        assert result.kind is Kind.DRILL
        assert result.oll is not None
        assert str(result.oll.case) == drill.case == "27"


def test_a_log_s_dates_are_moved_by_whole_days():
    """20 November 2026 and 28 days are 18 December, by any calendar."""
    line = b"2026-11-20T18:04:00+00:00,R U,12.3,2026-99-99T,seed 2026-11-20x\n"
    assert moved(line, 28) == line.replace(b"2026-11-20T", b"2026-12-18T")
    assert days_to([{"until": "2026-11-20"}], date(2026, 12, 24)) == 33
    assert days_to([{"until": "2026-11-20"}], date(2026, 11, 19)) == -2


def test_a_log_is_sent_at_the_end_of_its_last_day_or_now():
    """Its last day by any calendar; of a log without dates, now."""
    line = b"2026-11-18T18:04:00+00:00,R U\n2026-11-19T18:04:00+00:00,R U\n2026-99-99T,\n"
    now = datetime(2026, 11, 24, 12, tzinfo=UTC)
    assert sent_at(line, now).date() == date(2026, 11, 19)
    assert sent_at(line, now - timedelta(days=8)) == now - timedelta(days=8)
    assert sent_at(b"R U\n", now) == now


def test_a_taken_port_is_passed_over():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert free_port(port) > port
