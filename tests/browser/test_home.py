"""A coach's and a member's way in: the first screen answers, the masthead is one line."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from cubecore.cases import CaseId, Stage
from logs.homework.plan import Plan
from logs.homework.services import homework_set
from logs.people.models import Membership, Role, Visibility
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, opened
from tests.factories import make_club, make_membership, make_rows, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SCREENS = [(1280, 800), (360, 740)]


@pytest.fixture
def people() -> tuple[Membership, Membership]:
    """A coach, and a member with a log and with homework."""
    club = make_club("Riverbank")
    coach = make_membership(club, role=Role.COACH)
    member = make_membership(club, visibility=Visibility.COACH)
    now = timezone.now()
    make_upload(member.user, make_rows(30), now=now - timedelta(hours=3))
    homework_set(
        actor=coach.user,
        slug=club.slug,
        plan=Plan(
            cases=(CaseId(Stage.OLL, 45), CaseId(Stage.PLL, "T")), membership_ids=(member.pk,)
        ),
        now=now - timedelta(hours=2),
    )
    make_membership(club, visibility=Visibility.COACH)
    return coach, member


def is_on_first_screen(page: Page, words: str, height: int) -> bool:
    box = page.get_by_text(words).first.bounding_box()
    return box is not None and box["y"] + box["height"] <= height


@pytest.mark.layout
@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_a_member_finds_the_next_case_on_the_first_screen(
    page: Page, sign_in: SignIn, people, width: int, height: int
):
    _, member = people
    sign_in(page, member.user)
    page.set_viewport_size({"width": width, "height": height})
    page.goto("/")
    expect(page.get_by_role("heading", level=1)).to_have_text("Learn next: OLL 45 T")
    assert is_on_first_screen(page, "Deal me a drill", height)
    page.locator("main").get_by_role("link", name="OLL 45 T").first.click()
    assert "/homework/" in page.url


@pytest.mark.layout
@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_a_coach_finds_what_came_in_on_the_first_screen(
    page: Page, sign_in: SignIn, people, width: int, height: int
):
    coach, member = people
    sign_in(page, coach.user)
    page.set_viewport_size({"width": width, "height": height})
    page.goto("/")
    assert page.url.endswith("/desk/")
    assert is_on_first_screen(page, "1 member logged 30 solves", height)
    page.get_by_role("link", name=member.display_name).first.click()
    assert page.url.endswith(f"/members/{member.pk}/progress/")


@pytest.mark.layout
@pytest.mark.parametrize("width", [320, 360, 833, 1280])
def test_the_masthead_is_one_line_and_its_menu_opens_by_keyboard(
    page: Page, sign_in: SignIn, people, width: int
):
    coach, _ = people
    sign_in(page, coach.user)
    page.set_viewport_size({"width": width, "height": 800})
    page.goto("/")
    box = page.locator(".masthead").bounding_box()
    assert box is not None
    assert box["height"] <= 56
    words = page.locator(".nav > ul > li:visible").all_inner_texts()
    assert {"Home", "Club"} <= set(words)
    assert len(words) <= 7
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.locator(".menu > summary").focus()
    page.keyboard.press("Enter")
    sheet = page.locator(".menu-sheet").bounding_box()
    assert sheet is not None
    assert sheet["x"] >= 0
    assert sheet["x"] + sheet["width"] <= width
    page.get_by_role("link", name="Members").click()
    assert page.url.endswith("/members/")
    expect(page.locator(".menu > summary")).to_have_attribute("aria-current", "true")


@pytest.mark.layout
@pytest.mark.parametrize("who", [0, 1])
def test_the_first_page_is_accessible_and_fits(page: Page, sign_in: SignIn, people, who: int):
    sign_in(page, people[who].user)
    opened(page, "/")
    look_over(page)
