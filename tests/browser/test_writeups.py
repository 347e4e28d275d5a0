"""A solve written down in a browser: by keyboard alone, and by thumb on a small phone."""

import pytest
from playwright.sync_api import Page, expect

from logs.people.models import Membership
from logs.solves.models.solves import Solve
from logs.writeups.models import Writeup
from logs.writeups.services import writeup_begin_for
from tests.browser.conftest import SignIn
from tests.browser.looked_over import violations
from tests.factories import NOW, SUNE, T_PERM, make_club, make_membership, make_row, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


@pytest.fixture
def own(member: Membership) -> Writeup:
    """A solve without a solution, begun: three turns from F2L, then a Sune and a T."""
    make_upload(member.user, [make_row()._replace(turn_ms=None, solution=None)])
    solve = Solve.objects.get()
    return writeup_begin_for(actor=member.user, solve_id=solve.pk, now=NOW)


def test_a_solve_is_written_by_keyboard_alone(page: Page, sign_in: SignIn, member, own):
    sign_in(page, member.user)
    page.goto(f"/write/{own.pk}/")
    text = page.get_by_label("The turns of the solve")
    text.focus()
    now = page.locator("[data-write-now]")
    page.keyboard.type("R U Q")
    expect(page.get_by_role("alert")).to_contain_text("'Q' cannot be read here")
    assert violations(page) == []
    page.keyboard.press("Backspace")
    page.keyboard.type("R'")
    expect(now).to_have_text("OLL 27 Sune lies open.")
    for whole in (SUNE, T_PERM):
        offer = page.locator(".offer", has_text=whole).first
        offer.focus()
        page.keyboard.press("Enter")
        expect(now).not_to_have_text("OLL 27 Sune lies open.")
    expect(now).to_have_text("Solved. Send it when it is as you did it.")
    page.get_by_role("button", name="Put it into my log").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Written down: your log has its solution now.")).to_be_visible()
    solve = Solve.objects.get()
    assert solve.solution.split() == f"R U R' {SUNE} {T_PERM}".split()


def test_a_solve_is_tapped_on_a_small_phone(phone: Page, sign_in: SignIn, member, own):
    sign_in(phone, member.user)
    phone.goto(f"/write/{own.pk}/")
    assert phone.evaluate("document.documentElement.scrollWidth") == 360
    text = phone.get_by_label("The turns of the solve")
    pad = phone.get_by_role("group", name="Turns", exact=True)

    def tap(name: str) -> None:
        pad.get_by_role("button", name=name, exact=True).tap()

    for name in ("R", "U", "L"):
        tap(name)
    expect(text).to_have_value("R U L")
    tap("Undo")
    expect(text).to_have_value("R U")
    tap("Redo")
    tap("Take one out")
    tap("R")
    tap("Counter-clockwise: the turn before")
    expect(text).to_have_value("R U R'")
    expect(phone.locator("[data-write-now]")).to_have_text("OLL 27 Sune lies open.")
    # back into the middle: a turn put in behind the first one, and out again
    phone.get_by_label("Turns so far: go to one of them").get_by_role("button").first.tap()
    tap("F")
    expect(text).to_have_value("R F U R'")
    tap("Take one out")
    expect(text).to_have_value("R U R'")
    tap("To the end")
    for whole in (SUNE, T_PERM):
        phone.locator(".offer", has_text=whole).first.tap()
        expect(phone.locator("[data-write-now]")).not_to_have_text("OLL 27 Sune lies open.")
    expect(phone.locator("[data-write-now]")).to_contain_text("Solved.")
    box = pad.get_by_role("button", name="R", exact=True).bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 44  # WCAG 2.2, 2.5.5: 44 by 44 px
    assert violations(phone) == []
    phone.reload()
    expect(text).to_have_value(f"R U R' {SUNE} {T_PERM} ")
