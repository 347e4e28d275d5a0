"""Cues as sentences: read back, they hold for their case and for no case that looks like it."""

import re
from itertools import combinations
from pathlib import Path

import pytest

from cubecore.cases import CASES, Case, CaseId, Stage, case_at_angle
from cubecore.cue_words import clue_sentences, cue_sentence, shape_words, sticker_words
from cubecore.cues import (
    ColourClue,
    cue_of,
    cue_stickers,
    look_alike_views,
    nearest_wrong_hold,
    two_sided_cue,
)
from cubecore.holds import STICKER_PLACES, Feature, side_views
from cubecore.holds import VISIBLE as STICKERS
from cubecore.pictures import case_picture
from tests.cubecore import twin
from tests.cubecore.met import TURNED, VISIBLE, all_met, is_up_colour, met_at, relation, top

VIEWS = [(case, angle) for case in CASES.values() for angle in range(case.n_angles)]
PLACES = VISIBLE | TURNED
ONE = re.compile(r"^(?:The|Turn to look: the) (.+) is (not )?(\w+)(?:, (.+))?$")
# What a side's row shows, of the last layer's colour, by what its stickers are said to be part of.
ROWS = {
    "part of a bar of three": {(1, 1, 1)},
    "part of a bar of two": {(1, 1, 0), (0, 1, 1)},
    "one of two headlights": {(1, 0, 1)},
    "a lone corner": {(1, 0, 0), (0, 0, 1)},
    "a lone edge": {(0, 1, 0)},
}
TWO = re.compile(r"^The (.+) and the (.+?) (match|are .+)$")


def said_clues(case: Case, angle: int, *, in_sight: bool = False) -> list[str]:
    """What is said after the shape, sentence by sentence."""
    _, *clues = cue_sentence(case, angle, in_sight=in_sight).removesuffix(".").split(". ")
    return [clue for clue in clues if not clue.startswith("No other case")]


def holds_for(clue: str, colours: str) -> bool:
    """Whether ``clue``, read as a solver would, is true of the stickers."""
    two = TWO.match(clue)
    if two:
        return relation(colours, VISIBLE[two[1]], VISIBLE[two[2]]) == two[3]
    one = ONE.match(clue)
    assert one is not None, clue
    assert one[3] == "yellow"
    return is_up_colour(colours, PLACES[one[1]]) == (one[2] is None)


def is_part_of_what_is_said(clue: str, colours: str) -> bool:
    """Whether a yellow sticker is part of what its sentence says it is; others say nothing."""
    one = ONE.match(clue)
    if one is None or one[2]:
        return one is None or one[4] is None
    face = PLACES[one[1]][0]
    row = tuple(int(is_up_colour(colours, f"{face}{n}")) for n in (1, 2, 3))
    return row in ROWS[one[4]]


def rivals(case: Case, angle: int) -> dict[tuple[str, int], str]:
    """The other cases and angles that show the same on top, or are of the same family."""
    here = met_at(case, angle)
    family = {str(other.id.number) for other in CASES.values() if other.family == case.family}
    return {
        view: colours
        for view, colours in all_met(case.id.stage).items()
        if view != (str(case.id.number), angle)
        and (top(colours) == top(here) if case.id.stage is Stage.OLL else view[0] in family)
    }


@pytest.mark.parametrize("in_sight", [True, False])
@pytest.mark.parametrize("stage", Stage)
def test_a_cue_is_true_of_its_case_and_of_no_look_alike(stage, in_sight):
    for case, angle in VIEWS:
        if case.id.stage is stage:
            clues = said_clues(case, angle, in_sight=in_sight)
            assert all(holds_for(clue, met_at(case, angle)) for clue in clues), (case, angle)
            assert all(is_part_of_what_is_said(clue, met_at(case, angle)) for clue in clues)
            for view, colours in rivals(case, angle).items():
                assert not all(holds_for(clue, colours) for clue in clues), (case, angle, view)


def facts(stage: Stage, colours: str) -> set[tuple[object, ...]]:
    """All that can be said of the six side stickers in sight."""
    if stage is Stage.OLL:
        return {(name, is_up_colour(colours, name)) for name in VISIBLE.values()}
    return {
        (one, other, relation(colours, one, other))
        for one, other in combinations(VISIBLE.values(), 2)
    }


