"""A lesson taught from the wall by keys alone, three phones answering, and what the room can read."""

import re
from collections.abc import Iterator
from math import atan, degrees

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pytest_django.live_server_helper import LiveServer

from cubecore.cases import CASES, CaseId, Stage
from cubecore.questions import Task
from logs.algorithms.services import case_words_write
from logs.lessons.models import Lesson
from logs.practice.models import PracticeAnswer
from logs.wall.figures import question_of
from logs.wall.models import Wall
from tests.browser.conftest import SignIn
from tests.browser.looked_over import SCHEMES, narrow, violations
from tests.desk import make_lesson, make_team
from tests.factories import NOW

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OLLS = [CaseId(Stage.OLL, number) for number in (27, 26, 33, 45, 44, 20, 21)]
TEN = [*OLLS, *(CaseId(Stage.PLL, name) for name in ("T", "Ga", "H"))]


@pytest.fixture
def team():
    """A coach with words for one case, and three members."""
    club, coach, members = make_team(3)
    words = "Right hand says hello.\n右手から"
    case_words_write(actor=coach.user, slug=club.slug, case=TEN[0], text=words, now=NOW)
    return coach, members


@pytest.fixture
def phones(
    chromium: Browser, live_server: LiveServer, sign_in: SignIn, team
) -> Iterator[list[Page]]:
    opened: list[BrowserContext] = []
    pages = []
    for member in team[1]:
        context = chromium.new_context(
            base_url=live_server.url,
            viewport={"width": 360, "height": 740},
            has_touch=True,
            reduced_motion="reduce",
        )
        opened.append(context)
        pages.append(context.new_page())
        sign_in(pages[-1], member.user)
    yield pages
    for context in opened:
        context.close()


def put_up(page: Page, sign_in: SignIn, coach, members, cases) -> tuple[Lesson, Wall]:
    """Open a lesson on the wall as its coach does, from the lesson's page."""
    lesson = make_lesson(coach, members, cases)
    sign_in(page, coach.user)
    page.goto(f"/lessons/{lesson.pk}/")
    page.get_by_role("button", name="Teach it on the wall").click()
    page.locator(".wall.is-armed").wait_for()
    return lesson, Wall.objects.get(lesson=lesson)


def answers(phone: Page, value: str) -> None:
    phone.locator(f"[data-seat-form] button[value='{value}']").tap()
    expect(phone.get_by_text("Sent.")).to_be_visible()


def test_ten_cases_are_taught_by_keys_alone_with_three_phones_answering(
    page: Page, sign_in: SignIn, team, phones: list[Page]
):
    coach, members = team
    _, wall = put_up(page, sign_in, coach, members, TEN)
    view = page.locator("[data-view]:not([hidden])")
    expect(view.locator(".wall-code")).to_have_text(wall.code)
    for n, phone in enumerate(phones):
        if n:  # two come by the QR code's link, one types
            phone.goto(reverse("logs:wall-seat", args=[wall.code]))
        else:
            phone.goto("/wall/")
            phone.get_by_label("Code").fill(wall.code.lower())
        phone.get_by_role("button", name="Join").tap()
        expect(phone.get_by_text("You are in.")).to_be_visible()
    expect(view.locator("[data-wall-seats]")).to_have_text("3 phones in the room")

    n_views = page.locator("[data-view]").count()
    headings, asked = [], []
    for press in range(n_views - 1):
        key = ("PageDown", "ArrowRight", "Space")[press % 3]
        page.keyboard.press(key)
        assert page.locator(".wall").get_attribute("data-at") == str(press + 1)
        headings.append(view.locator(".wall-over").inner_text())
        place, told = (view.get_attribute(f"data-{name}") for name in ("asked", "told"))
        if place is None or int(place) not in {0, len(wall.questions) - 1}:
            continue
        question = question_of(wall.questions[int(place)])
        wrong = next(choice for choice in question.choices if choice != question.right)
        if told == "0":
            asked.append(question)
            for phone, value in zip(phones, (question.right, question.right, wrong), strict=True):
                on_phone = f"[data-seat-form] input[name=asked][value='{place}']"
                phone.locator(on_phone).wait_for(state="attached")
                if phone is phones[0]:
                    phone.get_by_label("Keep my answers").check()
                answers(phone, value)
            expect(view.locator("[data-wall-answered]")).to_have_text("3 of 3 phones answered")
            assert not view.locator("[data-count]").count()  # until it is turned over
        else:
            expect(view.locator(f"[data-count='{question.right}']")).to_have_text("2")
            expect(view.locator(f"[data-count='{wrong}']")).to_have_text("1")
            expect(phones[2].get_by_text("That is it")).to_be_visible()
            assert "You said" in phones[2].locator(".seat-options").inner_text()
    assert page.locator(".wall").get_attribute("data-at") == str(n_views - 1)

    # Ten cases in their order, then ten questions over all of them; never anybody's name.
    for number, case in enumerate(TEN, start=1):
        assert f"{number} of 10: {CASES[case]}" in headings
    rounds = [question_of(row) for row in wall.questions]
    mixed = [question.case for question in rounds if question.task is Task.CASE]
    assert sorted(mixed) == sorted(TEN)
    assert mixed != TEN
    assert [heading for heading in headings if heading.startswith("Question 10 of 10")]
    for member in members:
        assert member.display_name not in page.content()
    # Who said so has them among their practice answers; nobody else.
    kept = PracticeAnswer.objects.all()
    assert {answer.member_id for answer in kept} == {members[0].user_id}
    assert [answer.task for answer in kept.order_by("pk")] == [one.task for one in asked]
    assert all(answer.is_right for answer in kept)
    # The coach closes it: the phones learn that, and nothing of it is left.
    page.get_by_role("button", name="Close the wall").click()
    page.get_by_text("The wall is closed.").wait_for()
    assert not Wall.objects.exists()


