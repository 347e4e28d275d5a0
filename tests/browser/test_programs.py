"""Tokens and the API's page in a real browser: accessible, narrow, and a token really made."""

import pytest
from playwright.sync_api import Page, expect

from logs.people.models import ApiToken
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over
from tests.factories import make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_token_is_made_shown_once_and_withdrawn(page: Page, sign_in: SignIn):
    user = make_user("otter")
    user.set_password("plum-anvil-orbit-nine")
    user.save()
    sign_in(page, user)
    page.goto("/privacy/")
    page.get_by_role("link", name="token").click()
    look_over(page)
    page.get_by_label("What it is for").fill("my timer")
    page.get_by_label("Upload", exact=True).check()
    page.get_by_label("Your password").fill("plum-anvil-orbit-nine")
    page.get_by_role("button", name="Make the token").click()
    expect(page.get_by_role("heading", name="The token for my timer")).to_be_visible()
    look_over(page)
    text = page.locator(".notice code").inner_text()
    page.goto("/privacy/tokens/")
    assert text not in page.content()
    assert ApiToken.objects.get().scopes == ["read", "upload"]
    page.get_by_role("button", name="Withdraw the token my timer").click()
    expect(page.get_by_text("No program acts in your name.")).to_be_visible()


@pytest.mark.layout
def test_the_api_s_page_is_accessible_and_fits(page: Page, sign_in: SignIn):
    sign_in(page, make_user("otter"))
    page.goto("/api/v1/")
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    look_over(page)