@pytest.mark.parametrize("stage", Stage)
def test_no_cue_could_do_with_fewer_clues(stage):
    for case, angle in VIEWS:
        if case.id.stage is stage:
            n_clues = len(said_clues(case, angle, in_sight=True))
            assert len(said_clues(case, angle)) <= n_clues
            others = [facts(stage, colours) for colours in rivals(case, angle).values()]
            for fewer in combinations(facts(stage, met_at(case, angle)), max(n_clues - 1, 0)):
                assert n_clues == 0 or any(other.issuperset(fewer) for other in others)


def is_of_what_is_there(clue: str) -> bool:
    return " is not " not in clue


def test_a_solver_turns_to_look_only_where_nothing_that_is_there_in_sight_tells():
    turned = [(c, a) for c, a in VIEWS if "Turn to look" in cue_sentence(c, a)]

    assert {str(case.id) for case, angle in turned if angle == 0} >= {"OLL 36", "OLL 41"}
    for case, angle in VIEWS:
        in_sight = said_clues(case, angle, in_sight=True)
        assert not any("Turn" in clue for clue in in_sight)
        if (case, angle) in turned:
            assert not any(map(is_of_what_is_there, in_sight))
            assert all(map(is_of_what_is_there, said_clues(case, angle)))
        else:
            assert in_sight == said_clues(case, angle)


def test_a_side_with_something_on_it_is_named_before_one_that_shows_nothing():
    # OLL 39 from the left: a lone edge tells as well as a side without any of the last layer's colour.
    (clue,) = cue_of(CASES[CaseId(Stage.OLL, 39)], 1, in_sight=True).clues
    assert isinstance(clue, ColourClue)
    view = side_views(case_at_angle(CASES[CaseId(Stage.OLL, 39)], 1))[clue.sticker.side]
    assert view.feature is Feature.LONE_EDGE


def test_what_is_there_is_named_where_as_few_clues_of_it_tell():
    for case, angle in VIEWS:
        if case.id.stage is Stage.OLL:
            clues = said_clues(case, angle, in_sight=True)
            colours = met_at(case, angle)
            there = [fact for fact in facts(Stage.OLL, colours) if fact[1]]
            others = [facts(Stage.OLL, other) for other in rivals(case, angle).values()]
            tells = any(
                not any(other.issuperset(chosen) for other in others)
                for chosen in combinations(there, len(clues))
            )
            assert all(map(is_of_what_is_there, clues)) == tells, (case, angle)


def test_no_sentence_read_without_its_picture_fits_another_case():
    for case, angle in VIEWS:
        if case.id.stage is Stage.OLL:
            for in_sight in (True, False):
                clues = said_clues(case, angle, in_sight=in_sight)
                fitting = {
                    other.id
                    for other, turned in VIEWS
                    if shape_words(other, turned) == shape_words(case, angle)
                    if all(holds_for(clue, met_at(other, turned)) for clue in clues)
                }
                assert fitting == {case.id}, (case, angle)


def test_two_shapes_on_top_are_never_said_alike():
    tops: dict[str, set[tuple[bool, ...]]] = {}
    for case, angle in VIEWS:
        tops.setdefault(shape_words(case, angle), set()).add(top(met_at(case, angle)))

    assert {words: len(shapes) for words, shapes in tops.items() if len(shapes) > 1} == {}


@pytest.mark.parametrize(
    ("number", "said"),
    [
        # Common practice, no source: what coaches point at in the hold of the standard algorithm.
        (5, "The right face's right corner is yellow, a lone corner."),
        (6, "The right face's left corner is yellow, a lone corner."),
        (36, "Turn to look: the left face's right corner is yellow, part of a bar of two."),
        (38, "The right face's left corner is yellow, part of a bar of two."),
        (41, "Turn to look: the back face's left corner is yellow, one of two headlights."),
        (42, "The front face's left corner is yellow, one of two headlights."),
        (23, "Turn to look: the back face's left corner is yellow, one of two headlights."),
        (46, "The right face's left corner is yellow, part of a bar of three."),
    ],
)
def test_a_cue_points_at_what_is_commonly_taught(number, said):
    assert cue_sentence(CASES[CaseId(Stage.OLL, number)]).endswith(f". {said}")


