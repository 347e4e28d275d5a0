"""An algorithm stepped through in a real browser, beside the engine and the tests' own cube."""

import json
from itertools import accumulate

import pytest
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from logs.people.models import Membership
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, opened, violations
from tests.cubecore import twin
from tests.factories import make_club, make_membership

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LETTERS = str.maketrans("URFDLB", "YOGWRB")
"""Yellow up and green in front, as a cube with a white cross is held (common practice, no source)."""
WALK = """section => {
  const told = [section.dataset.letters];
  const on = section.querySelector("[data-step-go='on']");
  const at = section.querySelector("[data-step-at]");
  while (Number(at.value) < Number(at.max)) {
    on.click();
    told.push(section.dataset.letters);
  }
  const seen = [...section.querySelectorAll(".step-cube [data-cell] text")].map(t => t.textContent);
  return [told, seen.join("")];
}"""


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


@pytest.fixture
def moving(chromium: Browser, live_server: LiveServer):
    """A page of somebody who did not ask for less motion, narrow as a phone."""
    context = chromium.new_context(
        base_url=live_server.url, viewport={"width": 360, "height": 740}, has_touch=True
    )
    yield context.new_page()
    context.close()


def expected_states(text: str) -> list[str]:
    """What the twin shows from the case to the end, yellow up and green in front."""
    before = twin.renamed(twin.after(twin.SOLVED, twin.inverse(text)))
    return [
        state.translate(LETTERS) for state in accumulate(text.split(), twin.after, initial=before)
    ]


@pytest.mark.parametrize("stage", Stage)
def test_each_algorithm_of_the_book_ends_as_it_should_in_each_hand(
    page: Page, sign_in: SignIn, member, stage
):
    """Every state on the way too, on the pages of all cases."""
    sign_in(page, member.user)
    n_walked = 0
    for case in CASES.values():
        if case.id.stage is not stage:
            continue
        page.goto(f"/cases/{stage}/{case.id.number}/")
        sections = page.locator("[data-steps]")
        algorithms = default_book().algorithms(case.id)
        assert sections.count() == len(algorithms)
        for n in range(sections.count()):
            section = sections.nth(n)
            block = page.locator(f"script#{section.get_attribute('data-steps')}")
            ways = json.loads(block.text_content() or "")["ways"]
            assert ways[0]["tokens"] == algorithms[n].text.split()
            for way in ways:
                hand = section.locator(f"[data-step-way][value={way['key']}]")
                hand.evaluate(
                    "hand => { hand.checked = true; hand.dispatchEvent(new Event('change')); }"
                )
                states, seen = section.evaluate(WALK)
                assert states == expected_states(" ".join(way["tokens"])), (case, way["key"])
                assert seen == states[-1][:27]
                n_walked += 1
    in_book = [default_book().algorithms(case) for case in CASES if case.stage is stage]
    assert n_walked == 3 * sum(map(len, in_book))


def test_by_keys_and_as_a_screen_reader_hears_it(page: Page, sign_in: SignIn, member):
    sign_in(page, member.user)
    opened(page, "/cases/oll/27/")
    section = page.locator("[data-steps]").first
    slider = section.get_by_role("slider")
    slider.focus()
    expect(slider).to_have_attribute("aria-valuetext", "The hold it starts from: OLL 27 Sune")
    page.keyboard.press("ArrowRight")
    expect(slider).to_have_attribute("aria-valuetext", "R up: turn 1 of 7, in Sune")
    page.keyboard.press("PageUp")
    expect(slider).to_have_attribute(
        "aria-valuetext", "R down: turn 7 of 7, in Sune. The layer is done"
    )
    page.keyboard.press("Home")
    expect(section.locator("[data-step-now]")).to_have_text("The hold it starts from: OLL 27 Sune")
    # The pair between front and right leaves with the first turn: its front stickers go up.
    rings = section.locator(".step-cube .is-followed")
    assert rings.count() == 4  # of the five stickers, one looks down
    page.keyboard.press("ArrowRight")
    assert (
        rings.evaluate_all("all => all.map(one => Number(one.dataset.cell)).sort((a, b) => a - b)")
        == followed_after_r()
    )
    section.get_by_label("Ring the pair").uncheck()
    assert rings.count() == 0
    assert violations(page) == []


def followed_after_r() -> list[int]:
    """In sight (cells 0-26) of the pair between front and right, once R is made, by the twin."""
    goes_to = twin.token_permutation("R")
    cells = [goes_to[twin.NUMBER[name]] for name in ("F6", "R4", "F9", "R7", "D3")]
    return sorted(cell for cell in cells if cell < 27)


def test_it_plays_by_touch_and_the_hold_is_one_press_away(moving: Page, sign_in: SignIn, member):
    sign_in(moving, member.user)
    moving.goto("/cases/oll/27/")
    section = moving.locator("[data-steps]").first
    assert not section.locator(".step-strip").is_visible()
    section.get_by_label("a turn every").select_option("500")
    section.get_by_role("button", name="Play").tap()
    expect(section.locator("[data-step-now]")).to_contain_text("turn 7 of 7", timeout=10_000)
    expect(section.get_by_role("button", name="Play")).to_be_visible()  # it has stopped
    section.get_by_role("button", name="Hold", exact=True).tap()
    expect(section.locator("[data-step-now]")).to_contain_text("The hold it starts from")
    for button in section.locator(".step-buttons .button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44  # WCAG 2.2, 2.5.5: target size, enhanced


def test_with_less_motion_the_pictures_stand_and_nothing_plays(page: Page, sign_in: SignIn, member):
    sign_in(page, member.user)
    opened(page, "/cases/oll/27/")
    section = page.locator("[data-steps]").first
    assert section.locator(".step-strip > li").count() == 3  # the hold, three turns, four more
    assert section.locator(".step-strip").is_visible()
    expect(section.get_by_role("button", name="Play")).to_be_hidden()
    section.get_by_role("button", name="Turn on").click()
    assert page.locator("[data-step-stage]").nth(1).is_hidden()
    page.get_by_role("button", name="Step through it").click()
    expect(page.locator("[data-steps]").nth(1).get_by_role("slider")).to_be_focused()
    expect(section.locator("[data-step-now]")).to_contain_text("turn 1 of 7")


def test_without_script_and_on_paper_it_is_a_strip_of_pictures(
    chromium: Browser, live_server: LiveServer, sign_in: SignIn, member
):
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    still = context.new_page()
    sign_in(still, member.user)
    still.goto("/cases/pll/T/")
    strip = still.locator(".step-strip").first
    assert strip.is_visible()
    assert strip.locator("svg").count() == strip.locator("li").count() >= 4
    assert not still.locator(".step-stage").first.is_visible()
    context.close()
    context = chromium.new_context(base_url=live_server.url)
    printed = context.new_page()
    sign_in(printed, member.user)
    printed.goto("/cases/pll/T/")
    assert not printed.locator(".step-strip").first.is_visible()
    printed.emulate_media(media="print")
    assert printed.locator(".step-strip").first.is_visible()
    assert not printed.locator(".step-stage").first.is_visible()
    context.close()


def test_the_page_is_accessible_and_fits(page: Page, sign_in: SignIn, member):
    sign_in(page, member.user)
    opened(page, "/cases/pll/Ga/")
    look_over(page)
