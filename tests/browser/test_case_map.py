"""All cases at once in a real browser: at every width, by keys alone, without script, on paper."""

from io import BytesIO

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader
from pytest_django.live_server_helper import LiveServer

from logs.case_map.models import KnownByWord
from tests.browser.conftest import SignIn
from tests.browser.looked_over import SCHEMES, narrow, opened, violations
from tests.factories import make_club, make_membership, make_rows, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WIDTHS = (320, 360, 390, 768, 1280)


@pytest.fixture
def member():
    membership = make_membership(make_club())
    make_upload(membership.user, make_rows(2))
    return membership


def test_it_fits_and_is_accessible_at_every_width(page: Page, sign_in: SignIn, member):
    sign_in(page, member.user)
    for address in ("/cases/", "/cases/poster/?paper=a3"):
        opened(page, address)
        for width in WIDTHS:
            narrow(page, width)
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            assert violations(page) == []
    # ISO 216: the print of either paper is one page of its size.
    for paper, width_mm in (("a4", 210), ("a3", 297)):
        page.goto(f"/cases/poster/?paper={paper}")
        printed = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
        (only,) = printed.pages
        assert float(only.mediabox.width) / 72 * 25.4 == pytest.approx(width_mm, abs=0.5)


def test_a_word_is_said_by_keys_alone(page: Page, sign_in: SignIn, member):
    sign_in(page, member.user)
    page.goto("/cases/")
    summary = page.get_by_text("Say which you know in one look")
    summary.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.locator("[name=case]").first).to_be_focused()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")  # a form is sent from any of its fields
    expect(page.get_by_text("By your own word: 1 in one look.")).to_be_visible()
    expect(page.get_by_text("by my word")).to_be_visible()
    assert KnownByWord.objects.get().member == member.user


def test_without_script_a_choice_is_a_link(
    chromium: Browser, live_server: LiveServer, sign_in: SignIn, member
):
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    still = context.new_page()
    sign_in(still, member.user)
    still.goto("/cases/")
    assert still.locator("a.map-case").count() == 78
    still.get_by_role("link", name="one-look 2", exact=True).click()
    assert still.locator("a.map-case").count() == 2
    context.close()
