"""The practice page in a real browser: by keyboard alone, by touch, as a screen reader hears it."""

import re

import pytest
from django.core.signing import Signer
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from cubecore.cases import label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import Face
from logs.people.models import Role
from logs.practice.models import PracticeAnswer
from logs.practice.services import practice_cap_change
from logs.solves.models.solves import Solve
from tests.browser.conftest import SignIn
from tests.browser.looked_over import SCHEMES, look_over, opened, violations
from tests.factories import make_club, make_membership, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DRAWN = """new Promise(done => {
  let frames = 0;
  const next = () => ++frames > 3 ? done() : requestAnimationFrame(next);
  next();
})"""
"""Some frames: a question is timed from its second on, so who answers at once is not timed."""
QUESTION = "/practice/question/?what=oll-27"
CAP = 4
TAPS = 12
"""Answers on screen where a coach wants ``CAP`` drills a day: three times as many."""


@pytest.fixture
def capped():
    """A member of a club whose coach wants four answers a day."""
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    practice_cap_change(actor=coach.user, slug=club.slug, practice_cap=CAP)
    return make_membership(club)


def answer(page: Page, *, rightly: bool | None = None) -> None:
    """Answer by a number key, and go on from an answer that was not right."""
    page.evaluate(DRAWN)
    n_before = PracticeAnswer.objects.count()
    seal = page.locator("input[name=seal]").input_value()
    case = Signer(salt="logs.practice").unsign_object(seal)["case"]
    values = [button.get_attribute("value") for button in page.locator("[name=answer]").all()]
    places = [place for place, value in enumerate(values) if (value == case) == rightly]
    with page.expect_navigation():
        page.keyboard.press(str(1 + (places[0] if places else 0)))
    assert PracticeAnswer.objects.count() == n_before + 1
    if page.get_by_role("heading", name="Not quite").count():
        expect(page.locator("[data-practice-next]")).to_be_focused()
        assert violations(page) == []
        with page.expect_navigation():
            page.keyboard.press("Enter")


def test_by_keyboard_alone_until_it_stops(page: Page, sign_in: SignIn, capped):
    sign_in(page, capped.user)
    opened(page, "/practice/")
    assert violations(page) == []
    page.locator("#id_what").focus()
    page.keyboard.press("Tab")  # which case it is
    page.keyboard.press("Tab")  # from above
    page.keyboard.press("Tab")  # the button
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("/practice/question/"))
    for place in range(TAPS):
        if place == 10:
            expect(page.get_by_role("heading", name="5 of 10 right")).to_be_visible()
            assert violations(page) == []
            expect(page.get_by_role("link", name="Ten more")).to_be_focused()
            page.keyboard.press("Enter")
            page.wait_for_url(re.compile("question/"))
        expect(page.get_by_role("group", name="Which case is this?")).to_be_focused()
        answer(page, rightly=place % 2 == 0)
        if place % 2 == 0:
            expect(page.get_by_role("status")).to_have_text(re.compile(r"Right: OLL .*, .* s\."))
    expect(page.get_by_role("heading", name="Enough for today")).to_be_visible()
    expect(page.get_by_text("stop when it hurts")).to_be_visible()
    expect(page.get_by_text("see a doctor if the pain stays")).to_be_visible()
    assert violations(page) == []
    answers = PracticeAnswer.objects.filter(member=capped.user)
    assert answers.count() == TAPS
    assert all(0 < (given.recognition_ms or 0) < 60_000 for given in answers)
    page.goto(QUESTION)
    expect(page.get_by_role("heading", name="Enough for today")).to_be_visible()
    page.goto("/practice/")
    expect(page.get_by_text("That is enough for today")).to_be_visible()


@pytest.mark.parametrize(
    ("width", "height"),
    [(320, 568), (360, 740), (375, 667), (390, 844), (768, 1024), (1280, 800)],
)
def test_question_and_answers_are_in_sight_and_large_enough(
    phone: Page, sign_in: SignIn, capped, width, height
):
    """From small phones to a desk, without scrolling: told and held, from above and on the cube."""
    sign_in(phone, capped.user)
    phone.set_viewport_size({"width": width, "height": height})
    last = ""
    for query in ("what=oll&view=above", "what=pll&view=cube", "what=oll-41&task=hold"):
        phone.goto(f"/practice/question/?{query}{last}")
        assert phone.evaluate("document.documentElement.scrollWidth") == width
        parts = phone.locator(".practice-picture svg, .practice-answers legend, [name=answer]")
        for part in parts.all():
            box = part.bounding_box()
            assert box is not None
            assert box["y"] >= 0
            assert box["y"] + box["height"] <= height, part.inner_text()
        for button in phone.locator("[name=answer]").all():
            box = button.bounding_box()
            assert box is not None
            assert box["height"] >= 44  # WCAG 2.2, 2.5.5: target size, enhanced
            assert box["width"] >= 44
        picture = phone.locator(".practice-picture svg").bounding_box()
        assert picture is not None
        assert picture["height"] >= 120
        # What follows a right answer says so above the question: it must fit too.
        last = f"&last={_right_answer(capped)}"
    for scheme in SCHEMES:
        phone.emulate_media(color_scheme=scheme)
        assert violations(phone) == []


