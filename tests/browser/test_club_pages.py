"""The pages of a club in a real browser: accessible, in both schemes, wide and narrow."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from cubecore.cases import CASES, CaseId, Stage
from logs.people.models import Membership, Role, Visibility
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ANTISUNE = "R U2 R' U' R U' R'"
MISTAKEN = (LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)
PAGES = [
    "",
    "?stage=pll",
    "?standing=fluent",
    "compare/",
    "compare/?{two}",
    "mistaken/",
    "cases/oll/1/",
    "cases/oll/57/",
]


@pytest.fixture
def club() -> dict[str, Membership]:
    """A coach, one who knows two cases, one who mistakes one of them, one who shows nothing yet."""
    made = make_club("Riverbank")
    coach = make_membership(made, role=Role.COACH)
    able, mistaken, new = (make_membership(made, visibility=Visibility.CLUB) for _ in range(3))
    later = [
        make_row(LAST_PAIR, ANTISUNE, T_PERM, done_at=NOW + timedelta(hours=n)) for n in range(4)
    ]
    # Enough times in two of the last weeks for a chart; the 57th OLL, at which no other test looks.
    noon = timezone.now().replace(hour=12)
    oll_57 = CASES[CaseId(Stage.OLL, 57)].algorithms[0]
    lately = [
        make_row(LAST_PAIR, oll_57, done_at=noon - timedelta(weeks=weeks, minutes=n), gap_ms=203)
        for weeks in (1, 2)
        for n in range(6)
    ]
    make_upload(able.user, [*make_rows(5), *later, *lately])
    make_upload(mistaken.user, [*make_rows(4, *MISTAKEN), *later])
    return {"coach": coach, "able": able, "mistaken": mistaken, "new": new}


def address_of(club: dict[str, Membership], page: str) -> str:
    two = f"member={club['able'].pk}&member={club['mistaken'].pk}"
    return f"/clubs/{club['coach'].club.slug}/{page.format(two=two)}"


@pytest.mark.layout
@pytest.mark.parametrize("place", [*PAGES, "own"])
def test_a_page_is_accessible_and_fits(page: Page, sign_in: SignIn, club, place: str):
    sign_in(page, club["mistaken" if place == "own" else "coach"].user)
    page.goto("/mistaken/" if place == "own" else address_of(club, place))
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    if "57" in place:
        expect(page.locator(".chart .main-svg").first).to_be_visible()
    look_over(page)


def test_a_coach_walks_from_a_square_to_the_solves_by_keyboard(
    page: Page, sign_in: SignIn, club: dict[str, Membership]
):
    sign_in(page, club["coach"].user)
    page.goto(address_of(club, ""))
    square = page.locator(".grid a[data-standing='two-look']").first
    expect(square).to_have_accessible_name("two-look, 0 of 4")
    square.focus()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text(club["mistaken"].display_name)
    expect(page.locator("tbody tr")).to_have_count(4)


@pytest.mark.layout
def test_standings_differ_without_colour(page: Page, sign_in: SignIn, club):
    """Each standing's square is drawn another way: fill, not hue (WCAG 2.2, 1.4.1)."""
    sign_in(page, club["coach"].user)
    page.goto(address_of(club, ""))
    fills = page.evaluate(
        """[...document.querySelectorAll('.standing-key .standing')].map(one => {
            const drawn = getComputedStyle(one, '::before');
            return drawn.backgroundImage + drawn.backgroundColor;
        })"""
    )
    assert len(fills) == 4
    assert len(set(fills)) == 4


@pytest.mark.layout
def test_the_three_parts_of_coverage_are_in_sight_on_a_phone(page: Page, sign_in: SignIn, club):
    sign_in(page, club["coach"].user)
    page.set_viewport_size({"width": 360, "height": 800})
    page.goto(address_of(club, ""))
    for name in ("Covered", "Not covered", "Never met"):
        box = page.locator(".coverage-table thead").get_by_text(name, exact=True).bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= 360


def test_choosing_two_compares_them(page: Page, sign_in: SignIn, club):
    sign_in(page, club["coach"].user)
    page.goto(address_of(club, "compare/"))
    page.get_by_label(club["able"].display_name, exact=True).check()
    page.get_by_label(club["mistaken"].display_name, exact=True).check()
    page.get_by_role("button", name="Compare").click()
    expect(page.locator("#teach li").first).to_contain_text(
        f"{club['able'].display_name} could show {club['mistaken'].display_name} 1 case"
    )
    expect(page.locator("#differences .grid tbody tr")).to_have_count(2)
