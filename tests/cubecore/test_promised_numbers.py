"""The numbers that the engine promises: each constant, its value, its source, and who repeats it.

A constant that changes fails here: whoever changes it has to look at its source and at the sentence
that repeats it. "Our own rule" has no source. Clocks and stages have theirs in `test_clocks.py`.
"""

from pathlib import Path

import pytest

from cubecore import (
    compact,
    cube,
    cues,
    descriptions,
    drills,
    excursions,
    jsonlines,
    notation,
    questions,
    rows,
    turn_times,
    turns,
)
from cubecore.cases import Stage
from cubecore.holds import Side

ROOT = Path(__file__).parents[2]
NUMBERS = [
    (turns, "N_TURNS", 18, "six faces, three turns each: counted"),
    (turns, "SUFFIXES", ("", "2", "'"), "WCA Regulations, Article 12"),
    (cube, "N_STICKERS", 48, "six faces, eight stickers that move: counted"),
    (rows, "MAX_TIME_MS", 3_600_000, "our own rule: under an hour"),
    (rows, "PLUS_TWO_MS", 2_000, "WCA Regulations 10e3: two seconds (number from memory)"),
    (rows, "MAX_NOTE", 500, "our own rule"),
    (rows, "TIME_SLACK_MS", 50, "our own rule"),
    (notation, "MAX_TEXT", 5_000, "our own rule"),
    (notation, "MAX_TOKENS", 1_000, "our own rule"),
    (notation, "MAX_DEPTH", 8, "our own rule"),
    (notation, "MAX_REPEAT", 99, "our own rule"),
    (jsonlines, "MAX_LINE", 200_000, "our own rule"),
    (compact, "MID_SLICE", 0x20, "our own rule: the least power of two above 18 turns"),
    (descriptions, "WRIST_LIMIT", 2, "our own rule"),
    (turn_times, "HESITATION_MULTIPLE", 2.5, "our own rule"),
    (questions, "MOST_CHOICES", 6, "our own rule"),
    (questions, "FEWEST_CHOICES", 4, "our own rule"),
    (excursions, "JOINED_HTM", 20, "our own rule"),
    (drills, "MAX_HTM", 21, "our own rule"),
    (drills, "N_WAYS", {Stage.OLL: 10, Stage.PLL: 120}, "our own rule: 2,000 scrambles a case"),
    (cues, "IN_SIGHT", (Side.FRONT, Side.RIGHT), "common practice, no source"),
]
SENTENCES = [
    # The constant, the file that repeats it, and the words.
    ("HESITATION_MULTIPLE", "logs/how/templates/how/topics/looks.html", "two and a half times"),
    ("WRIST_LIMIT", "logs/how/templates/how/topics/information.html", "two quarter turns"),
    ("MAX_TIME_MS", "cubecore/rows.py", "a solve takes more than 0 and under an hour"),
]


@pytest.mark.parametrize(
    ("module", "name", "value", "source"), NUMBERS, ids=[name for _, name, *_ in NUMBERS]
)
def test_a_constant_has_the_value_that_is_promised(module, name, value, source):
    assert getattr(module, name) == value, source


@pytest.mark.parametrize(("name", "path", "words"), SENTENCES)
def test_the_sentence_that_repeats_a_constant_says_its_value(name, path, words):
    assert name in {constant for _, constant, *_ in NUMBERS}
    assert words in (ROOT / path).read_text(encoding="utf-8")