def _right_answer(capped) -> int:
    return PracticeAnswer.objects.create(
        member=capped.user, question=f"q{PracticeAnswer.objects.count()}", at=timezone.now(),
        task="case", stage="oll", case="41", angle=0, answered="41", is_right=True,
        recognition_ms=900,
    ).pk  # fmt: skip


def test_by_touch_a_wrong_answer_shows_both_cases_side_by_side(
    phone: Page, sign_in: SignIn, capped
):
    sign_in(phone, capped.user)
    phone.set_viewport_size({"width": 320, "height": 568})
    phone.goto(QUESTION)
    seal = phone.locator("input[name=seal]").input_value()
    case = Signer(salt="logs.practice").unsign_object(seal)["case"]
    phone.evaluate(DRAWN)
    phone.locator(f"[name=answer]:not([value='{case}'])").first.tap()
    phone.wait_for_url(re.compile(r"last=\d+"))
    (given,) = PracticeAnswer.objects.all()
    assert given.member == capped.user
    assert given.recognition_ms is not None
    left, right = (one.bounding_box() for one in phone.locator(".practice-pair svg").all())
    assert left is not None
    assert right is not None
    assert (left["y"], left["width"]) == (right["y"], right["width"])
    assert left["x"] + left["width"] <= right["x"]
    button = phone.get_by_role("link", name="Next question").bounding_box()
    assert button is not None
    assert button["y"] + button["height"] <= 568
    assert violations(phone) == []


def test_as_a_screen_reader_hears_it(page: Page, sign_in: SignIn, capped):
    """The picture is described without the case's name, and belongs to the question."""
    sign_in(page, capped.user)
    page.goto("/practice/question/?what=oll-27&view=above")
    group = page.get_by_role("group", name="Which case is this?")
    expect(group).to_have_accessible_description(re.compile(r"Front: .*\. Right: .*\."))
    picture = page.locator(".practice-picture svg")
    label = picture.get_attribute("aria-label") or ""
    assert re.search(r"Front: .*\. Right: .*\. Back: .*\. Left: .*\.", label)
    assert "OLL" not in label
    names = [button.inner_text() for button in group.get_by_role("button").all()]
    assert len(names) >= 4
    assert all("OLL" in name for name in names)
    tree = page.locator("main").aria_snapshot()
    assert "heading" in tree
    assert "img" in tree


def test_number_keys_do_nothing_away_from_the_answers(page: Page, sign_in: SignIn, capped):
    """WCAG 2.2, 2.1.4: a key of one character works only where its part has the focus."""
    sign_in(page, capped.user)
    page.goto(QUESTION)
    page.get_by_role("link", name="Stop").focus()
    page.keyboard.press("1")
    page.wait_for_timeout(300)
    assert not PracticeAnswer.objects.exists()


def test_without_script_an_answer_counts_without_a_time(
    chromium: Browser, live_server: LiveServer, sign_in: SignIn, capped
):
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    sign_in(page, capped.user)
    page.goto(QUESTION)
    page.locator(".practice-choices button").first.click()
    page.wait_for_url(re.compile(r"last=\d+"))
    context.close()
    assert PracticeAnswer.objects.get().recognition_ms is None


def test_what_was_mistaken_stands_marked_as_practice(page: Page, sign_in: SignIn, capped):
    make_upload(capped.user)
    before = Solve.objects.count()
    sign_in(page, capped.user)
    page.goto("/practice/question/?what=oll-27&view=cube")
    for _ in range(CAP):
        answer(page, rightly=False)
    opened(page, "/mistaken/")
    section = page.locator("#practice")
    expect(section.get_by_text(f"From {CAP} answers")).to_be_visible()
    for summary in section.locator("summary").all():
        summary.click()
    expect(section.locator(".tag").first).to_have_text("practice")
    assert section.locator("tbody tr").count() == _n_mix_ups(capped)
    look_over(page)
    assert Solve.objects.count() == before
    opened(page, "/practice/")
    look_over(page)


def _n_mix_ups(capped) -> int:
    wrong = PracticeAnswer.objects.filter(member=capped.user, is_right=False)
    return wrong.values_list("case", "answered").distinct().count()


def test_a_scramble_shows_its_answers_once_the_cube_is_ready(page: Page, sign_in: SignIn, capped):
    """What it leads to is read by the engine: the case that the question is about."""
    sign_in(page, capped.user)
    page.goto("/practice/question/?what=pll-T&view=scramble")
    assert violations(page) == []
    scramble = page.locator(".practice-scramble .moves").inner_text()
    asked = Signer(salt="logs.practice").unsign_object(
        page.locator("input[name=seal]").input_value()
    )
    places = after_turns(SOLVED, parse_script(scramble).turns)
    shown = label(places, Face.D)
    assert (shown.pll, shown.pll_angle) == (asked["case"], asked["angle"])
    expect(page.get_by_role("group", name="Which case is this?")).to_be_hidden()
    page.get_by_role("button", name="The cube is ready").click()
    expect(page.get_by_role("group", name="Which case is this?")).to_be_focused()
    assert violations(page) == []
    answer(page, rightly=True)
    assert PracticeAnswer.objects.get().recognition_ms is not None
