"""Drills in a real browser: asked for by keyboard, narrow, printed, accessible in both themes."""

from io import BytesIO

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from cubecore.excursions import excursions
from logs.people.models import Membership, Role
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, opened
from tests.desk import DRILL, ONE_LOOK
from tests.factories import make_club, make_membership, make_row, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SHEET = "/drills/sheet/?case=oll-33&case=oll-45&n=12&last=yellow&seed=7"
ADDRESSES = [
    "/drills/",
    "/drills/one/?case=oll-45",
    "/drills/?case=oll-33&mix=1",
    SHEET,
    SHEET + "&paper=letter",
    "/cases/oll/40/",
    "/clubs/{slug}/homework/",
]


@pytest.fixture(autouse=True, scope="module")
def _tables() -> None:
    """Have the tables of drills stand: a busy machine may take longer than a page waits."""
    excursions(0)


@pytest.fixture
def coach_with_drills() -> Membership:
    coach = make_membership(make_club("Riverbank"), role=Role.COACH)
    drills = [make_row(*DRILL, gap_ms=gap) for gap in range(90, 98)]
    make_upload(coach.user, [*drills, *(make_row(*ONE_LOOK, gap_ms=gap) for gap in (120, 130))])
    return coach


@pytest.mark.layout
@pytest.mark.parametrize("address", ADDRESSES)
def test_a_page_is_accessible_and_fits(page: Page, sign_in: SignIn, coach_with_drills, address):
    sign_in(page, coach_with_drills.user)
    opened(page, address.format(slug=coach_with_drills.club.slug))
    look_over(page)


def test_drills_are_asked_for_by_keyboard(page: Page, sign_in: SignIn, coach_with_drills):
    sign_in(page, coach_with_drills.user)
    opened(page, "/cases/oll/33/")
    page.get_by_role("link", name="Drills", exact=True).focus()
    page.keyboard.press("Enter")
    page.get_by_label("Mix in look-alikes of the ticked cases").focus()
    page.keyboard.press("Space")
    page.get_by_label("How many").fill("4")
    page.keyboard.press("Enter")
    page.wait_for_url("**/drills/sheet/**seed=**")
    assert page.locator(".drill-lines > li").count() == 4
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Log to fill in").press("Enter")
    assert waiting.value.suggested_filename.endswith(".csv")


@pytest.mark.layout
def test_a_sheet_prints_its_scrambles_and_no_answers(
    page: Page, sign_in: SignIn, coach_with_drills
):
    sign_in(page, coach_with_drills.user)
    opened(page, SHEET)
    scrambles = page.locator(".drill-lines .moves").all_inner_texts()
    printed = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    text = " ".join(part.extract_text() for part in printed.pages)
    assert len(printed.pages) == 1
    assert all(scramble in " ".join(text.split()) for scramble in scrambles)
    assert "Which case is which" not in text