def test_nothing_is_lost_when_the_network_drops_after_opening(page: Page, sign_in: SignIn, team):
    coach, members = team
    put_up(page, sign_in, coach, members, TEN[:2])
    page.context.set_offline(True)
    seen = set()
    for _ in range(page.locator("[data-view]").count() - 1):
        page.keyboard.press("PageDown")
        view = page.locator("[data-view]:not([hidden])")
        seen.add(view.get_attribute("data-kind"))
        assert view.locator(".wall-heading").inner_text()
    assert seen >= {"shape", "hold", "told", "look", "words", "alike-0", "turns", "mirror", "ask", "answer", "end"}  # fmt: skip
    expect(page.get_by_text("The lesson goes on.")).to_be_visible()
    page.context.set_offline(False)
    expect(page.get_by_text("The lesson goes on.")).to_have_count(0)
    page.keyboard.press("PageUp")
    at = page.locator(".wall").get_attribute("data-at")
    page.reload()
    expect(page.locator(".wall")).to_have_attribute("data-at", at or "")


SIZES = """wall => {
  const small = [];
  const unit = innerHeight / 100;
  const walker = document.createTreeWalker(wall, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode, parent = text.parentElement;
    if (!text.textContent.trim() || parent.closest("svg, [hidden]")) continue;
    const size = parseFloat(getComputedStyle(parent).fontSize) / unit;
    if (size < 4.5) small.push([size, text.textContent.trim()]);
  }
  return small;
}"""
FITS = """stage => stage.scrollHeight <= stage.clientHeight + 1
  && stage.scrollWidth <= stage.clientWidth + 1"""


def test_all_of_it_is_read_from_eight_metres_and_fits_the_picture(
    page: Page, sign_in: SignIn, team
):
    """ISO 9241-303 asks for capitals of 16 minutes of arc at least (from memory).

    On a picture 1.2 m high; a capital is 0.7 of the size of its letters (common practice).
    """
    assert degrees(atan(0.045 * 1.2 * 0.7 / 8)) * 60 > 16
    coach, members = team
    put_up(page, sign_in, coach, members, TEN)
    wrong = []
    for width, height in ((1280, 720), (1024, 768)):
        page.set_viewport_size({"width": width, "height": height})
        page.keyboard.press("Home")
        for n in range(page.locator("[data-view]").count()):
            if n:
                page.keyboard.press("PageDown")
            stage = page.locator("[data-wall-stage]")
            where = page.locator("[data-view]:not([hidden])").get_attribute("data-step")
            if width == 1280:
                wrong += [(where, *small) for small in stage.evaluate(SIZES)]
            if not stage.evaluate(FITS):
                wrong.append((where, width))
    assert wrong == []


def test_it_is_accessible_wide_and_narrow_and_so_are_the_phones(
    page: Page, sign_in: SignIn, team, phones: list[Page]
):
    coach, members = team
    _, wall = put_up(page, sign_in, coach, members, [TEN[0], TEN[7]])
    kinds: set[str | None] = set()
    for n in range(page.locator("[data-view]").count()):
        if n:
            page.keyboard.press("ArrowRight")
        kind = page.locator("[data-view]:not([hidden])").get_attribute("data-kind")
        if kind in kinds:
            continue
        kinds.add(kind)
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            assert violations(page) == []
        narrow(page)
        page.set_viewport_size({"width": 1280, "height": 720})
    phone = phones[0]
    phone.goto(reverse("logs:wall-seat", args=[wall.code]))
    with phone.expect_navigation():
        phone.get_by_role("button", name="Join").tap()
    for place in (0, len(wall.questions) - 1):
        Wall.objects.update(asked=place, is_told=False)
        phone.goto(reverse("logs:wall-seat", args=[wall.code]))
        buttons = phone.locator("[data-seat-form] button")
        buttons.first.wait_for()
        for box in (button.bounding_box() for button in buttons.all()):
            assert box is not None
            assert box["height"] >= 44  # WCAG 2.2, 2.5.5: target size, enhanced
            assert box["y"] + box["height"] <= 740
        for scheme in SCHEMES:
            phone.emulate_media(color_scheme=scheme)
            assert violations(phone) == []
        narrow(phone)
        phone.set_viewport_size({"width": 360, "height": 740})


def test_without_script_it_is_a_page_to_scroll_and_a_phone_has_a_form(
    chromium: Browser, live_server: LiveServer, page: Page, sign_in: SignIn, team
):
    coach, members = team
    _, wall = put_up(page, sign_in, coach, members, TEN[:1])
    Wall.objects.update(asked=0)
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    still = context.new_page()
    sign_in(still, members[0].user)
    still.goto("/wall/")
    still.get_by_label("Code").fill(wall.code)
    still.get_by_role("button", name="Join").click()
    still.get_by_role("button", name=re.compile("^A")).click()
    assert "Sent." in still.locator("main").inner_text()
    sign_in(still, coach.user)
    still.goto(f"/lessons/{wall.lesson_id}/wall/")
    assert all(one.is_visible() for one in still.locator("[data-view] .wall-heading").all())
    context.close()