CUES = Path(__file__).parents[2] / "fixtures/engine/cues.txt"


def every_cue() -> str:
    """A line for each case and angle: with the solver free to turn, and, where it differs, not."""
    lines = []
    for case, angle in VIEWS:
        free, bound = (cue_sentence(case, angle, in_sight=bound) for bound in (False, True))
        lines.append(f"{case.id} angle {angle}: {free}")
        if bound != free:
            lines.append(f"{case.id} angle {angle}, in sight: {bound}")
    return "\n".join(lines) + "\n"


def test_every_cue_stays_the_one_that_was_looked_over():
    """The choice among equal clues: no source but the rules above, so it is kept line by line."""
    kept = CUES.read_text(encoding="utf-8").splitlines()
    notes = [line for line in kept if line.startswith("#")]

    assert [line for line in kept if line not in notes] == every_cue().splitlines()
    assert len(kept) - len(notes) >= 215 + 70


def test_two_sides_tell_a_permutation_from_all_others_in_as_few_clues_as_can_be():
    # Common practice, no source: two sides are enough. All 21 cases at all angles are rivals.
    for case, angle in VIEWS:
        if case.id.stage is Stage.PLL:
            cue = two_sided_cue(case, angle)
            clues = [said.removesuffix(".") for said in clue_sentences(cue)]
            assert all(holds_for(clue, met_at(case, angle)) for clue in clues)
            others = [
                colours
                for view, colours in all_met(Stage.PLL).items()
                if view != (str(case.id.number), angle)
            ]
            assert not any(all(holds_for(c, colours) for c in clues) for colours in others)
            known = [facts(Stage.PLL, colours) for colours in others]
            for fewer in combinations(facts(Stage.PLL, met_at(case, angle)), len(clues) - 1):
                assert any(other.issuperset(fewer) for other in known), (case, angle)


def test_an_orientation_has_no_two_sided_cue():
    with pytest.raises(ValueError, match="told by its top first"):
        two_sided_cue(CASES[CaseId(Stage.OLL, 27)])


def test_look_alikes_are_the_cases_with_the_same_top_or_of_the_same_family():
    for case, angle in VIEWS:
        expected = set(rivals(case, angle))
        got = {(str(other.number), turned) for other, turned in look_alike_views(case, angle)}
        assert got == expected
        named = {str(other.number) for other in cue_of(case, angle).look_alikes}
        assert named == {number for number, _ in expected} - {str(case.id.number)}


def test_a_cue_that_needs_no_clue_says_that_the_top_is_enough():
    alone = [(case, angle) for case, angle in VIEWS if not rivals(case, angle)]

    assert alone
    for case, angle in alone:
        assert cue_sentence(case, angle).endswith("No other case has this shape on top.")
        assert cue_of(case, angle).clues == ()


def test_the_colour_is_named_as_it_is_given():
    case = CASES[CaseId(Stage.OLL, 27)]

    assert "blue" in cue_sentence(case, colour="blue")
    assert "yellow" not in cue_sentence(case, colour="blue")


def test_the_stickers_of_a_cue_are_those_its_sentence_names_and_are_ringed_in_the_picture():
    for case, angle in VIEWS:
        cue = cue_of(case, angle)
        marked = cue_stickers(cue)
        said = " ".join(said_clues(case, angle))
        words = {sticker: sticker_words(sticker) for sticker in STICKER_PLACES}
        assert {words[sticker] for sticker in marked} == {w for w in PLACES if w in said}
        assert len(set(marked)) == len(marked)
        picture = case_picture(case, angle=angle, marks=marked)
        assert picture.count('class="cue-ring"') == len(marked)


SHAPE = re.compile(r"^[^,]*, on the (?P<lies>[a-z ]+)(?:, its|$)")


def lean(colours: str) -> tuple[int, int]:
    """Which way most of the upper face's stickers lie: to the right, and to the front."""
    columns = [sum(is_up_colour(colours, f"U{n}") for n in trio) for trio in ((1, 4, 7), (3, 6, 9))]
    rows = [sum(is_up_colour(colours, f"U{n}") for n in trio) for trio in ((1, 2, 3), (7, 8, 9))]
    return columns[1] - columns[0], rows[1] - rows[0]


