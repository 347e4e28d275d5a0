from typing import Any
from xml.etree import ElementTree as ET

import pytest

from logs.solves.charts import Fill, Stretch, time_strip

SVG = "{http://www.w3.org/2000/svg}"


def strip(**more) -> ET.Element:
    stages = [
        Stretch(0, 4000, Fill.OPEN, "Cross", "Cross: 4.00 s"),
        Stretch(4000, 4100, Fill.OPEN, "Pair 1", "Pair 1: 0.10 s"),
        Stretch(4100, 10_000, Fill.OPEN, "OLL 27", "OLL 27 <Sune>: 5.90 s"),
    ]
    looks = [
        Stretch(4100, 5000, Fill.HATCHED, "", "recognition"),
        Stretch(5000, 10_000, Fill.SOLID, "", "execution"),
    ]
    values: dict[str, Any] = {
        "stages": stages,
        "looks": looks,
        "turn_ms": [2000, 4000, 4100, 10_000],
        "hesitations": [(4100, 10_000)],
        "text": 'a "strip"',
    }
    return ET.fromstring(time_strip(**(values | more)))


def test_the_strip_is_one_picture_with_a_text_in_its_place():
    svg = strip()
    assert svg.get("role") == "img"
    assert svg.get("aria-label") == 'a "strip"'
    assert "style" not in {name for part in svg.iter() for name in part.attrib}


def test_stretches_lie_where_their_times_say():
    boxes = strip().findall(f"{SVG}svg")
    places = [(box.get("x"), box.get("width")) for box in boxes[:3]]
    assert places == [("0.00%", "40.00%"), ("40.00%", "1.00%"), ("41.00%", "59.00%")]
    assert [box.findtext(f"{SVG}title") for box in boxes][2] == "OLL 27 <Sune>: 5.90 s"


def test_recognition_is_hatched_and_execution_solid():
    fills = [box.get("fill") for box in strip().findall(f"{SVG}svg/{SVG}rect")]
    assert fills == ["none", "none", "none", "url(#strip-hatch)", "currentColor"]


def test_a_word_is_hidden_where_it_does_not_fit():
    words = {word.text: word.get("class") for word in strip().iter(f"{SVG}text")}
    assert words["Cross"] == "strip-word is-open"
    assert words["Pair 1"] == "strip-word is-open on-none"
    narrow = [Stretch(0, 1000, Fill.OPEN, "Pair 1", "")]
    word = next(w for w in strip(stages=narrow).iter(f"{SVG}text") if w.text == "Pair 1")
    assert word.get("class") == "strip-word is-open on-wide"


def test_each_turn_has_a_tick_and_each_hesitation_a_bar():
    svg = strip()
    ticks = [line.get("x1") for line in svg.findall(f"{SVG}line") if line.get("class") is None]
    assert ticks == ["20.00%", "40.00%", "41.00%", "100.00%"]
    pauses = svg.findall(f"{SVG}g")
    assert [pause.findtext(f"{SVG}title") for pause in pauses] == ["Hesitation of 5900 ms"]
    assert strip(hesitations=[]).findall(f"{SVG}g") == []


@pytest.mark.parametrize(
    ("end_ms", "marks"),
    [
        (900, ["0 s"]),
        (3_500, ["0 s", "1 s", "2 s", "3 s"]),
        (30_000, ["0 s", "5 s", "10 s", "15 s", "20 s", "25 s"]),  # 30 s would leave the strip
        (3_599_000, ["0 s", "1200 s", "2400 s"]),
    ],
)
def test_the_scale_has_few_round_marks(end_ms: int, marks: list[str]):
    svg = strip(stages=[], looks=[], hesitations=[], turn_ms=[end_ms])
    assert [mark.text for mark in svg.iter(f"{SVG}text")] == marks
