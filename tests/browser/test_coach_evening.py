"""An evening as the coach, and a member's log that meets the homework, as they would do it."""

from datetime import date, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from cubecore.cases import CASES, Stage
from logs.homework.models import Homework
from logs.lessons.models import Lesson
from logs.lessons.services import lesson_set_for_all
from tests.browser.conftest import SignIn
from tests.desk import make_lesson, make_team, solves
from tests.factories import make_csv, make_upload

PASSWORD = "barn-quilt-seven-otter"

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def team():
    """A coach and three members who do OLL 40 in two looks; the first of them is Ada."""
    club, coach, members = make_team(3)
    for member, name in zip(members, ("Ada", "Bo", "Cy"), strict=True):
        member.display_name = name
        member.save()
        start = timezone.now() - timedelta(days=20)
        make_upload(member.user, solves("0" * 6, start=start))
    return club, coach, members


def log_of(folder: Path, hits: str, start: datetime) -> Path:
    path = folder / "tonight.csv"
    path.write_bytes(make_csv(solves(hits, start=start)))
    return path


def test_a_lesson_becomes_homework_and_checks_itself(
    page: Page, sign_in: SignIn, team, tmp_path: Path
):
    club, coach, (ada, _, _) = team
    sign_in(page, coach.user)

    # The coach plans a lesson for the three who will come.
    page.goto(f"/clubs/{club.slug}/lessons/")
    page.get_by_role("link", name="Plan a lesson").first.click()
    for name in ("Ada", "Bo", "Cy"):
        page.get_by_role("checkbox", name=name, exact=True).check()
    page.get_by_role("button", name="Propose cases").click()
    expect(page.locator(".plan-list > li")).to_have_count(10)
    forty = page.get_by_role("checkbox", name="OLL 40 Big lightning")
    if forty.count() == 0:
        page.get_by_text("Pick more cases").click()
    for box in page.locator(".plan-list input[type=checkbox]").all():
        box.set_checked(False)
    page.get_by_role("checkbox", name="OLL 40 Big lightning").first.check()
    page.get_by_label("Title").fill("Lightning evening")
    page.get_by_role("button", name="Keep this lesson").click()
    page.wait_for_url("**/lessons/*/")
    expect(page.locator(".lesson-cases")).to_contain_text("1. OLL 40 Big lightning")
    assert Lesson.objects.get().members.count() == 3

    # Homework is set with a date: no date is refused.
    page.get_by_role("link", name="Choose the homework").click()
    expect(page.get_by_role("checkbox", name="OLL 40 Big lightning")).to_be_checked()
    soon = (timezone.now() + timedelta(days=7)).date().isoformat()
    page.get_by_label("Learn by").fill(soon)
    page.get_by_label("Note to the members").fill("Thumb on the front.")
    page.get_by_role("button", name="Set homework").click()
    page.get_by_text("Homework is set.").wait_for()
    table = page.get_by_role("region", name="Members and cases")
    assert table.inner_text().count("open, 0 of 5") == 3
    homework = Homework.objects.get()

    # Ada reads what is asked, and adds a log that meets it.
    page.context.clear_cookies()
    sign_in(page, ada.user)
    page.goto("/homework/")
    expect(page.locator("main")).to_contain_text("Thumb on the front.")
    page.get_by_role("link", name="Open this homework").click()
    expect(page.locator(".taught")).to_contain_text("R' F R U R' U' F' U R")
    page.goto("/log/")
    log = log_of(tmp_path, "111", homework.set_at + timedelta(minutes=1))
    page.get_by_label("A file: CSV, a spreadsheet or JSON").set_input_files(log)
    page.get_by_role("button", name="Add this log").click()
    page.wait_for_url("**/uploads/*/")
    page.goto("/homework/")
    expect(page.locator("main")).to_contain_text("verified, 3 of 3")

    # The coach sees it verified, and opens the solves behind it.
    page.context.clear_cookies()
    sign_in(page, coach.user)
    page.goto(f"/clubs/{club.slug}/homework/")
    expect(page.get_by_role("region", name="Open homework")).to_contain_text("1 of 3")
    page.get_by_role("region", name="Open homework").get_by_role("link").first.click()
    row = page.get_by_role("row").filter(has_text="Ada")
    expect(row).to_contain_text("verified, 3 of 3")
    row.get_by_role("link", name="OLL 40 Big lightning").click()
    behind = page.get_by_role("region", name="Solves with OLL 40 Big lightning")
    expect(behind.get_by_role("row")).to_have_count(4)
    behind.get_by_role("link").first.click()
    page.wait_for_url("**/solves/*/")
    expect(page.locator("main")).to_contain_text("OLL 40")


