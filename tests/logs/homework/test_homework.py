"""What a homework's page says is what the solves behind it say."""

from datetime import timedelta

import pytest

from cubecore.rows import Penalty
from logs.errors import NotFoundError
from logs.homework.report.homework import (
    assignment_report,
    club_homework,
    homework_report,
    open_codes,
    own_homework,
)
from logs.homework.services import assignment_excuse, homework_close
from logs.people.models import Visibility
from tests.desk import (
    CASE_27,
    CASE_40,
    DAY,
    DRILL,
    EDGES_FIRST,
    ONE_LOOK,
    make_homework,
    make_team,
    solves,
)
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_membership,
    make_row,
    make_upload,
)

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(days=30)


@pytest.fixture
def team():
    club, coach, members = make_team()
    return club, coach, members[0], make_homework(coach, members)


def case_of(coach, member, homework):
    report = assignment_report(
        actor=coach.user, homework_id=homework.pk, membership_id=member.pk, now=LATER
    )
    return report.member.cases[0]


# The design's worked runs (Wald 1945); a restart is said as "not yet".
@pytest.mark.parametrize(
    ("hits", "state", "short"),
    [
        ("", "open", "not met yet"),
        ("11", "open", "under way, 2 of 2"),
        ("111", "verified", "verified, 3 of 3"),
        ("011111", "verified", "verified, 5 of 6"),
        ("1110", "verified", "verified, 3 of 3"),
        ("00", "not_yet", "not yet, 0 of 2"),
        ("000", "open", "not yet, 0 of 3"),
        ("001", "open", "under way, 1 of 3"),
        ("000000", "ask_coach", "look at it together, 0 of 6"),
    ],
)
def test_a_case_stands_where_its_solves_put_it(team, hits, state, short):
    _, coach, member, homework = team
    make_upload(member.user, solves(hits) or None)
    case = case_of(coach, member, homework)
    assert (case.state, case.short) == (state, short)
    assert len(case.meetings) == min(len(hits), 3 if state == "verified" and hits[0] == "1" else 9)


def test_what_was_done_before_it_was_set_does_not_count(team):
    _, coach, member, homework = team
    make_upload(member.user, solves("111", start=NOW - DAY))
    make_upload(member.user, [make_row(*ONE_LOOK, done_at=NOW)])
    assert case_of(coach, member, homework).short == "not met yet"


def test_each_homework_counts_from_its_own_moment(team):
    _, coach, member, first = team
    second = make_homework(coach, [member], now=NOW + DAY)
    make_upload(member.user, solves("11"))  # the first of them at the very moment of the second
    (asked_last, asked_first) = own_homework(actor=member.user, now=LATER).open
    assert (asked_last.head.id, asked_first.head.id) == (second.pk, first.pk)
    assert asked_first.member.cases[0].short == "under way, 2 of 2"
    assert asked_last.member.cases[0].short == "under way, 1 of 1"


def test_a_solve_without_a_date_does_not_count(team):
    _, coach, member, homework = team
    make_upload(member.user, [make_row(*ONE_LOOK, done_at=None)])
    assert case_of(coach, member, homework).short == "not met yet"


def test_only_solves_verify_and_drills_say_ready(team):
    _, coach, member, homework = team
    make_upload(
        member.user,
        [make_row(*DRILL, done_at=NOW + DAY + timedelta(minutes=n)) for n in range(3)],
    )
    case = case_of(coach, member, homework)
    assert (case.is_ready, case.state) == (True, "open")
    assert case.short == "not met yet, ready from drills"
    assert case.drills == (
        "In drills 3 of 3 times in one look. Ready to be met: only solves verify it."
    )


def test_drills_stay_a_gate_while_solves_come_in(team):
    """Ready to be met is said until solves decide; no number of drills verifies a case."""
    _, coach, member, homework = team
    drilled = [make_row(*DRILL, done_at=NOW + DAY + timedelta(minutes=n)) for n in range(20)]
    make_upload(member.user, [*drilled, *solves("1", start=NOW + 2 * DAY)])
    case = case_of(coach, member, homework)
    assert (case.is_ready, case.state) == (True, "open")
    assert case.short == "under way, 1 of 1, ready from drills"
    assert len(case.meetings) == 1
    make_upload(member.user, solves("000", start=NOW + 3 * DAY))
    case = case_of(coach, member, homework)
    assert case.short == "not yet, 1 of 4"
    make_upload(member.user, solves("11111111", start=NOW + 4 * DAY))
    case = case_of(coach, member, homework)
    assert case.state == "verified"
    assert "ready" not in case.short


def test_drills_in_two_looks_are_not_ready(team):
    _, coach, member, homework = team
    two = [
        make_row(EDGES_FIRST, SUNE, T_PERM, done_at=NOW + DAY + timedelta(minutes=n))
        for n in range(3)
    ]
    make_upload(member.user, two)
    case = case_of(coach, member, homework)
    assert (case.is_ready, case.short) == (False, "not met yet")
    assert case.drills == "In drills 0 of 3 times in one look."


def test_a_look_that_is_no_algorithm_of_the_book_is_no_hit(team):
    _, coach, member, homework = team
    # Edges and corners in one run without a pause: one look to the engine, none of the book's.
    run = [
        make_row(LAST_PAIR, f"{EDGES_FIRST} {SUNE}", T_PERM, done_at=NOW + n * DAY) for n in (1, 2)
    ]
    make_upload(member.user, run)
    case = case_of(coach, member, homework)
    assert case.short == "not yet, 0 of 2"
    assert {line.looks for line in case.meetings} == {"one look, but no algorithm of the book"}


