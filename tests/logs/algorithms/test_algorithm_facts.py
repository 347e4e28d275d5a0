"""Algorithms read out, measured, mirrored. Facts of the trade: common practice, no source."""

import pytest

from cubecore.descriptions import default_triggers
from logs.algorithms.report import algorithm_facts, runs_of
from logs.algorithms.words import has_names, read_out

TRIGGERS = default_triggers()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("R U R' U R U2 R' F R U R' U' F'", "Sune, then F, righty trigger, F'"),  # OLL 41
        ("R' U' R' F R F' U R", "R' U', then sledgehammer, U R"),  # OLL 46
        ("R U R' U' R' F R F'", "righty trigger, then sledgehammer"),  # OLL 33
        ("r U R' U R U2 r'", "wide Sune"),  # OLL 7
        ("r' U2 R U R' U r", "wide Antisune from the back"),  # OLL 5
    ],
)
def test_an_algorithm_is_read_out_in_its_triggers(text, said):
    facts = algorithm_facts(text, TRIGGERS)
    assert read_out(facts.runs) == said
    assert has_names(facts) == (said != text)


def test_a_club_s_own_name_is_read_out():
    facts = algorithm_facts("F R U R' U' F'", {"bow": ("R", "U", "R'", "U'")})
    assert read_out(facts.runs) == "F, then bow, F'"


def test_nothing_said_is_nothing():
    assert read_out(runs_of((), set())) == ""


def test_the_facts_of_a_well_known_one():
    facts = algorithm_facts("M2 U M2 U2 M2 U M2", TRIGGERS)  # PLL H, counted by hand
    assert (facts.n_htm, facts.n_qtm, facts.n_stm, facts.n_etm) == (11, 20, 7, 7)
    assert (facts.n_slices, facts.n_wide, facts.n_grip_changes) == (4, 0, 0)
    assert (facts.mirror_case.title, facts.inverse_case.title) == ("PLL H", "PLL H")


def test_the_ws_are_each_other_s_mirrors():
    facts = algorithm_facts("R U R' U R U' R' U' R' F R F'", TRIGGERS)
    assert facts.mirror_case.title == "OLL 36 W"
    assert facts.mirror == "L' U' L U' L' U L U L F' L' F"


def test_for_the_other_hand_the_layer_is_seen_from_its_far_side():
    facts = algorithm_facts("R U R' U R U2 R'", TRIGGERS)
    assert facts.other_hand == "L U L' U L U2 L'"
