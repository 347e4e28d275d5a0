"""A sheet of drills done one at a time on a phone, the network gone after it was opened."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from logs.homework.models import DrillAnswer
from logs.people.models import Membership
from tests.browser.conftest import SignIn
from tests.browser.looked_over import SCHEMES, violations
from tests.factories import make_club, make_membership

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SHEET = "/drills/sheet/?case=oll-27&case=pll-T&n=3&last=yellow&seed=7"


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


@pytest.fixture
def phone(chromium: Browser, live_server: LiveServer) -> Iterator[Page]:
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": 320, "height": 568},
        has_touch=True,
        reduced_motion="reduce",
    )
    yield context.new_page()
    context.close()


def test_the_sheet_goes_on_without_a_network_and_no_word_is_lost(
    phone: Page, sign_in: SignIn, member
):
    sign_in(phone, member.user)
    phone.goto(SHEET)
    scrambles = phone.locator(".drill-lines .moves").all_inner_texts()
    phone.get_by_role("button", name="Do them one at a time").tap()
    hand = phone.locator("[data-hand]")
    expect(hand.locator("[data-hand-scramble]")).to_have_text(scrambles[0])
    expect(hand.locator("[data-hand-scramble]")).to_be_focused()
    assert violations(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") == 320

    hand.get_by_label("Seconds").fill("12.5")
    hand.get_by_role("button", name="It went clean").tap()
    expect(hand.get_by_role("status")).to_contain_text("Kept: by your own word.")
    (first,) = DrillAnswer.objects.all()
    assert (first.word, first.time_ms, first.scramble) == ("clean", 12_500, scrambles[0])

    phone.context.set_offline(True)
    for scramble, word in zip(scrambles[1:], ("I stumbled", "I did not know it"), strict=True):
        hand.get_by_role("button", name="Next drill").tap()
        expect(hand.locator("[data-hand-scramble]")).to_have_text(scramble)
        hand.get_by_role("button", name=word).tap()
        expect(hand.get_by_role("status")).to_contain_text("kept on this device")
    assert DrillAnswer.objects.count() == 1
    hand.get_by_role("button", name="Again").tap()
    hand.get_by_role("button", name="It went clean").tap()  # the first word on it counts
    expect(hand.get_by_role("button", name="To the sheet")).to_be_focused()

    phone.context.set_offline(False)
    expect(hand.get_by_role("status")).to_contain_text("Kept: by your own word.")
    said = {answer.scramble: answer.word for answer in DrillAnswer.objects.all()}
    assert said == dict(zip(scrambles, ("clean", "stumbled", "did_not_know"), strict=True))
    hand.get_by_role("button", name="To the sheet").tap()
    expect(hand).to_be_hidden()


def test_what_waits_on_the_device_is_sent_when_the_page_is_opened_again(
    phone: Page, sign_in: SignIn, member
):
    sign_in(phone, member.user)
    phone.goto(SHEET)
    phone.get_by_role("button", name="Do them one at a time").tap()
    phone.context.set_offline(True)
    phone.get_by_role("button", name="I stumbled").tap()
    expect(phone.get_by_role("status")).to_contain_text("kept on this device")
    assert not DrillAnswer.objects.exists()
    phone.context.set_offline(False)
    phone.wait_for_timeout(500)
    phone.goto(SHEET)
    phone.wait_for_timeout(500)
    assert DrillAnswer.objects.get().word == "stumbled"
    assert phone.evaluate("Object.values(localStorage).join()") in ("[]", "")


def test_one_drill_and_its_words_are_in_sight_on_a_small_phone(
    phone: Page, sign_in: SignIn, member
):
    sign_in(phone, member.user)
    phone.goto("/drills/one/?case=pll-Na")
    for part in phone.locator(".drill-scramble, .drill-words button").all():
        box = part.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 568, part.inner_text()
    for button in phone.locator(".drill-words button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44  # WCAG 2.2, 2.5.5: target size, enhanced
    for scheme in SCHEMES:
        phone.emulate_media(color_scheme=scheme)
        assert violations(phone) == []
