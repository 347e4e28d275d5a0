"""Pages show a time inside one solve no finer than the instrument that took it.

The solves here are timed from a video of 30 frames a second, a step of 34 ms, which tells tenths.
"""

import re
from datetime import timedelta

import pytest
from django.test import Client

from cubecore.rows import TimedBy
from logs.homework.models import Homework
from logs.people.models import Membership
from logs.solves.models.solves import Solve
from logs.words import split, whole_ms
from tests.desk import make_homework, make_team, solves
from tests.factories import NOW, make_client, make_upload

HUNDREDTHS = r"\d+\.\d\d"


@pytest.mark.parametrize(
    ("ms", "step_ms", "shown", "exact"),
    [
        (1_519, None, "1.51", "1519 ms"),
        (1_519, 1, "1.51", "1519 ms"),
        (1_519, 10, "1.51", "1.51 s"),
        (1_519, 17, "1.5", "1.5 s"),  # 60 frames a second
        (1_519, 40, "1.5", "1.5 s"),  # 25
        (61_519, 34, "1:01.5", "1:01.5 s"),
        (1_519, 250, "1", "1 s"),
    ],
)
def test_a_time_has_the_digits_that_its_step_leaves_it(ms, step_ms, shown, exact):
    assert (split(ms, step_ms), whole_ms(ms, step_ms)) == (shown, exact)


@pytest.fixture
def member(db) -> Membership:
    _, coach, (own,) = make_team()
    make_homework(coach, [own], now=NOW + timedelta(hours=12))
    rows = solves("11011", start=NOW + timedelta(days=1), gap_ms=151)
    rows += solves("1101", start=NOW + timedelta(hours=2), gap_ms=157)
    video = [row._replace(timed_by=TimedBy.VIDEO, step_ms=34) for row in rows]
    make_upload(own.user, video)
    return own


@pytest.fixture
def mine(member: Membership) -> Client:
    return make_client(member)


def part(page: str, start: str, end: str = "</table>") -> str:
    assert start in page
    return page.split(start, 1)[1].split(end, 1)[0]


def test_the_page_of_a_solve(mine: Client):
    page = mine.get(f"/solves/{Solve.objects.earliest('pk').pk}/").content.decode()
    for region in ('aria-label="Stages"', 'aria-label="Looks"', 'aria-label="Key states"'):
        assert re.search(r"\d\.\d", part(page, region))
        assert not re.search(HUNDREDTHS, part(page, region))
    strip = part(page, '<svg class="time-strip"', "</figure>")
    assert "recognition 1.5 s" in strip
    assert not re.search(rf"{HUNDREDTHS} s|\d ms", strip)
    steps = part(page, 'id="solve-steps" type="application/json">', "</script>")
    assert '"at": "1.5 s"' in steps
    assert not re.search(rf"{HUNDREDTHS} s|\d ms", steps)
    assert "cut to the tenth" in page


def test_the_sightings_of_a_case(mine: Client):
    page = mine.get("/cases/oll/40/").content.decode()
    for region in ('aria-label="Each time I met', 'aria-label="Times of'):
        table = part(page, region)
        assert '<td class="num">1.5</td>' in table
        assert not re.search(rf'<td class="num">{HUNDREDTHS}</td>', table)
    assert "recognition 1.5 s, execution" in page
    assert not re.search(rf"recognition {HUNDREDTHS} s, execution", page)


def test_the_points_of_progress(mine: Client):
    page = mine.get("/progress/?looks=more").content.decode()
    assert re.search(r"recognition \d+\.\d s, one sighting", page)
    assert not re.search(rf"{HUNDREDTHS} s, one sighting", page)


def test_the_solves_behind_homework(mine: Client, member: Membership):
    number = Homework.objects.get().pk
    page = mine.get(f"/homework/{number}/members/{member.pk}/").content.decode()
    behind = part(page, 'aria-label="Solves with OLL 40')
    assert '<td class="num">1.5</td>' in behind
    assert not re.search(HUNDREDTHS, behind)
    effect = page.split('aria-label="Solves with OLL 40')[1]
    assert re.search(r'<td>(since|before)</td><td class="num">\d+\.\d</td>', effect)
    assert not re.search(rf'<td>(since|before)</td><td class="num">{HUNDREDTHS}', effect)
