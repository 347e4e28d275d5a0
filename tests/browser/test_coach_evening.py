"""An evening as the coach, and a member's log that meets the homework, as they would do it."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Page

from logs.homework.models import Homework
from logs.lessons.models import Lesson
from tests.conftest import SignIn
from tests.desk import make_team, solves
from tests.factories import make_csv, make_upload

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
    assert page.locator(".plan-list > li").count() == 10
    forty = page.get_by_role("checkbox", name="OLL 40 Big lightning")
    if forty.count() == 0:
        page.get_by_text("Pick more cases").click()
    for box in page.locator(".plan-list input[type=checkbox]").all():
        box.set_checked(False)
    page.get_by_role("checkbox", name="OLL 40 Big lightning").first.check()
    page.get_by_label("Title").fill("Lightning evening")
    page.get_by_role("button", name="Keep this lesson").click()
    page.wait_for_url("**/lessons/*/")
    assert "1. OLL 40 Big lightning" in page.locator(".lesson-cases").inner_text()
    assert Lesson.objects.get().members.count() == 3

    # A date that chance would break is refused; without one the homework is set.
    page.get_by_role("link", name="Make homework of it").click()
    assert page.get_by_role("checkbox", name="OLL 40 Big lightning").is_checked()
    soon = (timezone.now() + timedelta(days=7)).date().isoformat()
    page.get_by_label("Due on").fill(soon)
    page.get_by_label("Note to the members").fill("Thumb on the front.")
    page.get_by_role("button", name="Set homework").click()
    assert "is too soon" in page.get_by_role("alert").inner_text()
    assert "230 solves" in page.get_by_role("alert").inner_text()
    assert not Homework.objects.exists()
    page.get_by_label("Due on").fill("")
    page.get_by_role("button", name="Set homework").click()
    page.get_by_text("Homework is set.").wait_for()
    table = page.get_by_role("region", name="Members and cases")
    assert table.inner_text().count("not met yet") == 3
    homework = Homework.objects.get()

    # Ada reads what is asked, and adds a log that meets it.
    page.context.clear_cookies()
    sign_in(page, ada.user)
    page.goto("/homework/")
    assert "Thumb on the front." in page.locator("main").inner_text()
    page.get_by_role("link", name="Open this homework").click()
    assert "R' F R U R' U' F' U R" in page.locator(".taught").inner_text()
    page.goto("/log/")
    log = log_of(tmp_path, "111", homework.set_at + timedelta(minutes=1))
    page.get_by_label("A file: CSV, a spreadsheet or JSON").set_input_files(log)
    page.get_by_role("button", name="Add this log").click()
    page.wait_for_url("**/uploads/*/")
    page.goto("/homework/")
    assert "verified, 3 of 3" in page.locator("main").inner_text()

    # The coach sees it verified, and opens the solves behind it.
    page.context.clear_cookies()
    sign_in(page, coach.user)
    page.goto(f"/clubs/{club.slug}/homework/")
    assert "1 of 3" in page.get_by_role("region", name="Open homework").inner_text()
    page.get_by_role("region", name="Open homework").get_by_role("link").first.click()
    row = page.get_by_role("row").filter(has_text="Ada")
    assert "verified, 3 of 3" in row.inner_text()
    row.get_by_role("link", name="verified, 3 of 3").click()
    behind = page.get_by_role("region", name="Solves with OLL 40 Big lightning")
    assert behind.get_by_role("row").count() == 4
    behind.get_by_role("link").first.click()
    page.wait_for_url("**/solves/*/")
    assert "OLL 40" in page.locator("main").inner_text()
