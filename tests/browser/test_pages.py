"""Every page of the app in a real browser: accessible, in both schemes, wide and narrow.

The fixture ``page`` asserts after each test that nothing broke the content security policy, that
no script failed and that nothing was asked of another host.
"""

from datetime import date, timedelta

import pytest
from playwright.sync_api import Page, expect

from logs.people.models import Membership, Role, Visibility
from logs.progress.services import time_mark_add
from logs.solves.models.solves import Solve
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, opened, violations
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ANTISUNE = "R U2 R' U' R U' R'"
BAD_LINE = b"2026-03-01T13:00:00Z,R U,12.34,,U',,\r\n"
ADDRESSES = [
    "/",
    "/home/",
    "/log/",
    "/uploads/{upload}/",
    "/solves/",
    "/solves/{solve}/",
    "/progress/",
    "/progress/?stage=pll&order=count&looks=one",
    "/cases/",
    "/cases/oll/27/",
    "/cases/pll/T/",
    "/members/",
    "/members/{membership}/progress/",
    "/how/",
]


@pytest.fixture
def coach_with_all() -> Membership:
    """A coach with a log of every kind of row, and a member whom they may look up."""
    club = make_club("Riverbank")
    coach = make_membership(club, role=Role.COACH)
    misfire = make_row(LAST_PAIR, "y", ANTISUNE, SUNE, SUNE, T_PERM, "U", note="mixed up")
    rows = [*make_rows(4), misfire, make_row(SUNE), make_row(LAST_PAIR, ANTISUNE, gap_ms=170)]
    make_upload(coach.user, content=make_csv(rows) + BAD_LINE)
    later = [make_row(gap_ms=200 - 5 * n, done_at=NOW + timedelta(days=n)) for n in range(1, 13)]
    make_upload(coach.user, later, now=NOW + timedelta(days=20))
    time_mark_add(actor=coach.user, day=date(2026, 3, 4), word="new cube", today=date(2026, 3, 21))
    make_upload(make_membership(club, visibility=Visibility.COACH).user)
    return coach


def numbers(coach: Membership) -> dict[str, int]:
    solve = Solve.objects.get(member=coach.user, note="mixed up")
    other = Membership.objects.exclude(pk=coach.pk).get()
    return {"upload": solve.upload_id, "solve": solve.pk, "membership": other.pk}


@pytest.mark.layout
@pytest.mark.parametrize("address", ADDRESSES)
def test_a_page_is_accessible_and_fits(page: Page, sign_in: SignIn, coach_with_all, address: str):
    sign_in(page, coach_with_all.user)
    opened(page, address.format(**numbers(coach_with_all)))
    if address in ("/progress/", "/cases/oll/27/"):
        assert page.locator(".chart .main-svg").count() > 0
        expect(page.locator("#marks")).to_be_visible()
        expect(page.get_by_text("new cube").first).to_be_visible()
    look_over(page)


@pytest.mark.layout
@pytest.mark.parametrize(
    "address", ["/", "/log/", "/solves/", "/progress/", "/cases/", "/members/"]
)
def test_an_empty_page_is_accessible(page: Page, sign_in: SignIn, address: str):
    sign_in(page, make_membership(make_club()).user)
    opened(page, address)
    assert violations(page) == []


def test_a_solve_is_walked_by_keyboard(page: Page, sign_in: SignIn, coach_with_all):
    sign_in(page, coach_with_all.user)
    opened(page, "/solves/{solve}/".format(**numbers(coach_with_all)))
    slider = page.get_by_role("slider", name="Turn, from the scrambled cube to the end")
    assert slider.get_attribute("aria-valuetext") == "Scrambled cube"
    cube = page.locator("[data-replay-cube]")
    scrambled = cube.inner_text()

    slider.focus()
    page.keyboard.press("ArrowRight")
    assert (slider.get_attribute("aria-valuetext") or "").startswith("1 of ")
    assert cube.inner_text() != scrambled
    page.keyboard.press("End")
    letters = cube.inner_text().split()
    assert [len(set(letters[i : i + 9])) for i in (0, 9, 18)] == [1, 1, 1]  # three solved faces
    head = page.locator(".strip-head")
    assert head.get_attribute("x1") == "100%"

    page.get_by_role("button", name="Turn back").press("Enter")
    assert len(set(cube.inner_text().split()[:9])) == 1  # only the U at the end is undone
    page.locator(".moves [data-step='1']").click()
    assert slider.input_value() == "1"
    assert page.locator(".moves .is-now").inner_text() == "R"


@pytest.mark.layout
def test_without_scripts_a_solve_still_shows_its_key_states(
    page: Page, sign_in: SignIn, coach_with_all, live_server
):
    sign_in(page, coach_with_all.user)
    browser = page.context.browser
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False, base_url=live_server.url)
    plain.add_cookies(page.context.cookies())  # type: ignore[arg-type]  # one shape, two names
    still = plain.new_page()
    still.goto("/solves/{solve}/".format(**numbers(coach_with_all)))
    states = still.locator(".key-states li")
    assert states.count() >= 9
    assert states.first.locator(".sticker").count() == 27
    assert not still.locator("[data-replay-stage]").is_visible()
    assert still.get_by_role("region", name="Looks").is_visible()
    plain.close()


@pytest.mark.layout
def test_a_fold_stays_as_it_was_left_and_a_table_is_open_without_scripts(
    page: Page, sign_in: SignIn, coach_with_all, live_server
):
    sign_in(page, coach_with_all.user)
    page.goto("/progress/")
    fold = page.locator("#all-cases")
    fold.locator("summary").first.click()
    page.reload()
    assert fold.get_attribute("open") is not None
    page.goto("/progress/#marks")  # within a closed fold
    expect(page.locator("#marks")).to_be_visible()
    browser = page.context.browser
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False, base_url=live_server.url)
    plain.add_cookies(page.context.cookies())  # type: ignore[arg-type]  # one shape, two names
    still = plain.new_page()
    still.goto("/progress/")
    assert still.get_by_role("region", name="Shares of the stages").is_visible()
    assert not still.locator(".chart").first.is_visible()
    plain.close()


@pytest.mark.layout
def test_pages_go_on_paper_without_what_can_only_be_pressed(
    page: Page, sign_in: SignIn, coach_with_all
):
    sign_in(page, coach_with_all.user)
    for address in (
        "/progress/",
        "/cases/oll/27/",
        "/solves/{solve}/".format(**numbers(coach_with_all)),
    ):
        opened(page, address)
        page.emulate_media(media="print")
        assert page.locator("table").first.is_visible()
        assert not page.locator(".nav").is_visible()
        page.emulate_media(media="screen")
