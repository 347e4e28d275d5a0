"""A file of another shape, from the Log page to its solves: by keyboard, and in every theme."""

import csv
import io
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from logs.people.models import Membership, Role
from logs.solves.models.solves import KeptMapping, Solve, Upload, UploadDraft
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, violations
from tests.factories import make_club, make_membership, make_row

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def member_in_oslo() -> Membership:
    club = make_club("Riverbank", time_zone="Europe/Oslo")
    make_membership(club, role=Role.OWNER)
    return make_membership(club)


def notebook(first_day: int = 1, *, n_rows: int = 6) -> bytes:
    """A log as a spreadsheet of another language saves it; no day is above the twelfth."""
    table = io.StringIO()
    writer = csv.writer(table, delimiter=";")
    writer.writerow(["Dag", "Blanding", "Løsning", "Tid", "Straff", "Trekk"])
    for day in range(first_day, first_day + n_rows):
        row = make_row(gap_ms=150 + day)
        ends = row.turn_ms or ()
        gaps = [after - before for before, after in zip((0, *ends), ends, strict=False)]
        writer.writerow(
            [
                datetime(2026, 4, day, 18, 5, tzinfo=UTC).strftime("%d/%m/%Y %H:%M"),
                row.scramble,
                row.solution,
                f"{row.time_ms / 1000:.2f}".replace(".", ","),
                "for sent" if day == first_day + 1 else "",
                "/".join(map(str, gaps)),
            ]
        )
    return table.getvalue().encode("cp1252")


def send(page: Page, path: Path, content: bytes) -> None:
    path.write_bytes(content)
    page.goto("/log/")
    page.get_by_label("A file: CSV, a spreadsheet or JSON").set_input_files(path)
    page.get_by_role("button", name="Add this log").click()


def shot(page: Page, name: str) -> None:
    if folder := os.environ.get("SHOTS"):
        page.screenshot(path=f"{folder}/{name}.png", full_page=True)


def choose(page: Page, label: str, key: str, times: int = 1) -> None:
    """Choose in the field ``label`` with keys alone."""
    page.get_by_label(label).focus()
    for _ in range(times):
        page.keyboard.press(key)


def press(page: Page, button: str) -> None:
    page.get_by_role("button", name=button).focus()
    page.keyboard.press("Enter")


