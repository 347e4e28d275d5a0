"""Logs in words: each figure of a report as a page writes it."""

from dataclasses import replace
from datetime import date

import pytest

from cubecore.cases import Stage
from cubecore.endings import Status, counted_ms
from cubecore.results import Reason
from logs.intake.mapping import ROLE_WORDS, Role
from logs.solves import words
from logs.solves.figures.frames import Result
from logs.solves.report.mapping import KeptLine, PreviewSolve, ReadColumn
from logs.solves.report.solve import StageLine
from logs.solves.report.solves import FigureAsked, name_of_met
from logs.solves.report.steps import Part, PartKind
from logs.solves.selectors.solves import Behind, Window
from logs.words import UNKNOWN
from tests.factories import NOW


@pytest.mark.parametrize(
    ("status", "shown", "counted"),
    [
        (Status.SOLVED, "12.34", 12_340),
        (Status.PLUS_TWO, "14.34 (+2)", 14_340),  # WCA Regulations 10e: two seconds on top
        (Status.DNF, "DNF, 12.34 on the timer", None),
    ],
)
def test_a_time_is_said_as_it_counts(status: Status, shown: str, counted: int | None):
    solve = PreviewSolve(done_at=None, time_ms=12_340, status=status, oll=None, pll=None)
    assert words.solve_time(solve) == shown
    assert words.counted_time(solve) == shown.partition(",")[0]
    assert counted_ms(12_340, status) == counted


@pytest.mark.parametrize(
    ("result", "shown"),
    [
        (None, UNKNOWN),
        (Result(None, is_dnf=True), "DNF"),
        (Result(13_820.0, is_dnf=False), "13.82"),
    ],
)
def test_a_result_is_said(result: Result | None, shown: str):
    assert words.result_words(result) == shown


@pytest.mark.parametrize(
    ("figure", "shown"),
    [
        (FigureAsked(), ""),
        (FigureAsked(behind=Behind.LOOKS), "those in which a look was made"),
        (FigureAsked(window=Window(7, 5)), "the 5 behind one average"),
        (FigureAsked(since=date(2026, 3, 1)), "the day from 1 Mar 2026"),
        (FigureAsked(since=date(2026, 3, 2), n_days=7), "the 7 days from 2 Mar 2026"),
    ],
)
def test_the_figure_behind_a_list_is_named(figure: FigureAsked, shown: str):
    assert words.figure_words(figure) == shown


@pytest.mark.parametrize(
    ("part", "name"),
    [
        (None, "Scrambled"),
        (Part(PartKind.CROSS), "Cross"),
        (Part(PartKind.PAIR, 3), "Pair 3"),
        (Part(PartKind.PLL, is_reached=False), "PLL, not finished"),
        (Part(PartKind.FINAL_AUF), "Final AUF"),
        (Part(PartKind.REST), "The rest"),
    ],
)
def test_a_part_has_its_name(part: Part | None, name: str):
    assert words.part_name(part) == name


STAGE = StageLine(
    part=Part(PartKind.OLL),
    case=name_of_met(Stage.OLL, "27"),
    skip=None,
    took_ms=2400,
    recognition_ms=1500,
    execution_ms=900,
    n_turns=7,
    first_turn=4,
    last_turn=10,
    start_ms=1800,
    end_ms=4200,
)


def test_a_stage_is_named_by_its_case_its_turns_and_its_times():
    assert words.stage_name(STAGE) == "OLL 27 Sune"
    unfinished = replace(STAGE, part=Part(PartKind.OLL, is_reached=False))
    assert words.stage_name(unfinished) == "OLL 27 Sune, not finished"
    assert words.turn_range(STAGE) == "4 to 10"
    assert words.turn_range(replace(STAGE, last_turn=4)) == "4"
    assert words.turn_range(replace(STAGE, first_turn=None, last_turn=None)) == "none"
    assert words.time_range(STAGE) == "1.80 to 4.20"
    assert words.time_range(replace(STAGE, took_ms=None)) == UNKNOWN


@pytest.mark.parametrize(
    ("field", "turn", "place"),
    [
        ("scramble", 1, "scramble, 1st turn"),
        ("solution", 2, "solution, 2nd turn"),
        ("scramble", 11, "scramble, 11th turn"),
        ("scramble", 23, "scramble, 23rd turn"),
        ("scramble", 111, "scramble, 111th turn"),
        ("turn_ms", None, "turn times"),
        ("", None, ""),
    ],
)
def test_the_place_of_a_problem_is_said(field: str, turn: int | None, place: str):
    assert words.place_words(field, turn) == place


def test_what_a_kept_mapping_reads_is_said_column_by_column():
    columns = (ReadColumn(Role.SCRAMBLE, 1, "mixed"), ReadColumn(Role.TIME, 3, ""))
    kept = KeptLine(1, "Heft", None, columns, changed_at=NOW, may_change=True)
    assert words.read_columns(kept) == "the scramble from column 1 “mixed”; the time from column 3"


def test_nothing_that_is_known_lacks_its_words():
    assert set(words.REASONS) == set(Reason)
    assert set(words.PARTS) == set(PartKind)
    assert set(words.BEHIND) == set(Behind)
    assert set(ROLE_WORDS) == set(Role)
