"""Drills: what they lead to, how evenly, and that they give nothing away."""

import subprocess
import sys
from random import Random

import pytest

from cubecore.algorithms import prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Case, Stage, find_case, label_key
from cubecore.cube import SOLVED, walk
from cubecore.drills import MAX_HTM, Drill, DrillMaker, draw_last_layer
from cubecore.excursions import excursions, is_f2l_home, key_after
from cubecore.notation import format_turns, parse_script
from cubecore.replay import replay_row
from cubecore.results import Kind
from cubecore.rows import Row
from cubecore.telltale import Telltale
from cubecore.turns import Face, Turns, inverse
from cubecore.ways import (
    N_WAYS,
    every_last_layer,
    kept_ways,
    searched_ways,
    stage_of,
    tells_beforehand,
)
from tests.cubecore import twin
from tests.cubecore.drill_checks import book_rings, check_case, check_uniform, is_copy

MAKER = DrillMaker(default_book())
NAMES = ("OLL 27", "OLL 20", "OLL 45", "PLL T", "PLL H")


@pytest.mark.parametrize("name", NAMES)
def test_every_drill_leads_to_its_case_and_all_last_layers_are_as_likely(name: str):
    case = find_case(name)
    drills = list(MAKER.drills([case], 300, Random(1)))
    seen = [check_case(drill, case) for drill in drills]
    if case.id.stage is Stage.PLL:  # of an OLL there are 288 last layers or more: see tests/bench
        check_uniform(seen, case)
    rings = book_rings()
    assert not [drill for drill in drills if is_copy(drill, rings)]
    assert max(drill.htm for drill in drills) <= MAX_HTM


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_there_are_drills_of_every_case(case: Case):
    check_case(MAKER.drill(case, Random(2)), case)


@pytest.mark.parametrize("last", Face)
def test_a_drill_is_read_as_last_layer_practice(last: Face):
    case = find_case("OLL 33")
    for drill in MAKER.drills([case], 5, Random(3), last=last):
        scramble = parse_script(drill.scramble).turns
        row = Row(scramble=drill.scramble, time_ms=9000, solution=twin.inverse(drill.scramble))
        result = replay_row(row, default_book())
        assert (result.kind, result.f2l_turn, result.cross) == (Kind.DRILL, 0, last.opposite)
        assert result.oll is not None
        assert (result.oll.case, result.oll.angle) == (33, drill.angle)
        assert len(scramble) == drill.htm


def test_the_same_seed_gives_the_same_drills():
    cases = [find_case("OLL 33"), find_case("PLL T")]
    once = list(MAKER.drills(cases, 12, Random(4)))
    again = list(DrillMaker(default_book()).drills(cases, 12, Random(4)))
    assert once == again
    assert once != list(MAKER.drills(cases, 12, Random(5)))


def test_a_mix_is_dealt_evenly_and_in_no_order():
    cases = [find_case(name) for name in ("OLL 33", "OLL 45", "PLL T")]
    dealt = [drill.case for drill in MAKER.drills(cases, 30, Random(6))]
    assert sorted(map(dealt.count, {case.id for case in cases})) == [10, 10, 10]
    assert dealt != [case.id for case in cases] * 10


def test_no_last_layer_shows_before_the_scramble_ends():
    for drill in MAKER.drills([find_case("OLL 21")], 100, Random(7), last=Face.U):
        homes = [is_f2l_home(p) for p in walk(SOLVED, parse_script(drill.scramble).turns)]
        moved = homes.index(False)
        assert not any(homes[moved : len(homes) - 2])
        assert len({word[0] for word in drill.scramble.split()}) >= 3


@pytest.mark.parametrize("case", CASES.values(), ids=str)
def test_an_algorithm_tells_its_case_however_it_is_begun(case: Case):
    telltale = Telltale(default_book())
    for algorithm in default_book().algorithms(case.id):
        form = algorithm.normal.form
        assert telltale.tells(form)
        assert telltale.tells(inverse(form))
        if form[-1] // 3 % 3 != form[0] // 3 % 3:  # else turns are added up where the ends meet
            assert telltale.tells(Turns(form[3:] + form[:3]))


def test_an_algorithm_begun_in_its_middle_is_told_without_the_turn_of_the_layer_at_the_seam():
    """A T permutation begun after each of its turns of the last layer, that turn left out."""
    words = find_case("PLL T").algorithms[0].split()
    telltale = Telltale(default_book())
    seams = [n for n, word in enumerate(words) if word[0] == "U"]
    assert len(seams) == 5
    for n in seams:
        rest = " ".join([*words[n + 1 :], *words[:n]])
        assert telltale.tells(parse_script(rest).turns)


