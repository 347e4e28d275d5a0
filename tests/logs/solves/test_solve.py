import pytest

from cubecore.cases import Stage
from cubecore.outcomes import Outcome
from logs.solves.charts import solve_strip
from logs.solves.models.solves import Solve
from logs.solves.report.solve import DoneCase, LookLine, SolveReport, solve_report
from logs.solves.report.solves import name_of_met
from logs.solves.words import outcome_words, part_name, stage_name, time_range, turn_range
from tests.factories import LAST_PAIR, SUNE, T_PERM, make_row, make_upload, make_user

ANTISUNE = "R U2 R' U' R U' R'"
EDGES = "F R U R' U' F'"


def report_of(*parts: str, **more) -> SolveReport:
    user = make_user()
    make_upload(user, [make_row(*parts, **more)])
    return solve_report(actor=user, solve_id=Solve.objects.get(member=user).pk)


@pytest.mark.django_db
def test_the_stages_follow_one_another_from_the_first_turn_to_the_last():
    report = report_of(LAST_PAIR, SUNE, T_PERM, "U")
    made = [stage for stage in report.stages if stage.n_turns]
    assert [stage_name(stage) for stage in made] == ["Pair 4", "OLL 27 Sune", "PLL T", "Final AUF"]
    assert [turn_range(stage) for stage in made] == ["1 to 3", "4 to 10", "11 to 24", "25"]
    assert [stage.start_ms for stage in made] == [0, *(stage.end_ms for stage in made[:-1])]
    assert time_range(made[0]) == "0.00 to 1.80"  # ten gaps of 150 ms, then one before each turn
    assert sum(stage.n_turns for stage in report.stages) == report.n_htm == 25


@pytest.mark.django_db
def test_the_splits_of_a_look_are_those_the_row_was_made_with():
    # Ten gaps of 150 ms before each part, one gap between its turns (tests.factories).
    report = report_of(LAST_PAIR, SUNE, T_PERM)
    sune, t_perm = report.looks
    assert (sune.recognition_ms, sune.execution_ms, sune.n_turns) == (1500, 900, 7)
    assert (t_perm.recognition_ms, t_perm.execution_ms, t_perm.n_turns) == (1500, 1950, 14)
    assert sune.algorithm == SUNE
    assert sune.done == DoneCase(name_of_met(Stage.OLL, "27"), 0)
    assert sune.outcome is Outcome.FINISHED
    assert (report.stages[5].recognition_ms, report.stages[5].execution_ms) == (1500, 900)


@pytest.mark.django_db
def test_a_step_by_another_algorithm_is_said_in_words_and_its_looks_fill_the_stage():
    # The Antisune first, then two Sunes: they undo it and solve the Sune that was shown.
    report = report_of(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)
    first = report.looks[0]
    assert first.case.title == "OLL 27 Sune"
    assert first.outcome is Outcome.STEP
    assert outcome_words(first) == "a step on the way, by the algorithm of OLL 26 Antisune"
    oll = next(stage for stage in report.stages if stage_name(stage) == "OLL 27 Sune")
    looks = [look for look in report.looks if look.case.stage is Stage.OLL]
    parts = sum((look.recognition_ms or 0) + (look.execution_ms or 0) for look in looks)
    assert parts == oll.took_ms
    assert looks[0].start_ms == oll.start_ms
    second_ms = (looks[0].start_ms or 0) + (looks[0].recognition_ms or 0)
    assert looks[1].start_ms == second_ms + (looks[0].execution_ms or 0)


# A pair and a Sune from the back that share a turn: R' and R' are R2 (common practice, no source).
PAIR_WITH_SUNE = "y' R U R2 U2 R U R' U R"


@pytest.mark.django_db
def test_a_skip_says_how_it_came_where_that_was_not_by_chance():
    brought = report_of(LAST_PAIR, PAIR_WITH_SUNE, T_PERM)
    clean = report_of(LAST_PAIR, T_PERM)
    names = [[stage_name(stage) for stage in report.stages] for report in (brought, clean)]
    assert names[0][5] == "OLL skip, brought by the last pair"
    assert names[1][5] == "OLL skip"


@pytest.mark.django_db
@pytest.mark.parametrize(("gap_ms", "is_said"), [(100, True), (150, False)])
def test_a_coarse_clock_is_said_on_the_solves_page(client, gap_ms, is_said):
    user = make_user()
    make_upload(user, [make_row(LAST_PAIR, SUNE, T_PERM, gap_ms=gap_ms)])
    client.force_login(user)
    solve = Solve.objects.get(member=user)
    page = client.get(f"/solves/{solve.pk}/").content.decode()
    assert ("The clock of this log steps by a tenth of a second or more" in page) is is_said


@pytest.mark.django_db
def test_key_states_lead_from_the_scramble_to_the_end():
    report = report_of(LAST_PAIR, SUNE, T_PERM, "U")
    names = [part_name(state.part) for state in report.key_states]
    assert (names[0], names[-1]) == ("Scrambled", "Final AUF")
    steps = [state.step for state in report.key_states]
    assert steps == sorted(steps)
    assert steps[-1] == report.last_step == 25
    assert all(state.cube == report.steps[state.step].cube for state in report.key_states)


@pytest.mark.django_db
def test_the_moves_are_the_solution_part_by_part():
    report = report_of(LAST_PAIR, "y", SUNE, T_PERM, "U'", "U2", is_timed=False)
    assert " ".join(step.token for step in report.turns) == report.solution
    assert [step.number for step in report.turns] == [*range(1, 28)]
    parts = dict.fromkeys(part_name(step.part) for step in report.turns)
    assert list(parts) == ["Pair 4", "OLL", "PLL", "Final AUF"]
    assert solve_strip(report) == ""
    assert report.turns_per_s is None
    assert (report.n_hesitations, report.hesitation_ms, report.is_timed) == (0, None, False)


@pytest.mark.django_db
def test_hesitations_are_counted_and_summed():
    report = report_of(LAST_PAIR, SUNE, T_PERM)
    assert (report.n_hesitations, report.hesitation_ms) == (2, 3000)


def look_of(outcome: Outcome, done: DoneCase | None = None, stage: Stage = Stage.PLL) -> LookLine:
    return LookLine(
        case=name_of_met(stage, "V" if stage is Stage.PLL else "27"),
        outcome=outcome,
        done=done,
        algorithm="R",
        n_turns=1,
        start_ms=None,
        recognition_ms=None,
        execution_ms=None,
        lining_up_ms=None,
        n_lining_up=0,
    )


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("outcome", list(Outcome))
def test_every_outcome_has_words_of_its_own(stage: Stage, outcome: Outcome):
    others = {
        outcome_words(look_of(other, stage=stage)) for other in Outcome if other is not outcome
    }
    assert outcome_words(look_of(outcome, stage=stage)) not in others


@pytest.mark.parametrize(
    ("quarter_turns", "missing"),
    [(1, "U"), (2, "U2"), (3, "U'")],
)
def test_a_wrong_hold_says_how_far_off_it_was(quarter_turns: int, missing: str):
    held = DoneCase(name_of_met(Stage.PLL, "V"), quarter_turns)
    wrong = f"the right algorithm from a wrong hold, {missing} was missing before it"
    for outcome, words in (
        (Outcome.STEP, "a step on the way"),
        (Outcome.MISFIRE, "slip: something that stood was lost"),
    ):
        assert outcome_words(look_of(outcome, held)) == f"{words}; {wrong}"