def test_next_tuesday_is_planned_printed_and_set_in_ten_presses(page: Page, team):
    """From sign-in to a lesson next Tuesday, its sheet with scrambles, and homework for all."""
    _, coach, members = team
    make_lesson(coach, members)
    Lesson.objects.update(on=date(2026, 3, 3))  # a Tuesday
    coach.user.set_password(PASSWORD)
    coach.user.save()
    n_presses = 0

    def press(thing: Locator) -> None:
        nonlocal n_presses
        n_presses += 1
        thing.click()

    page.goto("/sign-in/")
    page.locator("main input[name=username]").fill(coach.user.username)
    page.locator("main input[name=password]").fill(PASSWORD)
    press(page.get_by_role("main").get_by_role("button", name="Sign in"))
    club_pages = page.get_by_role("navigation", name="Club")
    press(club_pages.get_by_role("link", name="Lessons", exact=True))
    press(page.get_by_role("link", name="Plan a lesson").first)
    press(page.get_by_role("link", name="those of last time"))
    day = date.fromisoformat(page.get_by_label("Day", exact=True).input_value())
    assert day.weekday() == 1
    assert timedelta(0) < day - timezone.localdate() <= timedelta(days=7)
    press(page.get_by_role("button", name="Keep this lesson"))
    page.wait_for_url("**/lessons/*/")
    sheet = page.get_by_role("link", name="Sheet with scrambles (PDF)")
    n_presses += 1  # a PDF opens in the browser's own viewer; it is fetched here
    content = page.request.get(str(sheet.get_attribute("href"))).body()
    words = " ".join(leaf.extract_text() for leaf in PdfReader(BytesIO(content)).pages)
    assert words.count("Practice scrambles") == 10
    assert not any(member.display_name in words for member in members)  # the members' sheet
    press(page.get_by_role("button", name="Set homework for all who came"))
    page.get_by_text("Homework is set").wait_for()
    assert Homework.objects.get().assignments.count() == 3
    assert n_presses <= 10


@pytest.mark.layout
def test_whether_it_took_fits_a_screen(page: Page, sign_in: SignIn):
    """Nine members and ten cases at 1280 px, without sideways scrolling."""
    _, coach, members = make_team(9)
    cases = tuple(case for case in CASES if case.stage is Stage.OLL)[:10]
    lesson = make_lesson(coach, members, cases)
    lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=timezone.now())
    sign_in(page, coach.user)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.goto(f"/lessons/{lesson.pk}/took/")
    expect(page.get_by_role("row")).to_have_count(10)
    region = page.get_by_role("region", name="Members and cases")
    width, inner = region.evaluate("region => [region.scrollWidth, region.clientWidth]")
    assert width <= inner
    whole, window = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    assert whole <= window


def test_the_order_of_a_lesson_is_changed_by_keys_by_number_and_by_dragging(
    page: Page, sign_in: SignIn
):
    _, coach, members = make_team(2)
    cases = tuple(case for case in CASES if case.stage is Stage.OLL)[:4]
    lesson = make_lesson(coach, members, cases)
    sign_in(page, coach.user)
    page.goto(f"/lessons/{lesson.pk}/edit/")
    places = page.locator(".plan-list input[type=number]")

    def order() -> list[str]:
        names = [(one.get_attribute("name") or "")[-1] for one in places.all()]
        assert [one.input_value() for one in places.all()] == ["1", "2", "3", "4"]
        return names

    assert order() == ["1", "2", "3", "4"]
    down = page.get_by_role("button", name="Move OLL 1 Dot down")
    down.press("Enter")
    down.press("Enter")
    assert down.evaluate("button => button === document.activeElement")
    assert order() == ["2", "3", "1", "4"]
    assert page.get_by_text("OLL 1 Dot is now 3 of 4.").count() == 1
    page.get_by_label("Place of OLL 4 Dot").fill("1")
    page.get_by_label("Place of OLL 4 Dot").press("Tab")
    assert order() == ["4", "2", "3", "1"]
    handles = page.locator(".plan-handle")
    held, target = handles.nth(3).bounding_box(), handles.nth(1).bounding_box()
    assert held is not None
    assert target is not None
    page.mouse.move(held["x"] + 10, held["y"] + 10)
    page.mouse.down()
    page.mouse.move(target["x"] + 10, target["y"] + 4, steps=8)
    page.mouse.up()
    assert order() == ["4", "1", "2", "3"]
    page.get_by_role("button", name="Keep this lesson").click()
    page.wait_for_url(f"**/lessons/{lesson.pk}/")
    assert [row.case for row in lesson.cases.order_by("place")] == ["4", "1", "2", "3"]
