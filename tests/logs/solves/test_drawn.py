"""Solves drawn to be written down: through the page, into rates, progress and the club's coverage."""

import re
from collections.abc import Iterable
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.test import Client

from cubecore.cases import Stage
from logs.errors import ConflictError
from logs.people.models import Membership, Role, Visibility
from logs.progress.report.progress import Choice, ProgressReport, progress_report
from logs.solves.figures.sampling import Basis, draw_places
from logs.solves.models.draws import Draw, WrittenSolve
from logs.solves.models.solves import Solve
from logs.solves.models.tallies import CoverageTally
from logs.solves.report.drawn import drawn_report
from logs.solves.selectors.draws import rate_rows_of_log
from logs.solves.services.corrections import solve_correct, solve_delete
from logs.solves.services.draws import draw_add, draw_extend
from logs.solves.services.tallies import tally_rebuild
from logs.stats.design import weighted_share
from tests.desk import CASE_27, make_homework
from tests.factories import (
    LAST_PAIR,
    NOW,
    SENT_AT,
    SUNE,
    T_PERM,
    make_client,
    make_club,
    make_membership,
    make_row,
    make_upload,
)

pytestmark = pytest.mark.django_db
UTC = ZoneInfo("UTC")
ONE_LOOK = make_row(LAST_PAIR, SUNE, T_PERM, is_timed=False)
# Sune twice over where OLL 26 lies: two looks, as each brings F2L home (as tests of looks have it).
TWO_LOOK = make_row(LAST_PAIR, SUNE, "U", SUNE, T_PERM, is_timed=False)


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club(), visibility=Visibility.CLUB)


@pytest.fixture
def mine(member: Membership) -> Client:
    return make_client(member)


def add_times(member: Membership, n: int, *, start: int = 0, row=ONE_LOOK) -> list[int]:
    """Solves with a time alone, an hour apart; their numbers in the order of time."""
    rows = [
        row._replace(solution=None, done_at=(NOW + timedelta(hours=start + i)).isoformat())
        for i in range(n)
    ]
    upload = make_upload(member.user, rows, file_name=f"{start}.csv")
    return list(upload.solves.order_by("done_at").values_list("pk", flat=True))


def write(member: Membership, numbers: Iterable[int], row=ONE_LOOK) -> None:
    for number in numbers:
        solve_correct(
            actor=member.user,
            solve_id=number,
            values={"scramble": row.scramble, "solution": row.solution},
            time_zone=UTC,
            now=SENT_AT,
        )


def draw(member: Membership, n: int = 5, seed: int = 3) -> Draw:
    return draw_add(actor=member.user, n_wanted=n, since=None, zone=UTC, seed=seed, now=SENT_AT)


def asked(draw: Draw) -> list[int]:
    places = draw.places.filter(round__lte=draw.n_rounds).order_by("round", "part")
    return list(places.values_list("solve_number", flat=True))


def progress(member: Membership, stage: Stage = Stage.OLL) -> ProgressReport:
    return progress_report(actor=member.user, choice=Choice(stage=stage), now=SENT_AT)


def basis_of(member: Membership) -> Basis | None:
    written = progress(member).written
    return None if written is None else written.basis


def test_the_page_draws_five_lists_them_and_takes_the_next(member: Membership, mine: Client):
    numbers = add_times(member, 23)
    page = mine.post("/drawn/", {"n": "5", "since": ""}, follow=True)
    made = Draw.objects.get()
    expected = draw_places(numbers, n_parts=5, n_rounds=4, seed=made.seed)
    assert asked(made) == [place.number for place in expected[:5]]
    assert page.content.decode().count(">Write it down<") == 5
    assert "From 23 solves, in the order of time" in page.content.decode()
    first = asked(made)[0]
    assert page.context["report"].next_id == first
    assert mine.get("/write/").context["next_drawn"].pk == first
    begun = mine.post("/write/", {"solve": first}, follow=True)
    own = begun.context["writeup"]
    mine.post(f"/write/{own.pk}/", {"solution": ONE_LOOK.solution, "then": "send"})
    report = mine.get("/drawn/").context["report"]
    assert (report.draws[0].n_missing, report.next_id) == (4, asked(made)[1])
    assert report.rows.basis is Basis.CHOSEN


