"""The demo's files are made by the generator that stands beside them, and stay small enough to keep."""

from collections import Counter

import pytest

from fixtures.demo.maker.files import log_files
from fixtures.demo.maker.members import read_club
from fixtures.demo.maker.rows import member_rows
from tests.demo.reading import FOLDER, LOGS, demo_rows

CLUB = read_club(FOLDER / "club.toml")
SIZE_LIMIT = 15_000_000


@pytest.mark.parametrize("nickname", ["Quill", "Fennel"])
def test_the_first_rows_come_out_byte_for_byte_again(nickname):
    member = next(member for member in CLUB.members if member.nickname == nickname)
    for file in log_files(member, list(member_rows(CLUB, member, limit=30))):
        written = (FOLDER / file.path).read_bytes()
        assert written.startswith(file.text.encode())


def test_there_are_the_files_that_the_club_makes_and_no_others():
    stems = [
        f"{member.nickname.lower()}{part}"
        for member in CLUB.members
        for part in (("-1", "-2") if member.two_files else ("",))
    ]
    assert sorted(path.stem for path in LOGS) == sorted(stems)
    assert sorted(path.stem for path in (FOLDER / "truth").iterdir()) == sorted(stems)


def test_the_club_has_at_least_twelve_members_a_coach_and_six_thousand_solves():
    assert len(CLUB.members) >= 12
    assert any(member.role == "coach" for member in CLUB.members)
    kinds = Counter(
        row.truth.get("kind") or "no turns"
        for path in LOGS
        for row in demo_rows(path)
        if "problem" not in row.truth and not row.truth.get("doubled")
    )
    assert kinds["solve"] >= 6000


def test_no_scramble_of_a_solve_is_its_solution_turned_round():
    undone = {"'": "", "": "'", "2": "2"}
    for path in LOGS:
        for row in demo_rows(path):
            if row.truth.get("kind") == "solve" and row.truth["log"] == "sensor":
                turns = [turn[0] + undone[turn[1:]] for turn in str(row.values["solution"]).split()]
                assert " ".join(reversed(turns)) != row.values["scramble"]


def test_the_demo_keeps_its_weight():
    assert sum(path.stat().st_size for path in FOLDER.rglob("*") if path.is_file()) < SIZE_LIMIT


def test_doubled_rows_stand_in_both_files():
    first, second = (list(demo_rows(path)) for path in LOGS if path.stem.startswith("linnet"))
    doubled = [row for row in second if row.truth.get("doubled")]
    assert len(doubled) == 3
    assert [row.values for row in doubled] == [row.values for row in first[-3:]]
