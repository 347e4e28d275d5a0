"""From times alone to a drawn solve that is written down, in a real browser."""

from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over
from tests.factories import NOW, make_club, make_membership, make_row, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.layout
def test_a_member_with_times_draws_five_and_begins_with_the_next(page: Page, sign_in: SignIn):
    member = make_membership(make_club())
    rows = [
        make_row(is_timed=False, done_at=NOW + timedelta(hours=5 * n))._replace(solution=None)
        for n in range(24)
    ]
    make_upload(member.user, rows)
    sign_in(page, member.user)
    page.goto("/progress/")
    page.get_by_role("link", name="Write five solves down").click()
    look_over(page)
    page.set_viewport_size({"width": 1280, "height": 800})
    page.get_by_label("Done since").fill("2026-03-02")
    page.get_by_role("button", name="Draw them").click()
    expect(page.get_by_role("row")).to_have_count(1 + 5)
    expect(page.get_by_text("since 2 Mar 2026, in the order of time")).to_be_visible()
    look_over(page)
    page.get_by_role("button", name="Write the next one down").click()
    expect(page.get_by_label("The turns of the solve")).to_be_visible()
    page.goto("/write/")
    expect(page.get_by_role("link", name="All that were drawn")).to_be_visible()
    look_over(page)