def test_only_solves_since_the_day_and_never_the_same_twice(member: Membership):
    numbers = add_times(member, 30)  # from 1 March, 12:00, an hour apart
    made = draw_add(
        actor=member.user,
        n_wanted=3,
        since=NOW.date() + timedelta(days=1),
        zone=UTC,
        seed=1,
        now=SENT_AT,
    )
    assert made.n_solves == 18  # by hand: 12 of the 30 are before midnight
    assert min(asked(made)) >= numbers[12]
    rest = draw(member, 4)
    assert rest.n_solves == 12
    assert not {*asked(made)} & {*asked(rest)}
    with pytest.raises(ConflictError, match="no solve with a time alone"):
        draw(member)
    add_times(member, 2, start=100)
    assert draw(member, 5).n_parts == 2


def test_more_of_a_draw_changes_none_that_was_asked_before(member: Membership):
    add_times(member, 11)
    made = draw(member)
    before = asked(made)
    more = draw_extend(actor=member.user, draw_id=made.pk)
    assert asked(more)[:5] == before
    assert len({*asked(more)}) == 10
    with pytest.raises(ConflictError, match="no whole round"):
        draw_extend(actor=member.user, draw_id=made.pk)
    assert not drawn_report(actor=member.user).draws[0].is_more_left


def test_drawn_rows_are_weighed_as_drawn_and_a_club_sees_the_same(member: Membership):
    add_times(member, 22)
    made = draw(member)
    numbers = asked(made)
    write(member, numbers[:2], TWO_LOOK)
    write(member, numbers[2:])
    weights = list(made.places.filter(round=1).order_by("part").values_list("n_in_part", flat=True))
    assert sorted(weights) == [4, 4, 4, 5, 5]
    share, span = weighted_share([False, False, True, True, True], weights)
    report = progress(member)
    assert report.written is not None
    assert (report.written.basis, report.written.n_stands_for) == (Basis.DRAWN, 22)
    assert (report.one_look.n_hits, report.one_look.n) == (3, 5)
    assert report.one_look.share == pytest.approx(share)
    assert report.coverage is not None
    assert report.coverage.covered_share == pytest.approx(share)
    assert (report.coverage.covered_range.low, report.coverage.covered_range.high) == pytest.approx(
        (span.low, span.high)
    )
    kept = CoverageTally.objects.get(stage="oll")
    assert kept.basis == "drawn"
    assert kept.covered == pytest.approx(share)
    tally_rebuild(member_ids=[member.user.pk])
    assert CoverageTally.objects.get(stage="oll").covered == kept.covered
    page = make_client(member).get("/progress/").content.decode()
    assert "5 solves drawn and written down stand for 22." in page
    club = make_client(member).get(f"/clubs/{member.club.slug}/").content.decode()
    assert "of a draw, each weighed as it stands for" in club


def test_asking_for_more_counts_what_is_not_written_yet_as_missing_at_once(member: Membership):
    add_times(member, 20)
    made = draw(member)
    write(member, asked(made))
    assert basis_of(member) is Basis.DRAWN
    draw_extend(actor=member.user, draw_id=made.pk)
    assert basis_of(member) is Basis.CHOSEN
    assert CoverageTally.objects.get(stage="oll").basis == "chosen"


def test_rows_of_a_log_count_for_themselves_beside_drawn_ones(member: Membership):
    make_upload(member.user, [TWO_LOOK._replace(done_at=None)], file_name="logged.csv")
    add_times(member, 10)
    made = draw(member)
    write(member, asked(made))
    report = progress(member)
    assert report.one_look.share == pytest.approx(10 / 11)  # five drawn stand for ten
    assert (report.one_look.n_hits, report.one_look.n) == (5, 6)


def test_more_than_one_in_five_missing_counts_as_picked(member: Membership):
    add_times(member, 20)
    made = draw(member)
    write(member, asked(made)[:3])
    assert basis_of(member) is Basis.CHOSEN
    assert CoverageTally.objects.get(stage="oll").basis == "chosen"
    page = make_client(member).get("/progress/").content.decode()
    assert "2 of 5 solves drawn are not written down yet." in page
    assert "Memory picks the good and the awful" in page
    write(member, asked(made)[3:4])
    assert basis_of(member) is Basis.DRAWN
    solve_delete(actor=member.user, solve_id=asked(made)[0], now=SENT_AT)
    report = drawn_report(actor=member.user)
    assert (report.draws[0].n_missing, report.rows.basis) == (2, Basis.CHOSEN)
    assert "no longer in the log" in make_client(member).get("/drawn/").content.decode()


