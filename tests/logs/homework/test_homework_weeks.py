"""Four weeks of homework by members of three diligences: each state comes when it is true.

The truth is made here: who drills how much, when a case is learnt, and what chance brings. Nothing
of it is read from the app but its words for a state.
"""

from datetime import datetime, timedelta
from random import Random

import pytest

from logs.homework.figures import Asked, Drill, LearnState, Meeting, Way, case_check, learning
from logs.homework.report.data import CaseState
from logs.stats.rates import AdoptionState
from tests.desk import CASE_27, CASE_40, DAY, make_homework, make_team, solves
from tests.factories import NOW, make_upload
from tests.logs.homework.test_homework import case_of, signed_words, tell

CHANCE = 4 / 216
DRILLS_A_WEEK = {"keen": 6, "fair": 2, "idle": 0}
N_WANTED = 5


def weeks(diligence: str, *, is_learnt: bool, rng: Random) -> tuple[list[Drill], list[Meeting]]:
    """Drills and meetings of one case in four weeks of 60 solves each."""
    drills, meetings = [], []
    for week in range(4):
        for n in range(DRILLS_A_WEEK[diligence]):
            at = NOW + timedelta(days=7 * week, hours=n + 1)
            drills.append(Drill(at, rng.random() < 0.8, is_from_log=bool(n % 2)))
        for solve in range(60):
            if rng.random() < CHANCE:
                hit = rng.random() < (0.95 if is_learnt else 0.30)
                at = NOW + timedelta(days=7 * week, minutes=solve + 1)
                meetings.append(Meeting(100 * week + solve, at, 1 if hit else 2, hit, None))
    return drills, meetings


def ready_at(drills: list[Drill]) -> datetime | None:
    """When the fifth clean drill was done, counted by hand."""
    clean = sorted(drill.at for drill in drills if drill.is_clean)
    return clean[N_WANTED - 1] if len(clean) >= N_WANTED else None


@pytest.mark.parametrize("diligence", list(DRILLS_A_WEEK))
def test_ready_comes_with_the_fifth_clean_drill_and_not_before(diligence):
    rng = Random(diligence)
    for _ in range(200):
        drills, _ = weeks(diligence, is_learnt=True, rng=rng)
        rng.shuffle(drills)
        learnt = learning(drills, [], way=Way.DRILLS, n_wanted=N_WANTED, is_shown=False)
        assert learnt.ready_at == ready_at(drills)
        is_ready = learnt.ready_at is not None
        assert learnt.state is (LearnState.READY if is_ready else LearnState.OPEN)
        if diligence == "idle":
            assert not is_ready


def test_false_verified_stays_under_its_bound_and_learners_are_verified_as_chance_allows():
    """Wald 1945: a case that goes in one look 30 times in 100 is verified in at most 5 %."""
    rng = Random(4)
    n = 2_000
    false = 0
    met_enough = verified = 0
    for _ in range(n):
        _, meetings = weeks("fair", is_learnt=False, rng=rng)
        false += case_check(meetings, asked=Asked()).state is AdoptionState.VERIFIED
        _, meetings = weeks("keen", is_learnt=True, rng=rng)
        if len(meetings) >= 3:
            met_enough += 1
            verified += case_check(meetings, asked=Asked()).state is AdoptionState.VERIFIED
    assert false / n <= 0.05
    assert verified / met_enough >= 0.85  # .95 cubed is .857 of those met three times alone


@pytest.mark.django_db
def test_pages_tell_chance_from_learning_and_call_nothing_a_failure():
    _, coach, (keen, fair, idle) = make_team(3)
    homework = make_homework(coach, [keen, fair, idle], (CASE_40, CASE_27))
    tell(keen, *["clean"] * 6)
    tell(fair, "clean", "did_not_know")
    make_upload(fair.user, solves("00", start=NOW + 2 * DAY))
    states = {m: case_of(coach, m, homework).state for m in (keen, fair, idle)}
    assert states == {keen: CaseState.READY, fair: CaseState.OPEN, idle: CaseState.OPEN}
    make_upload(keen.user, solves("111", start=NOW + 3 * DAY))
    assert case_of(coach, keen, homework).state is CaseState.VERIFIED
    pages = [signed_words(m, f"/homework/{homework.pk}/") for m in (coach, keen, fair, idle)]
    pages += [signed_words(m, "/homework/") for m in (keen, fair, idle)]
    for page in pages:
        for word in ("fail", "late!", "overdue", "missed", "too soon", "streak"):
            assert word not in page.lower()
    assert "It has not come up in a solve yet." in pages[3]
    assert "It came up in 2 solves since: in one look 0 of 2 times." in pages[2]