def test_a_way_that_comes_home_before_its_end_gives_the_case_away():
    nothing = Telltale(Book([]))
    once = parse_script("R U R' U R U2 R'").turns
    twice = parse_script("R U R' U R U2 R' F R U R' U' F'").turns
    assert not tells_beforehand(parse_script("F R U R' U' F'").turns, nothing)
    assert tells_beforehand(once, nothing)  # two faces
    assert tells_beforehand(twice, nothing)


def test_what_a_club_adds_to_its_book_is_kept_out_of_the_scrambles():
    case = find_case("PLL E")
    key = case.key
    known = MAKER.ways(key)
    added = prove_algorithm(twin.inverse(format_turns(known[0])), case.id)
    made = DrillMaker(Book([added])).ways(key)
    assert known[0] not in made
    assert len(made) >= N_WAYS[Stage.PLL]


@pytest.mark.parametrize(
    ("text", "tells"),
    [
        # Worked by hand: L moves nothing that R moves, so it hides nothing of an Antisune (R U2 R'
        # U' R U' R'); B' between breaks one.
        ("R L U2 R' U' R U' R' L' F", True),
        ("L R U2 R' U' R U' L' R' F", True),
        ("F2 R L2 U2 R' U' R U' R' B", True),
        ("R U2 R' U' D R U' R' F", True),
        ("R U2 R' B' U' R U' R' F", False),
        ("R2 L U2 R' U' R U' R' L' F", False),
    ],
)
def test_a_turn_of_the_opposite_face_does_not_hide_an_algorithm(text, tells):
    assert Telltale(default_book()).tells(parse_script(text).turns) == tells


@pytest.mark.parametrize("name", ["PLL E", "PLL Ga", "PLL F", "OLL 20"])
def test_a_keen_member_meets_two_thousand_different_scrambles_of_a_case(name):
    case = find_case(name)
    drills = list(MAKER.drills([case], 5000, Random(9)))

    assert len({drill.scramble for drill in drills}) >= 2000
    assert max(drill.htm for drill in drills) <= 21
    for drill in drills[::100]:
        check_case(drill, case)


def test_the_ways_to_a_last_layer_do_not_hang_on_what_was_asked_before():
    case = find_case("PLL E")
    fresh = DrillMaker(default_book())
    fresh.ways(find_case("PLL F").key)
    assert fresh.ways(case.key) == MAKER.ways(case.key)


def test_the_shipped_ways_lead_where_they_say_and_tell_nothing():
    """3,916 last layers, the solved one among them (published, from memory)."""
    telltale = Telltale(default_book())
    keys = list(every_last_layer())
    assert len(keys) == 3915
    for key in keys:
        assert len(kept_ways(label_key(key).position)) >= 1.25 * N_WAYS[stage_of(key)]
    for key in Random(1).sample(keys, 60):
        position = label_key(key).position
        for way in Random(2).sample(kept_ways(position), 5):
            assert label_key(key_after(way)).position == position
            assert not tells_beforehand(way, telltale)
            assert len(way) < MAX_HTM


@pytest.mark.parametrize("name", ["OLL 33", "OLL 20", "OLL 45"])
def test_the_shipped_ways_are_among_those_that_a_search_finds(name: str):
    key = find_case(name).key
    searched = searched_ways(key, Telltale(default_book()), 15)
    assert set(kept_ways(label_key(key).position)) <= set(searched)


def test_the_first_drill_of_a_process_takes_under_half_a_second():
    """Of the processor: from the book on, which every page has read, to the scramble."""
    script = (
        "from random import Random; from time import process_time as now\n"
        "from cubecore.book import default_book; from cubecore.cases import find_case\n"
        "from cubecore.drills import DrillMaker\n"
        "book = default_book(); began = now()\n"
        "DrillMaker(book).drill(find_case('PLL Na'), Random(1)); print(now() - began)"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert float(ran.stdout) < 0.5


def test_excursions_lead_where_they_say():
    for position in (0, 4607, label_key(find_case("PLL T").key).position):
        for run in excursions(position)[:50]:
            assert label_key(key_after(run)).position == position


def test_a_last_layer_is_drawn_from_those_that_show_the_case():
    for name in NAMES:
        case = find_case(name)
        for seed in range(50):
            shown = label_key(draw_last_layer(case, Random(seed)))
            met = shown.oll if case.id.stage is Stage.OLL else shown.pll
            assert met == case.id.number


def test_a_drill_says_what_it_is():
    drill = MAKER.drill(find_case("PLL T"), Random(8))
    assert drill == Drill(drill.case, drill.angle, drill.scramble, drill.htm)
    assert str(drill.case) == "PLL T"