def test_drawn_rows_of_a_draw_that_fell_short_are_told_of_as_left_out(member: Membership):
    make_upload(member.user, [TWO_LOOK._replace(done_at=None)], file_name="logged.csv")
    add_times(member, 20)
    write(member, asked(draw(member))[:3])
    page = make_client(member).get("/progress/").content.decode()
    assert "2 of 5 solves drawn are not written down yet." in page
    assert "Shares leave out 3 solves picked to be written down" in page


def test_picked_rows_are_left_out_of_shares_where_a_log_has_others_and_told_of(member: Membership):
    make_upload(member.user, [TWO_LOOK._replace(done_at=None)], file_name="logged.csv")
    numbers = add_times(member, 3)
    write(member, numbers[:2])
    assert WrittenSolve.objects.count() == 2
    report = progress(member)
    assert (report.one_look.n_hits, report.one_look.n) == (0, 1)
    assert report.n_met == 3  # the cases are told of all the same
    kept = CoverageTally.objects.get(stage="oll")
    assert (kept.basis, kept.n_looks) == ("logged", 1)
    page = make_client(member).get("/progress/").content.decode()
    assert "Shares leave out 2 solves picked to be written down" in page


def test_a_new_solve_written_on_the_page_is_picked_and_one_from_a_file_is_not(
    member: Membership, mine: Client
):
    mine.post("/write/", {"scramble": ONE_LOOK.scramble, "time": "9.87"})
    place = re.search(r"/write/(\d+)/", mine.get("/write/").content.decode())
    assert place is not None
    mine.post(place[0], {"solution": ONE_LOOK.solution, "then": "send"})
    rows = rate_rows_of_log(member_id=member.user.pk)
    assert (rows.basis, len(rows.chosen)) == (Basis.CHOSEN, 1)
    assert CoverageTally.objects.get(stage="oll").basis == "chosen"
    make_upload(member.user, [TWO_LOOK])
    rows = rate_rows_of_log(member_id=member.user.pk)
    assert (rows.basis, rows.left_out) == (
        Basis.LOGGED,
        frozenset({Solve.objects.order_by("pk")[0].pk}),
    )


def test_a_solution_corrected_later_or_sent_by_a_file_is_not_picked(member: Membership):
    (number,) = add_times(member, 1)
    make_upload(member.user, [ONE_LOOK._replace(done_at=NOW.isoformat())], file_name="whole.csv")
    assert Solve.objects.get(pk=number).solution
    solve_correct(
        actor=member.user, solve_id=number, values={"note": "slow"}, time_zone=UTC, now=SENT_AT
    )
    assert not WrittenSolve.objects.exists()


@pytest.mark.parametrize("sent", [{"n": "0"}, {"n": "51"}, {"n": "x"}, {"n": "5", "since": "soon"}])
def test_a_draw_that_is_asked_for_wrongly_is_said(mine: Client, sent: dict[str, str]):
    assert mine.post("/drawn/", sent).status_code == 422
    assert not Draw.objects.exists()


def test_homework_the_map_and_the_page_of_a_case_say_which_solves_were_picked(member: Membership):
    coach = make_membership(member.club, role=Role.COACH)
    homework = make_homework(coach, [member], (CASE_27,))
    numbers = add_times(member, 3, start=30)
    write(member, numbers[:2])
    make_upload(member.user, [ONE_LOOK._replace(done_at=(NOW + timedelta(hours=40)).isoformat())])
    said = "2 of these were picked to be written down."
    client = make_client(member)
    for address in (f"/homework/{homework.pk}/", "/cases/", "/cases/oll/27/"):
        assert said in client.get(address).content.decode(), address
    next_up = client.get("/next-up/").context["report"]
    assert (next_up.n_picked, next_up.n_sightings) == (0, 2)  # left out: a log has others
