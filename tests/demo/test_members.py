"""The logs show what the club's description says of its members."""

from datetime import date
from itertools import groupby
from statistics import mean

from fixtures.demo.maker.members import case_of, read_club
from tests.demo.reading import FOLDER, LOGS, demo_rows

CLUB = read_club(FOLDER / "club.toml")


def rows_of(member):
    stem = member.nickname.lower()
    for path in LOGS:
        if path.stem.partition("-")[0] == stem:
            yield from (row for row in demo_rows(path) if not row.truth.get("doubled"))


def first_goals(member, case):
    """Day and goal of the first look of each sighting of ``case``, but for false starts."""
    stage, number = case
    for row in rows_of(member):
        shown = row.truth.get(stage)
        if shown and shown["case"] == number and shown["looks"]:
            look = next((x for x in shown["looks"] if x.get("slip") != "false_start"), None)
            if look:
                yield date.fromisoformat(str(row.values["done_at"])[:10]), look["goal"]


def test_a_case_is_solved_in_one_look_from_the_day_it_was_learnt():
    n_before = n_after = 0
    for member in CLUB.members:
        for learnt in member.learns:
            for day, goal in first_goals(member, case_of(learnt.case)):
                assert (goal == "case") == (day >= learnt.on)
                n_after += day >= learnt.on
                n_before += day < learnt.on
    assert n_before > 50
    assert n_after > 50


def test_logs_lie_within_the_members_days_and_in_order():
    for member in CLUB.members:
        days = [str(row.values["done_at"]) for row in rows_of(member)]
        assert days == sorted(days) or member.local_time
        assert date.fromisoformat(days[0][:10]) >= member.since
        assert date.fromisoformat(days[-1][:10]) == member.until


def test_members_differ_clearly_in_standing():
    means = {
        member.nickname: mean(
            row.truth["time_ms"]
            for row in rows_of(member)
            if row.truth["status"] == "solved" and row.truth.get("kind") != "drill"
        )
        for member in CLUB.members
    }
    assert means["Quill"] < 11_000 < means["Marlow"] < 14_000 < means["Juno"] < means["Fennel"]
    assert means["Fennel"] < 60_000 < means["Tumble"]


def test_every_mix_up_and_wrong_hold_came_about():
    slips = {
        (member.nickname, look["slip"])
        for member in CLUB.members
        for row in rows_of(member)
        for stage in ("oll", "pll")
        for look in (row.truth.get(stage) or {}).get("looks", ())
        if "slip" in look
    }
    for member in CLUB.members:
        assert not member.mix_ups or (member.nickname, "mix_up") in slips
        assert not member.wrong_holds or (member.nickname, "wrong_hold") in slips


def test_rows_of_every_kind_come_in_every_format():
    kinds = {
        (member.format, kind)
        for member in CLUB.members
        for kind, _ in groupby(sorted(row.truth["log"] for row in rows_of(member)))
    }
    for kind in ("sensor", "quarters", "typed", "typed_untimed", "time_only"):
        assert {("csv", kind), ("jsonl", kind)} <= kinds
