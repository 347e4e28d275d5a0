"""What practice and drills are answered with, straight from the reports."""

from random import Random

import pytest

from cubecore.cases import CASES, CaseId, Stage
from logs.errors import NotFoundError
from logs.people.models import Visibility
from logs.people.sight import club_sight, sight_of
from logs.practice.models import PracticeAnswer
from logs.practice.report.drills import Ask, drill_day, drill_sheet, drill_start, one_drill
from logs.practice.report.practice import (
    Choice,
    PoolKind,
    alike_pool,
    day_of,
    homework_pool,
    known_code,
    pool_codes,
    pool_of,
    standing_pools,
)
from logs.practice.report.question import (
    PracticeQuestion,
    answered_report,
    club_practice_mistakes,
    member_practice_mistakes,
    practice_question,
    top_stickers,
)
from logs.practice.words import drills_lines, drills_text, drills_title, pool_title
from tests.desk import CASE_27, CASE_40, make_homework, make_team
from tests.factories import NOW, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db


def answered(member, n: int, *, said: str = "26", task: str = "case") -> list[PracticeAnswer]:
    """So many answers to OLL 27 that said another case, or put a wrong side to the front."""
    return [
        PracticeAnswer.objects.create(
            member=member, question=f"{task} {said} {place}", at=NOW, task=task, stage="oll",
            case="27", angle=0, answered="27" if task == "hold" else said, is_right=False,
            answered_side=2 if task == "hold" else None,
        )
        for place in range(n)
    ]  # fmt: skip


def test_the_standing_pools_are_the_sets_and_their_families():
    """57 OLLs and 21 PLLs (common practice, no source)."""
    pools = {pool.code: pool for pool in standing_pools()}
    assert (len(pools["oll"].cases), len(pools["pll"].cases)) == (57, 21)
    of_families = [pool for pool in pools.values() if pool.kind is PoolKind.FAMILY]
    assert all(len({CASES[case].family for case in pool.cases}) == 1 for pool in of_families)
    assert pool_title(pools["oll"]) == "All 57 OLLs"
    assert pool_title(pools["oll.dot"]) == "OLL, dot"


def test_a_case_is_practised_among_what_looks_like_it():
    pool = alike_pool("oll-33")
    assert pool is not None
    assert set(pool.cases) == {CaseId(Stage.OLL, 33), CaseId(Stage.OLL, 45)}  # the two T's
    assert pool_title(pool) == "OLL 33 T and what looks like it"
    assert alike_pool("oll-99") is None


def test_what_is_not_there_falls_back_on_homework_and_then_on_all_olls():
    _, coach, (member,) = make_team()
    assert homework_pool(member.user) is None
    assert pool_of(member.user, Choice("nothing")).code == "oll"
    make_homework(coach, [member], (CASE_40, CASE_27))
    pool = pool_of(member.user, Choice("nothing"))
    assert (pool.code, set(pool.cases)) == ("homework", {CASE_40, CASE_27})
    assert pool_title(pool) == "My homework (2 cases)"


def test_a_code_is_known_or_as_if_it_was_not_asked_for():
    assert all(known_code(code) == code for code in pool_codes())
    assert [known_code(text) for text in ("", "oll-99", "homework ", "\x00")] == [""] * 4


def test_a_day_counts_its_answers_and_its_drills():
    member = make_membership(make_club()).user
    answered(member, 2)
    day = day_of(member, NOW)
    assert (day.n, day.is_done) == (2, False)
    drills = drill_day(actor=member, now=NOW)
    assert (drills.n_today, drills.cap, drills.is_enough) == (0, 30, False)


def test_a_sheet_holds_what_was_asked_for():
    member = make_user()
    ask = Ask(codes=("oll-33", "oll-99"), is_mixed=True, n=3, seed=7, last="red")
    sheet = drill_sheet(actor=member, ask=ask)
    assert [case.title for case in sheet.named] == ["OLL 33 T"]
    assert (sheet.n_cases, sheet.has_look_alikes, sheet.is_one_case) == (2, True, False)
    assert (len(sheet.drills), sheet.colour, sheet.seed, sheet.pool) == (3, "red", 7, None)
    assert drills_title(sheet) == "Drills: OLL 33 T and what looks like it"
    assert drills_lines(sheet) == (
        "3 drills of 2 cases in random order. Scramble white up, green front; the last layer is red",
        "Set 7",
    )
    lines = drills_text(sheet).splitlines()
    assert lines[-3:] == [f"{one.number}. {one.scramble}" for one in sheet.drills]
    form = drill_start(actor=member, ask=ask, now=NOW)
    assert ([case.code for case in form.picked], form.ask.last) == (["oll-33"], "red")


def test_a_drill_says_how_the_cube_is_held_after_it():
    """Yellow is the last layer for want of any log; green lies across from blue (common practice)."""
    _, hold = one_drill(actor=make_user(), case=CASES[CASE_27], rng=Random(1))
    assert hold.up == "yellow"
    assert hold.front not in ("yellow", "white")


def test_the_top_of_a_case_is_told_sticker_by_sticker():
    """OLL 27 has its cross and one corner up, a PLL all (common practice, no source)."""
    sune = top_stickers(CASES[CASE_27], 0)
    assert (sum(sune), sune[4]) == (6, True)
    quarter = top_stickers(CASES[CASE_27], 1)
    assert quarter != sune
    assert sum(quarter) == 6
    assert all(top_stickers(CASES[CaseId(Stage.PLL, "T")], 0))


def test_a_question_holds_its_case_among_the_answers():
    member = make_user()
    question = practice_question(
        actor=member, choice=Choice("oll-33"), last=None, rng=Random(3), now=NOW
    )
    assert isinstance(question, PracticeQuestion)
    assert question.case is None
    assert question.question.case.text in [answer.value for answer in question.answers]
    assert len(question.top) == 9


def test_an_answer_is_told_to_who_gave_it_alone():
    member = make_user()
    (answer,) = answered(member, 1)
    report = answered_report(actor=member, answer_id=answer.pk)
    assert report.answered_case is not None
    assert (report.case.number, report.answered_case.number) == ("27", "26")
    assert (report.answered_side, report.right_side) == (None, None)
    with pytest.raises(NotFoundError):
        answered_report(actor=make_user(), answer_id=answer.pk)


def test_mistakes_of_practice_are_counted_and_named_to_coaches_alone():
    club, coach, (member, _) = make_team(2)
    hidden = make_membership(club, visibility=Visibility.ONLY_ME)
    answered(member.user, 3)
    answered(member.user, 1, task="hold")
    answered(hidden.user, 2)
    view = club_sight(actor=coach.user, slug=club.slug)
    seen = club_practice_mistakes(actor=coach.user, view=view)
    lines = {
        (one.answered.number, one.is_wrong_hold): one for one in (*seen.findings, *seen.too_few)
    }
    assert seen.n == 4
    mixed_up = lines["26", False]
    assert (mixed_up.n_events, mixed_up.n, mixed_up.case.number) == (3, 3, "27")
    assert mixed_up.rate_range.low < mixed_up.rate_share < mixed_up.rate_range.high
    assert [(part.name, part.n_events) for part in mixed_up.by] == [(member.display_name, 3)]
    assert lines["27", True].n_events == 1
    assert seen.membership_ids == [member.pk]
    own = member_practice_mistakes(member=sight_of(actor=member.user))
    assert (own.n, own.membership_ids) == (4, [])
    assert all(line.by == () for line in (*own.findings, *own.too_few))
