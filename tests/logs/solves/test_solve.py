import pytest

from cubecore.cases import CaseId, Stage
from cubecore.looks import Look
from cubecore.outcomes import Done, Outcome
from cubecore.rows import parse_time
from logs.solves.models.solves import Solve
from logs.solves.report.solve import SolveReport, outcome_words, solve_report
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
    assert [stage.name for stage in made] == ["Pair 4", "OLL 27 Sune", "PLL T", "Final AUF"]
    assert [stage.turns for stage in made] == ["1 to 3", "4 to 10", "11 to 24", "25"]
    ends = [stage.span.split(" to ") for stage in made]
    assert [start for start, _ in ends] == ["0.00", *(end for _, end in ends[:-1])]
    assert sum(stage.n_turns for stage in report.stages) == report.n_htm == 25


@pytest.mark.django_db
def test_the_splits_of_a_look_are_those_the_row_was_made_with():
    # Ten gaps of 150 ms before each part, one gap between its turns (tests.factories).
    report = report_of(LAST_PAIR, SUNE, T_PERM)
    sune, t_perm = report.looks
    assert (sune.recognition, sune.execution, sune.n_turns) == ("1.50", "0.90", 7)
    assert (t_perm.recognition, t_perm.execution, t_perm.n_turns) == ("1.50", "1.95", 14)
    assert sune.algorithm == SUNE
    assert sune.known
    assert not sune.is_misfire
    assert (report.stages[5].recognition, report.stages[5].execution) == ("1.50", "0.90")


@pytest.mark.django_db
def test_a_step_by_another_algorithm_is_said_in_words_and_its_looks_fill_the_stage():
    # The Antisune first, then two Sunes: they undo it and solve the Sune that was shown.
    report = report_of(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)
    first = report.looks[0]
    assert first.case_title == "OLL 27 Sune"
    assert not first.is_misfire
    assert first.outcome == "a step on the way, by the algorithm of OLL 26 Antisune"
    oll = next(stage for stage in report.stages if stage.name == "OLL 27 Sune")
    looks = [look for look in report.looks if look.stage == "oll"]
    parts = sum(parse_time(look.recognition) + parse_time(look.execution) for look in looks)
    assert parts == parse_time(oll.time)


@pytest.mark.django_db
def test_key_states_lead_from_the_scramble_to_the_end():
    report = report_of(LAST_PAIR, SUNE, T_PERM, "U")
    names = [state.name for state in report.key_states]
    assert (names[0], names[-1]) == ("Scrambled", "Final AUF")
    steps = [state.step for state in report.key_states]
    assert steps == sorted(steps)
    assert steps[-1] == report.last_step == 25
    assert all(state.picture.startswith("<svg") for state in report.key_states)


@pytest.mark.django_db
def test_the_moves_are_the_solution_part_by_part():
    report = report_of(LAST_PAIR, "y", SUNE, T_PERM, "U'", "U2", is_timed=False)
    tokens = [token for group in report.moves for _, token in group.tokens]
    assert " ".join(tokens) == report.solution
    assert [step for group in report.moves for step, _ in group.tokens] == [*range(1, 28)]
    assert [group.part for group in report.moves] == ["Pair 4", "OLL", "PLL", "Final AUF"]
    assert report.strip == ""
    assert report.turns_a_second == "–"  # noqa: RUF001 - the dash for what is not known
    assert (report.n_hesitations, report.is_timed) == (0, False)


@pytest.mark.django_db
def test_hesitations_are_counted_and_summed():
    report = report_of(LAST_PAIR, SUNE, T_PERM)
    assert (report.n_hesitations, report.hesitations) == (2, "3.00")


def look_of(outcome: Outcome, done: Done | None = None) -> Look:
    return Look(
        outcome=outcome,
        case=CaseId(Stage.PLL, "V"),
        done=done,
        algorithm="R",
        start=0,
        end=1,
        turns=1,
        lining_up_turns=0,
        recognition_ms=None,
        execution_ms=None,
        lining_up_ms=None,
    )


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("outcome", list(Outcome))
def test_every_outcome_has_words_of_its_own(stage: Stage, outcome: Outcome):
    others = {outcome_words(stage, look_of(other)) for other in Outcome if other is not outcome}
    assert outcome_words(stage, look_of(outcome)) not in others


@pytest.mark.parametrize(
    ("quarter_turns", "missing"),
    [(1, "U"), (2, "U2"), (3, "U'")],
)
def test_a_wrong_hold_says_how_far_off_it_was(quarter_turns: int, missing: str):
    held = Done(CaseId(Stage.PLL, "V"), quarter_turns)
    wrong = f"the right algorithm from a wrong hold, {missing} was missing before it"
    for outcome, words in (
        (Outcome.STEP, "a step on the way"),
        (Outcome.MISFIRE, "misfire: something that stood was lost"),
    ):
        assert outcome_words(Stage.PLL, look_of(outcome, held)) == f"{words}; {wrong}"
