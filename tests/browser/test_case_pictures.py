"""Case pictures as pixels: what is told apart at the smallest size that pages use."""

from functools import reduce
from io import BytesIO
from itertools import combinations, product
from pathlib import Path

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser

from cubecore.cases import CASES, CaseId, Stage, recoloured
from cubecore.parting import parting
from cubecore.pictures import case_picture
from cubecore.questions import alike_cases

pytestmark = pytest.mark.browser

SIZE = 36
CHANGED = 32
"""Two pixels differ from so many of 255 levels on, of grey or of one colour (a rule of ours)."""
APART = 24
"""So many of the 1,296 pixels differ between any two."""
A_SHOT = 200
"""Pictures in one screenshot: Chromium draws no more than 16,384 pixels high."""
STYLES = [
    Path("clubsite/static/site/tokens.css"),
    Path("clubsite/static/site/site.css"),
    Path("logs/static/logs/logs.css"),
]
PAINTS = {"in colour": ("".join(path.read_text() for path in STYLES), "RGB"), "on paper": ("", "L")}
GS = [CASES[CaseId(Stage.PLL, name)] for name in ("Ga", "Gb", "Gc", "Gd")]


def drawn(chromium: Browser, css: str, mode: str, pictures: list[str]) -> list[Image.Image]:
    """Each picture as Chromium draws it on white."""
    page = chromium.new_page(viewport={"width": SIZE, "height": SIZE * len(pictures)})
    page.set_content(
        f"<style>{css} html {{ background: #fff !important; color-scheme: light }}"
        " body { margin: 0; display: block; font: 0/0 x } svg { display: block }</style>"
        + "".join(pictures)
    )
    shot = Image.open(BytesIO(page.screenshot())).convert(mode)
    page.close()
    return [shot.crop((0, SIZE * n, SIZE, SIZE * (n + 1))) for n in range(len(pictures))]


def n_apart(one: Image.Image, other: Image.Image) -> int:
    """How many pixels differ, in any of their bands."""
    bands = ImageChops.difference(one, other).split()
    return sum(reduce(ImageChops.lighter, bands).histogram()[CHANGED:])


@pytest.mark.parametrize("paint", PAINTS)
def test_the_four_gs_are_told_apart_at_36_pixels_however_they_are_met(chromium: Browser, paint):
    """At every angle, and whatever colour stands in front: 64 pictures; on paper in grey."""
    css, mode = PAINTS[paint]
    views = list(product(GS, range(4), range(4)))
    pictures = [
        case_picture(recoloured(case, n), size=SIZE, angle=angle) for case, angle, n in views
    ]
    images = drawn(chromium, css, mode, pictures)
    apart = {
        (f"{a[0]} at {a[1:]}", f"{b[0]} at {b[1:]}"): n_apart(one, other)
        for (a, one), (b, other) in combinations(zip(views, images, strict=True), 2)
        if a[0] != b[0]
    }
    assert len(apart) == 6 * 16 * 16
    least = min(apart.items(), key=lambda item: item[1])
    assert least[1] > APART, least


@pytest.mark.parametrize("paint", PAINTS)
@pytest.mark.parametrize("stage", Stage)
def test_what_looks_alike_is_told_apart_at_36_pixels_held_as_much_alike_as_can_be(
    chromium: Browser, stage, paint
):
    """Each case at each angle beside what it could be taken for, in the colours that differ least."""
    css, mode = PAINTS[paint]
    pairs = [
        (case, angle, parting(case.id, angle, other))
        for case in CASES.values()
        if case.id.stage is stage
        for angle in range(case.n_angles)
        for other in alike_cases(case, angle)
    ]
    assert len(pairs) > 100
    pictures = [
        case_picture(shown, size=SIZE, angle=at)
        for case, angle, held in pairs
        for shown, at in ((case, angle), (held.case, held.angle))
    ]
    images = [
        image
        for n in range(0, len(pictures), A_SHOT)
        for image in drawn(chromium, css, mode, pictures[n : n + A_SHOT])
    ]
    apart = {
        f"{case} at {angle} and {held.case} at {held.angle}": n_apart(*images[2 * n : 2 * n + 2])
        for n, (case, angle, held) in enumerate(pairs)
    }
    least = min(apart.items(), key=lambda item: item[1])
    assert least[1] > APART, least
