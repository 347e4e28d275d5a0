"""What a homework's page says is what the solves behind it say."""

from datetime import timedelta

import pytest

from cubecore.rows import Penalty
from logs.errors import NotFoundError
from logs.homework.figures import DrillWord, Way
from logs.homework.report.homework import (
    assignment_report,
    club_homework,
    homework_report,
    open_codes,
    own_homework,
)
from logs.homework.services import (
    assignment_excuse,
    cases_mark_shown,
    drill_answer,
    drill_seal,
    homework_close,
)
from logs.people.models import Visibility
from logs.practice.models import PracticeAnswer
from tests.desk import (
    CASE_27,
    CASE_40,
    DAY,
    DRILL,
    EDGES_FIRST,
    ONE_LOOK,
    make_homework,
    make_team,
    make_weeks,
    solves,
)
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_client,
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


def counts(case) -> tuple[int, int]:
    return case.solves.one_look.n_hits, case.solves.one_look.n


# Worked runs of Wald's test (1945), logs by hand.
@pytest.mark.parametrize(
    ("hits", "state", "n_hits", "n", "is_anew"),
    [
        ("", "open", 0, 0, False),
        ("11", "open", 2, 2, False),
        ("111", "verified", 3, 3, False),
        ("011111", "verified", 5, 6, False),
        ("1110", "verified", 3, 3, False),
        ("00", "not_yet", 0, 2, True),
        ("000", "open", 0, 3, True),
        ("001", "open", 1, 3, False),
        ("000000", "ask_coach", 0, 6, True),
    ],
)
def test_a_case_stands_where_its_solves_put_it(team, hits, state, n_hits, n, is_anew):
    _, coach, member, homework = team
    make_upload(member.user, solves(hits) or None)
    case = case_of(coach, member, homework)
    assert (case.solves.state, case.solves.is_anew) == (state, is_anew)
    assert counts(case) == (n_hits, n)
    overall = {"verified": "verified", "ask_coach": "together"}.get(state, "open")
    assert case.state == overall
    assert len(case.meetings) == case.solves.n_met == n


def test_what_was_done_before_it_was_set_does_not_count(team):
    _, coach, member, homework = team
    make_upload(member.user, solves("111", start=NOW - DAY))
    make_upload(member.user, [make_row(*ONE_LOOK, done_at=NOW)])
    assert counts(case_of(coach, member, homework)) == (0, 0)


def test_each_homework_counts_from_its_own_moment(team):
    _, coach, member, first = team
    second = make_homework(coach, [member], now=NOW + DAY)
    make_upload(member.user, solves("11"))  # the first of them at the very moment of the second
    (asked_last, asked_first) = own_homework(actor=member.user, now=LATER).open
    assert (asked_last.head.id, asked_first.head.id) == (second.pk, first.pk)
    assert counts(asked_first.member.cases[0]) == (2, 2)
    assert counts(asked_last.member.cases[0]) == (1, 1)


def test_a_solve_without_a_date_does_not_count(team):
    _, coach, member, homework = team
    make_upload(member.user, [make_row(*ONE_LOOK, done_at=None)])
    assert counts(case_of(coach, member, homework)) == (0, 0)


def drills(n: int, *turns: str):
    return [
        make_row(*(turns or DRILL), done_at=NOW + DAY + timedelta(minutes=place))
        for place in range(n)
    ]


@pytest.mark.parametrize(("n", "state"), [(4, "open"), (5, "ready"), (20, "ready")])
def test_clean_drills_of_a_log_make_ready_and_solves_alone_verify(team, n, state):
    _, coach, member, homework = team
    make_upload(member.user, drills(n))
    case = case_of(coach, member, homework)
    assert (case.state, case.learn.state, case.learn.n_done) == (state, state, n)
    assert (case.learn.n_from_log, case.learn.n_by_word) == (n, 0)
    fifth = NOW + DAY + timedelta(minutes=4)
    assert case.learn.ready_at == (fifth if n >= 5 else None)
    assert (case.solves.n_met, case.solves.state) == (0, "open")
    make_upload(member.user, solves("0000", start=NOW + 2 * DAY))
    assert case_of(coach, member, homework).state == state  # what solves show takes nothing away
    make_upload(member.user, solves("1111111", start=NOW + 3 * DAY))
    assert case_of(coach, member, homework).state == "verified"


