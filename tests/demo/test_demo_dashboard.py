"""The Progress page of demo members against the truth their solves were made with.

The truth is written by the demo's own solver (`fixtures.demo.maker`), which shares nothing with the engine or
with analytics; its sightings are pooled by the public functions, which tests/logs/analytics holds to
published figures. Rows that are open to two readings are left out of the log and of the truth.
"""

import json
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from statistics import mean
from typing import Any

import pandas as pd
import pytest
from pytest_django import DjangoDbBlocker

from cubecore.cases import CASES, Stage
from logs.cases.facts import turns_by_code
from logs.people.models import Membership
from logs.progress.figures.cases import CaseOrder
from logs.progress.report.progress import Choice, ProgressReport, progress_report
from logs.stats.grid import pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from tests.demo.conftest import take_in
from tests.demo.demo_club import demo_club
from tests.demo.reading import FOLDER, LOGS
from tests.factories import SENT_AT, make_club, make_membership
from tests.kept_rows import rows_kept

pytestmark = pytest.mark.django_db

MEMBERS = ["brindle", "dapple", "kestrel", "linnet", "marlow", "sorrel", "wren"]


def truths(stem: str) -> list[dict[str, Any]]:
    text = (FOLDER / "truth" / f"{stem}.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


def logs_of(name: str) -> list[Path]:
    return [path for path in LOGS if path.stem.partition("-")[0] == name]


def content_of(path: Path) -> bytes:
    """The log without the rows that are open to two readings."""
    is_open = [bool(row.get("open")) for row in truths(path.stem)]
    if not any(is_open):
        return path.read_bytes()
    lines = path.read_bytes().splitlines(keepends=True)  # one row on each, after CSV's header
    header = lines[: len(lines) - len(is_open)]
    rows = lines[len(header) :]
    kept = [line for line, left_out in zip(rows, is_open, strict=True) if not left_out]
    return b"".join([*header, *kept])


def truth_of(name: str) -> list[dict[str, Any]]:
    rows = [row for path in logs_of(name) for row in truths(path.stem)]
    return [row for row in rows if not (row.get("doubled") or row.get("open"))]


@pytest.fixture(scope="module")
def members(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[dict[str, Membership]]:
    """The members by name, with their logs as `content_of` leaves them."""
    with rows_kept(django_db_blocker):
        club = make_club(time_zone=demo_club().zone)
        members = {name: make_membership(club) for name in MEMBERS}
        for name, member in members.items():
            for path in logs_of(name):
                take_in(member, path, content_of(path))
        yield members


def report_of(member: Membership, stage: Stage) -> ProgressReport:
    choice = Choice(stage=stage, order=CaseOrder.NUMBER)
    return progress_report(actor=member.user, choice=choice, now=SENT_AT)


def is_one_look(sighting: dict[str, Any]) -> bool:
    looks = sighting["looks"]
    return len(looks) == 1 and looks[0]["outcome"] == "finished"


Met = tuple[int, dict[str, Any]]
"""How many blocks ago a sighting was, and its truth."""


def _bands(timed: list[Met], part: str, stage: Stage) -> dict[str, tuple[float, float]]:
    """The bands of the pooled times of the truth's own sightings in one look."""
    index = [str(one["case"]) for _, one in timed]
    times = [float(one[f"{part}_ms"]) for _, one in timed]
    if not times:
        return {}
    turns = {code.split("-")[1]: n for code, n in turns_by_code().items() if code.startswith(stage)}
    sums = case_sums(
        pd.Series(times, index=index),
        turns=turns if part == "execution" else None,
        blocks=[ago for ago, _ in timed],
    )
    pooled = pooled_times(sums)
    assert pooled is not None
    return {str(case): (row["low_ms"], row["high_ms"]) for case, row in pooled.table().iterrows()}


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("name", MEMBERS)
def test_every_case_has_the_counts_and_times_it_was_made_with(members, name: str, stage: Stage):
    rows = [row for row in truth_of(name) if row.get("kind") == "solve" and row.get(stage)]
    sightings = [row[stage] for row in rows]
    made: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for sighting in sightings:
        made[str(sighting["case"])].append(sighting)
    report = report_of(members[name], stage)

    assert report.n_met == len(sightings)
    lines = {line.number: line for line in report.cases}
    assert set(lines) == set(made) - {"skip"}
    timed = [
        (int(ago), one)
        for ago, one in zip(blocks_ago(len(sightings)), sightings, strict=True)
        if one["case"] != "skip" and one["recognition_ms"] is not None and is_one_look(one)
    ]
    n_timed = Counter(str(one["case"]) for _, one in timed)
    for part in ("recognition", "execution"):
        held = _bands(timed, part, stage)
        for case, line in lines.items():
            typical = getattr(line, part)
            assert (typical is None) == (not n_timed[case])
            if typical is not None:
                span = typical.range_ms
                assert (span.low, span.high) == pytest.approx(held[case], rel=1e-6)
    for case, line in lines.items():
        assert (line.n, line.n_timed) == (len(made[case]), n_timed[case])
        assert line.n_one_look == sum(map(is_one_look, made[case]))
    every = {str(case.id.number) for case in CASES.values() if case.id.stage is stage}
    assert {case.number for case in report.unmet} == every - set(made)


@pytest.mark.parametrize("name", MEMBERS)
def test_solves_drills_and_shares_are_those_it_was_made_with(members, name: str):
    rows = truth_of(name)
    drills = [row for row in rows if row.get("kind") == "drill"]
    report = report_of(members[name], Stage.OLL)
    assert (report.n_solves, report.n_drills) == (len(rows) - len(drills), len(drills))

    split = [
        row
        for row in rows
        if row.get("kind") == "solve"
        and row["status"] != "dnf"
        and row.get("final_auf_ms") is not None
    ]
    parts = [
        [row["cross_ms"] for row in split],
        [row["f2l_ms"] - row["cross_ms"] for row in split],
        *(
            [row[stage][part] for row in split]
            for stage in ("oll", "pll")
            for part in ("recognition_ms", "execution_ms")
        ),
        [row["final_auf_ms"] for row in split],
    ]
    assert report.n_split == len(split)
    if split:
        assert [line.mean_ms for line in report.shares] == pytest.approx([*map(mean, parts)])
        total = sum(map(sum, parts))
        shares = [sum(part) / total for part in parts]
        assert [line.share for line in report.shares] == pytest.approx(shares)
