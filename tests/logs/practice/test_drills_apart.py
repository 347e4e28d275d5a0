"""A drill log changes no figure of solves, on any page and in any tally.

Every page of figures is read before and after, for the member and for their coach. What is left
out by name is what says itself that it counts drills.
"""

from dataclasses import fields, is_dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from cubecore.results import Kind
from cubecore.rows import Penalty
from logs.homework.report.data import CaseProgress
from logs.people.models import Membership
from logs.solves.models.solves import Solve
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)
from tests.desk import DAY, DRILL, EDGES_FIRST, make_homework, make_team, solves
from tests.factories import NOW, SUNE, T_PERM, make_client, make_row, make_rows, make_upload

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"
OWN = [
    "/solves/?kind=solve",
    "/progress/",
    "/progress/?stage=pll",
    "/cases/",
    "/cases/oll/40/",
    "/cases/oll/27/",
    "/cases/pll/T/",
    "/mistaken/",
    "/homework/",
    "/homework/{homework}/",
    "/next-up/",
]
COACHED = [
    "/clubs/{slug}/",
    "/clubs/{slug}/?stage=pll",
    "/clubs/{slug}/compare/?member={member}&member={coach}",
    "/clubs/{slug}/mistaken/",
    "/clubs/{slug}/cases/oll/40/",
    "/members/{member}/progress/",
    "/members/{member}/mistaken/",
    "/members/{member}/next-up/",
    "/members/{member}/solves/?kind=solve",
    "/clubs/{slug}/homework/",
    "/homework/{homework}/",
    "/homework/{homework}/members/{member}/",
    "/clubs/{slug}/lessons/new/",
]
OF_DRILLS = {"n_drills", "drills", "learn", "n_learnt"}
READY = ", ready from drills"


def plain(value: Any) -> Any:
    """A report as plain values, without what counts drills by its own word."""
    if is_dataclass(value):
        of_drills = OF_DRILLS | ({"state"} if isinstance(value, CaseProgress) else set())
        kept = (field.name for field in fields(value) if field.name not in of_drills)
        return {name: plain(getattr(value, name)) for name in kept}
    if isinstance(value, dict):
        return {name: plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value.replace(READY, "") if isinstance(value, str) else value


def figures(client: Client, addresses: list[str], **names: object) -> dict[str, Any]:
    pages = {}
    for address in addresses:
        response = client.get(address.format(**names))
        assert response.status_code == 200, address
        own = {
            name: plain(response.context[name])
            for name in ("report", "desk", "form", "proposal")
            if name in response.context and is_dataclass(response.context[name])
        }
        assert own, f"{address} has no report to hold still"
        pages[address] = own
    return pages


def tallies() -> dict[str, list[Any]]:
    kept = {
        model.__name__: list(model.objects.filter(kind=Kind.SOLVE).order_by("pk").values())
        for model in (CaseTally, MixUpTally, CaseWeekTally, WeekTally)
    }
    return {**kept, "CoverageTally": list(CoverageTally.objects.order_by("pk").values())}


def drill_log() -> list[Any]:
    """Thirty drills: one look, two, the wrong algorithm, given up, slow, undated."""
    start = NOW + 2 * DAY
    rows = [make_row(*DRILL, done_at=start + timedelta(minutes=n), gap_ms=90) for n in range(24)]
    rows += [
        make_row(EDGES_FIRST, SUNE, T_PERM, done_at=start + timedelta(hours=1), gap_ms=803),
        make_row(ANTISUNE, SUNE, SUNE, done_at=start + timedelta(hours=2)),
        make_row(SUNE, T_PERM, done_at=None),
        make_row(SUNE, T_PERM, done_at=start + timedelta(hours=3), penalty=Penalty.DNF),
        make_row(SUNE, T_PERM, done_at=start + timedelta(hours=4), is_timed=False),
        make_row(T_PERM, done_at=start + timedelta(hours=5)),
    ]
    return rows


@pytest.fixture
def team() -> tuple[Membership, Membership, int]:
    _, coach, members = make_team()
    member = members[0]
    make_upload(coach.user, make_rows(4))
    make_upload(member.user, [*solves("1011"), *make_rows(3)])
    return coach, member, make_homework(coach, members).pk


def test_a_drill_log_changes_no_figure_and_no_tally_of_solves(team):
    coach, member, homework = team
    names = {
        "slug": member.club.slug,
        "member": member.pk,
        "coach": coach.pk,
        "homework": homework,
    }
    own, coached = Client(), Client()
    own.force_login(member.user)
    coached.force_login(coach.user)

    def everything() -> tuple[Any, ...]:
        return figures(own, OWN, **names), figures(coached, COACHED, **names), tallies()

    everything()  # a first look is written down
    before = everything()
    n_solves = Solve.objects.filter(kind=Kind.SOLVE).count()
    upload = make_upload(member.user, drill_log())
    assert upload.n_taken == 30
    assert Solve.objects.filter(kind=Kind.DRILL).count() == 30
    assert Solve.objects.filter(kind=Kind.SOLVE).count() == n_solves
    after = everything()
    for mine, yours in zip(before, after, strict=True):
        for name in mine:
            assert yours[name] == mine[name], name


def test_drills_are_seen_as_drills(team):
    _, member, _ = team
    make_upload(member.user, drill_log())
    client = make_client(member.user)
    log = client.get("/log/").context["report"]
    assert (log.n_solves, log.n_drills) == (7, 30)
    listed = client.get("/solves/?kind=drill").context["report"]
    assert listed.n == 30
    assert client.get("/solves/?kind=drill&case=oll-40").context["report"].n == 25
    drills = client.get("/cases/oll/40/").context["report"].drills
    assert (drills.n, drills.n_one_look) == (25, 24)
