"""Text, and the edges of what is pressed, stand out enough on every ground, light and dark."""

import re
from pathlib import Path

import pytest

import clubsite

TOKENS = Path(clubsite.__file__).parent / "static" / "site" / "tokens.css"
COLOUR = re.compile(r"--([\w-]+): light-dark\(#([0-9a-f]{6}), #([0-9a-f]{6})\);")
COLOURS = {
    name: {"light": light, "dark": dark}
    for name, light, dark in COLOUR.findall(TOKENS.read_text(encoding="utf-8"))
}

TEXT = [
    *(
        (ink, ground)
        for ink in ("ink", "ink-soft", "accent", "warn")
        for ground in ("paper", "sheet", "sunk")
    ),
    ("accent-ink", "accent"),
    ("paper", "ink"),  # a button under the pointer
    *(
        (ink, ground)
        for ink in ("ink", "ink-soft", "accent")
        for ground in ("accent-wash", "warn-wash")
    ),
    ("warn", "warn-wash"),
]
EDGES = [("edge", "paper"), ("edge", "sheet"), ("edge", "sunk"), ("accent", "paper")]


def luminance(colour: str) -> float:
    """WCAG 2.2, "relative luminance"."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, "contrast ratio"."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_measure_agrees_with_the_standard_s_own_end_points():
    assert contrast("ffffff", "000000") == pytest.approx(21)
    assert contrast("777777", "ffffff") == pytest.approx(4.48, abs=0.005)  # WebAIM's example: fails


def test_all_colours_were_read():
    assert len(COLOURS) == 12


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_text_has_the_contrast_of_level_aa(ink: str, ground: str, theme: str):
    assert contrast(COLOURS[ink][theme], COLOURS[ground][theme]) >= 4.5  # WCAG 2.2, 1.4.3


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("edge", "ground"), EDGES)
def test_edges_of_fields_and_focus_rings_can_be_seen(edge: str, ground: str, theme: str):
    assert contrast(COLOURS[edge][theme], COLOURS[ground][theme]) >= 3  # WCAG 2.2, 1.4.11


def test_no_other_sheet_names_a_colour():
    for sheet in ("site.css", "print.css"):
        text = (TOKENS.parent / sheet).read_text(encoding="utf-8")
        found = set(re.findall(r"#[0-9a-f]{3,8}\b|rgba?\(|hsla?\(|oklch\(", text))
        assert found <= ({"#fff"} if sheet == "print.css" else set())  # paper is white