def test_drills_in_two_looks_are_not_clean(team):
    _, coach, member, homework = team
    make_upload(member.user, drills(6, EDGES_FIRST, SUNE, T_PERM))
    case = case_of(coach, member, homework)
    assert (case.state, case.learn.n_done) == ("open", 0)


def tell(member, *words: str, scramble: str = "", at=NOW + DAY) -> None:
    """The member's own word on drills of OLL 40."""
    for place, word in enumerate(words):
        text = scramble or f"R{place}"
        seal = drill_seal(actor=member.user, case=CASE_40, scramble=text)
        moment = at + timedelta(seconds=place)
        drill_answer(actor=member.user, seal=seal, word=DrillWord(word), n_left=9, now=moment)


def test_the_member_s_own_word_counts_as_that(team):
    _, coach, member, homework = team
    make_upload(member.user, drills(2))
    tell(member, "clean", "stumbled", "clean", "did_not_know")
    case = case_of(coach, member, homework)
    assert (case.state, case.learn.n_from_log, case.learn.n_by_word) == ("open", 2, 2)
    tell(member, "clean", at=NOW + 2 * DAY)
    assert case_of(coach, member, homework).state == "ready"


def test_a_drill_that_a_log_holds_too_counts_once(team):
    _, coach, member, homework = team
    (row,) = drills(1)
    tell(member, "clean", scramble=row.scramble)
    assert case_of(coach, member, homework).learn.n_by_word == 1
    make_upload(member.user, [row])
    learn = case_of(coach, member, homework).learn
    assert (learn.n_from_log, learn.n_by_word) == (1, 0)


def answer(member, hits: str, *, task: str = "case", at=NOW + DAY) -> None:
    """Answers of the practice page on OLL 40: ``1`` right, ``0`` wrong."""
    for place, hit in enumerate(hits):
        PracticeAnswer.objects.create(
            member=member.user,
            question=f"{task}-{at:%m%d%H%M}-{place}",
            at=at + timedelta(seconds=place),
            task=task,
            stage="oll",
            case="40",
            angle=0,
            answered="40" if task == "hold" or hit == "1" else "39",
            answered_side=0 if task == "hold" else None,
            is_right=hit == "1",
        )


def test_told_and_held_right_so_many_times_running_makes_ready():
    _, coach, (member,) = make_team()
    homework = make_homework(coach, [member], way=Way.PRACTICE, n_wanted=6)
    answer(member, "11111" + "0" + "11111")
    answer(member, "111111", task="hold")
    case = case_of(coach, member, homework)
    learn = case.learn
    assert (case.state, learn.n_told_running, learn.n_held_running) == ("open", 5, 6)
    assert (learn.n_done, learn.n_wanted) == (5, 6)
    answer(member, "1" * 6 + "0", at=NOW + 2 * DAY)
    case = case_of(coach, member, homework)
    assert (case.state, case.learn.ready_at) == ("ready", NOW + 2 * DAY)


def test_what_was_practised_before_it_was_asked_does_not_count():
    _, coach, (member,) = make_team()
    answer(member, "1" * 6, at=NOW - DAY)
    homework = make_homework(coach, [member], way=Way.PRACTICE, n_wanted=1)
    assert case_of(coach, member, homework).learn.n_told_running == 0


def test_shown_is_the_coach_s_word_whatever_the_way():
    _, coach, (member,) = make_team()
    for way, n_wanted in ((Way.DRILLS, 5), (Way.COACH, None)):
        homework = make_homework(coach, [member], way=way, n_wanted=n_wanted)
        assert case_of(coach, member, homework).state == "open"
        cases_mark_shown(
            actor=coach.user,
            homework_id=homework.pk,
            membership_id=member.pk,
            cases=[CASE_40],
            is_shown=True,
            now=NOW + DAY,
        )
        case = case_of(coach, member, homework)
        assert (case.state, case.learn.shown_at) == ("shown", NOW + DAY)