def test_a_shape_lies_where_most_of_its_stickers_are():
    for case, angle in VIEWS:
        words = shape_words(case, angle)
        across, forward = lean(met_at(case, angle))
        expected = " ".join(
            [word for word, n in (("front", forward), ("back", -forward)) if n > 0]
            + [word for word, n in (("right", across), ("left", -across)) if n > 0]
        )
        lies = SHAPE.search(words)
        assert (lies["lies"] if lies else "") == expected, (case, angle, words)


@pytest.mark.parametrize(
    ("number", "angle", "words"),
    [
        # Read off the stickers by hand.
        (1, 0, "Dot with no corner up"),
        (20, 0, "Dot with four corners up"),
        (27, 0, "Cross with one corner up, on the front left"),
        (27, 2, "Cross with one corner up, on the back right"),
        (5, 0, "Square, on the front right"),
        (51, 0, "Line, its bar running from left to right"),
        (51, 1, "Line, its bar running towards you"),
        (7, 0, "Small lightning, on the left, its corner at the front left"),
        (13, 0, "Knight's move, on the front left, its bar running from left to right"),
        (
            39,
            0,
            "Big lightning, its bar running from left to right,"
            " its corners at the front left and back right",
        ),
        (44, 0, "P, on the back left, its corners on the left"),
        ("T", 0, "All on top"),
    ],
)
def test_a_shape_is_said_in_plain_words(number, angle, words):
    case = next(case for case in CASES.values() if case.id.number == number)

    assert shape_words(case, angle) == words


def seen(colours: str) -> list[bool]:
    """The 14 stickers in sight but the centre: last layer's colour or not."""
    names = [f"U{n}" for n in (1, 2, 3, 4, 6, 7, 8, 9)] + list(VISIBLE.values())
    return [is_up_colour(colours, name) for name in names]


@pytest.mark.parametrize(
    "case", [case for case in CASES.values() if case.id.stage is Stage.OLL], ids=str
)
def test_the_nearest_wrong_hold_of_an_orientation_differs_in_fewest_stickers(case):
    right = seen(met_at(case, 0))
    differences = {
        angle: sum(a != b for a, b in zip(right, seen(met_at(case, angle)), strict=True))
        for angle in range(1, case.n_angles)
    }
    wrong = nearest_wrong_hold(case)
    if not differences:
        assert wrong is None
        return
    assert wrong is not None
    assert wrong.n_differences == differences[wrong.quarter_turns] == min(differences.values())
    nearest = [angle for angle, n in differences.items() if n == wrong.n_differences]
    assert wrong.quarter_turns == min(nearest)
    tops = [top(met_at(case, angle)) for angle in (0, wrong.quarter_turns)]
    assert wrong.top_differs == (tops[0] != tops[1])
    if wrong.sticker is not None:
        name = VISIBLE[dict(zip(STICKERS, VISIBLE, strict=True))[wrong.sticker]]
        here = is_up_colour(met_at(case, 0), name)
        assert here != is_up_colour(met_at(case, wrong.quarter_turns), name)
        assert wrong.is_last_colour == here


@pytest.mark.parametrize(
    "case", [case for case in CASES.values() if case.id.stage is Stage.PLL], ids=str
)
def test_the_nearest_wrong_hold_of_a_permutation_shows_another_pattern(case):
    wrong = nearest_wrong_hold(case)
    if case.n_angles == 1:
        assert wrong is None
        return
    assert wrong is not None
    assert not wrong.top_differs
    assert wrong.sticker is not None
    name = VISIBLE[dict(zip(STICKERS, VISIBLE, strict=True))[wrong.sticker]]
    patterns = [
        (relation(colours, "F1", name), relation(colours, name, "F1"))
        for colours in (met_at(case, 0), met_at(case, wrong.quarter_turns))
    ]
    # Steps are counted from the first sticker; left and right neighbours are told apart too.
    assert patterns[0] != patterns[1] or patterns[0][0].startswith("are neither")


def test_cases_and_angles_are_those_of_the_engine():
    for case, angle in VIEWS:
        shown = twin.edge_step(met_at(case, angle))
        assert (shown == "oriented") == all(place < 8 for place in case_at_angle(case, angle)[:4])
