"""Algorithms read out, measured, mirrored. Facts of the trade: common practice, no source."""

import pytest

from cubecore.descriptions import default_triggers
from logs.algorithms.report import algorithm_facts, runs_of
from logs.algorithms.words import has_names, read_out, steps_view, turn_words
from tests.cubecore import twin

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
    assert read_out(runs_of((), {})) == ""


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


# A sticker that each turn moves, where it is seen: in front for what turns up and down or to the
# sides, on top for what turns over.
WATCHED = {
    **dict.fromkeys("Rr", "F6"), **dict.fromkeys("Ll", "F4"), **dict.fromkeys("Uu", "F2"),
    **dict.fromkeys("Dd", "F8"), **dict.fromkeys("Ff", "U8"), **dict.fromkeys("Bb", "U2"),
    "M": "F5", "E": "F5", "S": "U5", "x": "F5", "y": "F5", "z": "U5",
}  # fmt: skip
GOES = {("F", "U"): "up", ("F", "D"): "down", ("F", "L"): "left", ("F", "R"): "right",
        ("U", "R"): "over to the right", ("U", "L"): "over to the left"}  # fmt: skip


@pytest.mark.parametrize("token", [base + way for base in WATCHED for way in ("", "'", "2")])
def test_a_turn_is_said_by_where_its_stickers_go(token):
    """Where they go is read from the tests' own cube."""
    base = token[0]
    begin = WATCHED[base]
    end = twin.NAMES[twin.token_permutation(token)[twin.NUMBER[begin]]]
    way = "half way round" if token.endswith("2") else GOES[begin[0], end[0]]
    moved = sum(a != b for a, b in enumerate(twin.token_permutation(token)))
    # Stickers that move: a face's 20; with the slice beside it 32; a slice's 12; all but 2 centres.
    kinds = {20: "", 32: ", two layers", 12: ", the middle layer", 52: ", the whole cube"}

    assert turn_words(token) == f"{token.rstrip(chr(39))} {way}{kinds[moved]}"


def test_all_hands_are_read_out_and_their_runs_hold_all_turns():
    facts = algorithm_facts("R U R' U R U2 R' F R U R' U' F'", TRIGGERS)
    assert read_out(facts.mirror_runs) == "left Sune, then F', lefty trigger, F"
    assert [run.n_turns for run in facts.runs] == [7, 1, 4, 1]
    for text, runs in (
        (facts.text, facts.runs),
        (facts.mirror, facts.mirror_runs),
        (facts.other_hand, facts.other_hand_runs),
    ):
        assert sum(run.n_turns for run in runs) == len(text.split())


def test_a_strip_has_the_hold_and_a_picture_for_four_turns_at_most():
    facts = algorithm_facts("R U R' U R U2 R' F R U R' U' F'", TRIGGERS)
    view = steps_view(facts, "yellow", 1)
    said = [step.words for step in view.strip]
    assert said == [
        "The hold it starts from",
        "Sune: R U R'",
        "Sune: U R U2 R'",
        "F",
        "righty trigger: R U R' U'",
        "F'",
    ]
    assert [run["n"] for run in view.data["ways"][0]["runs"]] == [7, 1, 4, 1]