def test_how_soon_chance_brings_a_case_is_told_by_a_usual_week(team):
    """OLL 40 comes up in 4 of 216 solves: within 38 half of the time (ln .5 / ln(212/216))."""
    _, coach, member, homework = team
    expectation = case_of(coach, member, homework).expectation
    assert (expectation.n_solves, expectation.per_week, expectation.n_weeks) == (38, 0, None)
    make_weeks(member, [19] * 8, until=LATER)
    expectation = case_of(coach, member, homework).expectation
    assert (expectation.per_week, expectation.n_weeks) == (19, 2)


def test_a_look_that_is_no_algorithm_of_the_book_is_no_hit(team):
    _, coach, member, homework = team
    # Edges and corners in one run without a pause: one look to the engine, none of the book's.
    run = [
        make_row(LAST_PAIR, f"{EDGES_FIRST} {SUNE}", T_PERM, done_at=NOW + n * DAY) for n in (1, 2)
    ]
    make_upload(member.user, run)
    case = case_of(coach, member, homework)
    assert counts(case) == (0, 2)
    assert {(line.n_looks, line.is_of_book) for line in case.meetings} == {(1, False)}


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
    assert counts(case_of(coach, member, homework)) == (0, 2)


def test_closing_ends_what_counts(team):
    _, coach, member, homework = team
    make_upload(member.user, solves("11"))
    homework_close(actor=coach.user, homework_id=homework.pk, reason="Enough.", now=NOW + 2 * DAY)
    make_upload(member.user, solves("1", start=NOW + 3 * DAY))
    assert counts(case_of(coach, member, homework)) == (2, 2)


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
    make_upload(member.user, solves("111", start=NOW - DAY))  # a part begins after ten gaps: 1.50 s
    homework = make_homework(coach, [member], goal="recognition", recognition_target_ms=1200)
    make_upload(member.user, solves("111", gap_ms=120))
    case = case_of(coach, member, homework)
    assert case.state == "verified"
    assert (case.solves.recognition.n_hits, case.solves.recognition.n) == (3, 3)
    slower = make_homework(coach, [member], goal="recognition", recognition_target_ms=1190)
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
    assert (case.state, case.expectation) == ("excused", None)
    assert (case.excuse.at, case.excuse.reason) == (NOW + DAY, "Sore wrist.")
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


def test_of_a_member_who_hides_the_coach_sees_that_it_is_set():
    club, coach, (one, hider) = make_team(2)
    homework = make_homework(coach, [one, hider])
    make_upload(hider.user, solves("111"))
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    report = homework_report(actor=coach.user, homework_id=homework.pk, now=LATER)
    assert [m.name for m in report.members] == [one.display_name]
    (hidden,) = report.hidden
    assert (hidden.name, hidden.shown) == (hider.display_name, ())
    assert [case.code for case in hidden.cases] == ["oll-40"]
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
    there = make_homework(other_coach, [again])
    report = homework_report(actor=other_coach.user, homework_id=there.pk, now=LATER)
    assert (report.members, len(report.hidden)) == ((), 1)
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


def signed_words(membership, address: str) -> str:
    """The words of a page as a member reads it."""
    client = make_client(membership.user)
    response = client.get(address)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize(("seconds", "n"), [(-1, 2), (0, 3), (1, 3)])
def test_a_solve_at_the_very_moment_of_closing_counts(team, seconds: int, n: int):
    _, coach, member, homework = team
    make_upload(member.user, solves("111"))  # the last of them two minutes after the first
    closing = NOW + DAY + timedelta(minutes=2, seconds=seconds)
    homework_close(actor=coach.user, homework_id=homework.pk, reason="x", now=closing)
    assert counts(case_of(coach, member, homework)) == (n, n)