def test_a_file_of_another_shape_goes_in_by_keyboard_alone(
    page: Page, sign_in: SignIn, member_in_oslo: Membership, tmp_path: Path
):
    sign_in(page, member_in_oslo.user)
    send(page, tmp_path / "april.csv", notebook())
    expect(page.get_by_role("heading", name="Which column is what?")).to_be_visible()
    shot(page, "first")

    # What the cells told; what they leave open is asked and not guessed.
    for column, value in (
        ("Column 1, “Dag”", "done_at"),
        ("Column 2, “Blanding”", "scramble"),
        ("Column 3, “Løsning”", "solution"),
        ("Column 4, “Tid”", "time"),
        ("Column 5, “Straff”", ""),
        ("Column 6, “Trekk”", "turn_ms"),
    ):
        expect(page.get_by_label(column)).to_have_value(value)
    expect(
        page.get_by_text("No date of the first rows has a day above the twelfth")
    ).to_be_visible()
    press(page, "Add this log")
    expect(page.get_by_role("alert")).to_contain_text("Say how the dates are written.")
    assert not Upload.objects.exists()

    # The penalty column, by its first letters; then the date's order and what its word means.
    page.get_by_label("Column 5, “Straff”").focus()
    page.keyboard.type("the penalty")
    page.get_by_label("the day first: 4/3/2026 is 4 March").focus()
    page.keyboard.press("Space")
    press(page, "Show what comes out")
    page.wait_for_url("**/waiting/*/#preview")
    expect(page.get_by_text("To answer: Say what “for sent” means.")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Column 5, “Straff”")).to_have_value("penalty")
    page.get_by_label("“for sent” means").focus()
    page.keyboard.type("+2")
    page.get_by_label("no, they come on top").focus()
    page.keyboard.press("Space")
    press(page, "Show what comes out")
    page.wait_for_url("**/waiting/*/#preview")
    preview = page.get_by_role("region", name="What comes out").get_by_role("row")
    expect(preview).to_have_count(7)
    expect(preview.nth(1)).to_contain_text("1 Apr 2026, 18:05")
    expect(preview.nth(1)).to_contain_text("OLL 27 Sune")
    expect(preview.nth(2)).to_contain_text("(+2)")
    shot(page, "preview")

    page.get_by_label("Keep these choices as").focus()
    page.keyboard.type("Spreadsheet at home")
    press(page, "Add this log")
    page.wait_for_url("**/uploads/*/")
    expect(page.locator(".facts")).to_contain_text("6of 6 rows")
    assert Solve.objects.filter(member=member_in_oslo.user, penalty="+2").count() == 1
    first = Solve.objects.filter(member=member_in_oslo.user).earliest("done_at")
    assert first.done_at == datetime(2026, 4, 1, 16, 5, tzinfo=UTC)  # Oslo in summer: UTC+2
    assert not UploadDraft.objects.exists()

    # The next file with the same columns is filled in.
    send(page, tmp_path / "may.csv", notebook(7))
    expect(page.get_by_text("Filled in from “Spreadsheet at home”")).to_be_visible()
    press(page, "Add this log")
    page.wait_for_url("**/uploads/*/")
    assert Solve.objects.filter(member=member_in_oslo.user).count() == 12
    assert KeptMapping.objects.get().club == member_in_oslo.club
    # The very same bytes again: the answer they have, not the question.
    send(page, tmp_path / "may.csv", notebook(7))
    expect(page.get_by_text("You have sent this very file before.")).to_be_visible()


def test_it_works_without_script(
    page: Page, sign_in: SignIn, member_in_oslo: Membership, tmp_path: Path, chromium, live_server
):
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    plain = context.new_page()
    sign_in(plain, member_in_oslo.user)
    send(plain, tmp_path / "april.csv", notebook())
    plain.get_by_label("the day first: 4/3/2026 is 4 March").check()
    plain.get_by_role("button", name="Add this log").click()
    plain.wait_for_url("**/uploads/*/")
    assert Solve.objects.filter(member=member_in_oslo.user).count() == 6
    context.close()


@pytest.mark.layout
def test_the_step_is_accessible_and_fits(
    page: Page, sign_in: SignIn, member_in_oslo: Membership, tmp_path: Path
):
    sign_in(page, member_in_oslo.user)
    send(page, tmp_path / "april.csv", notebook())
    page.get_by_label("the day first: 4/3/2026 is 4 March").check()
    page.get_by_label("Column 5, “Straff”").select_option("penalty")
    press(page, "Show what comes out")
    page.wait_for_url("**/waiting/*/#preview")
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    look_over(page)
    page.set_viewport_size({"width": 1280, "height": 900})
    page.get_by_label("“for sent” means").select_option("+2")
    page.get_by_label("no, they come on top").check()
    page.get_by_label("Keep these choices as").fill("At home")
    press(page, "Add this log")
    page.wait_for_url("**/uploads/*/")
    page.goto("/mappings/")
    look_over(page)
    page.goto("/log/")
    assert violations(page) == []


ANY = Path(__file__).parents[2] / "fixtures" / "uploads" / "any"


@pytest.mark.parametrize("width", [360, 1280])
def test_a_spreadsheet_goes_in_and_a_row_of_it_is_mended_with_one_press(
    page: Page, sign_in: SignIn, member_in_oslo: Membership, width: int
):
    sign_in(page, member_in_oslo.user)
    page.set_viewport_size({"width": width, "height": 900})
    page.goto("/log/")
    page.get_by_label("A file: CSV, a spreadsheet or JSON").set_input_files(ANY / "two_sheets.xlsx")
    page.get_by_role("button", name="Add this log").click()
    expect(page.get_by_label("The solves are in")).to_have_value("Log")
    shot(page, f"spreadsheet-{width}")
    look_over(page)
    page.set_viewport_size({"width": width, "height": 900})
    page.get_by_role("button", name="Add this log").click()
    expect(page.get_by_role("heading", name="What became of this log")).to_be_visible()
    page.goto("/log/")
    text = 'scramble,time,note\nR U,"1:07,98",\nR U Q D,9.99,a note\nR U,12.34,\n'
    page.get_by_label("Or paste the text of a log").fill(text)
    page.get_by_role("button", name="Add this log").click()
    expect(page.get_by_role("heading", name="Line 3: scramble, 3rd turn")).to_be_visible()
    shot(page, f"set-aside-{width}")
    look_over(page)
    page.set_viewport_size({"width": width, "height": 900})
    page.get_by_role("button", name="Read it as 1:07.98").click()
    expect(page.get_by_text("The row is taken: a solve of 1:07.98.")).to_be_visible()
    page.get_by_role("button", name="Leave it out").click()
    expect(page.get_by_text("Nothing waits to be mended.")).to_be_visible()
