import json
import socket
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.utils import timezone

from clubsite.env import read_environment
from cubecore.rows import format_time_exactly
from logs.homework.models import DrillAnswer, Homework
from logs.lessons.models import Lesson
from logs.management.commands.demo import free_port, moved, weeks_to
from logs.people.models import Club, Membership
from logs.practice.models import PracticeAnswer
from logs.solves.models.solves import Solve, Upload
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


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A club of two: one log in one file, one in two that overlap."""
    (tmp_path / "logs").mkdir()
    people = [("Ash", "coach", "club"), ("Elm", "member", "coach")]
    members = [MEMBER.format(nickname=n, role=r, visibility=v) for n, r, v in people]
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
    club = Club.objects.get()
    assert (club.name, club.time_zone) == ("Two of us", "Europe/Oslo")
    members = Membership.objects.order_by("display_name")
    assert [(m.display_name, m.role, m.visibility) for m in members] == [
        ("Ash", "coach", "club"),
        ("Elm", "member", "coach"),
    ]
    counts = {u.file_name: (u.n_taken, u.n_doubled) for u in Upload.objects.all()}
    assert counts == {"ash.csv": (3, 0), "elm-1.csv": (3, 0), "elm-2.jsonl": (1, 1)}
    assert Solve.objects.filter(member__username="elm").count() == 4
    printed = capsys.readouterr().out
    assert "elm-2.jsonl: 1 taken, 1 doubled, 0 set aside" in printed


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
    assert "taken" not in capsys.readouterr().out
    assert (Club.objects.count(), Upload.objects.count(), Solve.objects.count()) == (1, 3, 7)
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
    assert Lesson.objects.count() == 12
    newest = Lesson.objects.order_by("-on").values_list("on", flat=True)[0]
    assert timedelta(0) <= timezone.localdate() - newest < timedelta(days=8)
    assert newest.weekday() == 1
    assert {one.way for one in Homework.objects.all()} == {"drills", "practice", "coach"}
    assert DrillAnswer.objects.exists()
    assert PracticeAnswer.objects.exists()
    assert not DrillAnswer.objects.filter(at__gt=timezone.now()).exists()


def test_a_log_s_dates_are_moved_by_whole_weeks():
    """20 November 2026 is a Friday; four weeks later is 18 December, by any calendar."""
    line = b"2026-11-20T18:04:00+00:00,R U,12.3,2026-99-99T,seed 2026-11-20x\n"
    assert moved(line, 4) == line.replace(b"2026-11-20T", b"2026-12-18T")
    assert weeks_to([{"until": "2026-11-20"}], date(2026, 12, 24)) == 4
    assert weeks_to([{"until": "2026-11-20"}], date(2026, 11, 19)) == -1


def test_a_taken_port_is_passed_over():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert free_port(port) > port