def test_a_dnf_that_met_the_case_counts(team):
    _, coach, member, homework = team
    rows = [
        make_row(LAST_PAIR, EDGES_FIRST, done_at=NOW + n * DAY, penalty=Penalty.DNF) for n in (1, 2)
    ]
    # Its scramble is undone by the whole solve: cut short, the case was met and not finished.
    whole = make_row(LAST_PAIR, EDGES_FIRST, SUNE, T_PERM)
    make_upload(
        member.user,
        [
            type(row)(
                scramble=whole.scramble,
                time_ms=row.time_ms,
                penalty=row.penalty,
                solution=row.solution,
                turn_ms=row.turn_ms,
                done_at=row.done_at,
            )
            for row in rows
        ],
    )
    assert case_of(coach, member, homework).short == "not yet, 0 of 2"


def test_closing_ends_what_counts(team):
    _, coach, member, homework = team
    make_upload(member.user, solves("11"))
    homework_close(actor=coach.user, homework_id=homework.pk, reason="Enough.", now=NOW + 2 * DAY)
    make_upload(member.user, solves("1", start=NOW + 3 * DAY))
    assert case_of(coach, member, homework).short == "under way, 2 of 2"


def test_every_sighting_behind_a_count_is_linked(team):
    _, coach, member, homework = team
    upload = make_upload(member.user, solves("101"))
    case = case_of(coach, member, homework)
    assert {line.solve_id for line in case.meetings} == set(
        upload.solves.values_list("pk", flat=True)
    )
    assert [line.is_hit for line in case.meetings] == [True, False, True]


def test_recognition_is_asked_in_seconds_and_read_from_timed_solves():
    _, coach, (member,) = make_team()
    homework = make_homework(coach, [member], goal="both", recognition_target_ms=1500)
    make_upload(member.user, solves("111"))  # a part begins after ten gaps of 150 ms: 1.50 s
    assert case_of(coach, member, homework).short == "verified, in one look 3 of 3, in time 3 of 3"
    slower = make_homework(coach, [member], goal="both", recognition_target_ms=1490)
    assert case_of(coach, member, slower).state == "open"


def test_an_excused_case_is_asked_no_more_and_keeps_its_reason(team):
    _, coach, member, homework = team
    assignment_excuse(
        actor=coach.user,
        homework_id=homework.pk,
        membership_id=member.pk,
        cases=[CASE_40],
        reason="Sore wrist.",
        now=NOW + DAY,
    )
    case = case_of(coach, member, homework)
    assert (case.state, case.excuse) == ("excused", "Excused on 2 Mar 2026: Sore wrist.")
    make_upload(member.user, solves("111"))
    assert case_of(coach, member, homework).state == "verified"


def test_members_see_their_own_part_and_nobody_else_s():
    _, coach, (one, other) = make_team(2)
    homework = make_homework(coach, [one, other])
    own = assignment_report(actor=one.user, homework_id=homework.pk, membership_id=None, now=LATER)
    assert own.member.name == one.display_name
    with pytest.raises(NotFoundError):
        assignment_report(
            actor=one.user, homework_id=homework.pk, membership_id=other.pk, now=LATER
        )
    with pytest.raises(NotFoundError):
        homework_report(actor=one.user, homework_id=homework.pk, now=LATER)


def test_a_member_who_hides_is_counted_and_not_named():
    club, coach, (one, hider) = make_team(2)
    homework = make_homework(coach, [one, hider])
    make_upload(hider.user, solves("111"))
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    report = homework_report(actor=coach.user, homework_id=homework.pk, now=LATER)
    assert ([m.name for m in report.members], report.n_hidden) == ([one.display_name], 1)
    (line,) = club_homework(actor=coach.user, slug=club.slug, now=LATER).open
    assert (line.n_members, line.n_verified, line.n_asked) == (2, 0, 1)
    own = own_homework(actor=hider.user, now=LATER)
    assert own.open[0].member.n_verified == 1


def test_who_left_the_club_has_its_homework_no_more(team):
    _, _, member, homework = team
    user = member.user
    member.delete()
    assert own_homework(actor=user, now=LATER).open == ()
    with pytest.raises(NotFoundError):
        assignment_report(actor=user, homework_id=homework.pk, membership_id=None, now=LATER)


def test_two_clubs_of_one_member_are_kept_apart():
    _, coach, (member,) = make_team()
    other_club, other_coach, _ = make_team()
    again = make_membership(other_club, member.user)  # hidden there
    homework = make_homework(coach, [member])
    with pytest.raises(NotFoundError):
        make_homework(other_coach, [again])
    with pytest.raises(NotFoundError):
        homework_report(actor=other_coach.user, homework_id=homework.pk, now=LATER)


def test_open_cases_are_those_neither_verified_nor_excused():
    _, coach, (member,) = make_team()
    make_homework(coach, [member], (CASE_40, CASE_27))

    def codes() -> set[str]:
        return open_codes(actor=coach.user, member=member.user, membership=member)

    assert codes() == {"oll-40", "oll-27"}
    make_upload(member.user, solves("111"))
    assert codes() == {"oll-27"}
    assert open_codes(actor=member.user, member=member.user, membership=None) == {"oll-27"}
