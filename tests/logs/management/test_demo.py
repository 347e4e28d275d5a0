import json
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command

from clubsite.env import read_environment
from cubecore.rows import format_time_exactly
from logs.people.models import Club, Membership
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
