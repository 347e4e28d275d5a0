"""What went in wrong is decided, corrected, deleted, taken back and put back, in a browser."""

import pytest
from playwright.sync_api import Page, expect

from cubecore.rows import Penalty
from logs.solves.models.solves import Solve
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over
from tests.factories import make_row, make_rows, make_upload, make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_member_undoes_what_went_in_wrong(page: Page, sign_in: SignIn):
    member = make_user()
    make_upload(member, make_rows(2), file_name="monday.csv")
    other = [make_row(penalty=Penalty.PLUS_TWO), make_row(done_at=None, penalty=Penalty.DNF)]
    make_upload(member, other, file_name="again.csv")
    sign_in(page, member)

    page.goto("/log/")
    page.get_by_role("link", name="2 on hold").click()
    expect(page.get_by_role("heading", name="Line 2: penalty")).to_be_visible()
    look_over(page)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.get_by_role("button", name="The file is right, line 2").click()
    expect(page.get_by_text("Decided for line 2.")).to_be_visible()
    page.get_by_role("button", name="My log is right, line 3").click()
    expect(page.get_by_text("No row of this file waits")).to_be_visible()
    assert sorted(Solve.objects.values_list("penalty", flat=True)) == ["", "+2"]

    page.goto(f"/solves/{Solve.objects.get(penalty='').pk}/")
    page.get_by_role("link", name="Correct or delete").click()
    page.get_by_label("Time on the timer").fill("soon")
    page.get_by_role("button", name="Correct the solve").click()
    expect(page.locator(".errorlist")).to_contain_text("soon")
    look_over(page)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.get_by_label("Time on the timer").fill("9.87")
    page.get_by_label("Note").fill("misread")
    page.get_by_role("button", name="Correct the solve").click()
    expect(page.get_by_text("The solve is corrected")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text("9.87")

    page.get_by_role("link", name="Correct or delete").click()
    expect(page.get_by_text("you corrected it")).to_be_visible()
    page.get_by_role("button", name="Delete this solve").click()
    expect(page.get_by_text("The solve is deleted.")).to_be_visible()
    assert Solve.objects.count() == 1
    page.goto("/log/")
    page.get_by_role("link", name="monday.csv").click()
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("monday.csv is taken back.")).to_be_visible()
    look_over(page)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.get_by_role("button", name="Put back monday.csv").click()
    expect(page.locator("dl.facts")).to_contain_text("Taken0of 2 rows")
    assert sorted(Solve.objects.values_list("penalty", flat=True)) == ["+2"]
    page.goto("/taken-out/")
    page.get_by_role("button", name="Put back solve").click()
    expect(page.get_by_text("The solve is back in your log.")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text("9.87")
    assert Solve.objects.count() == 2
