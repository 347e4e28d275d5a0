"""A member's first log, from signing in to the chart of their cases, as they would do it."""

import csv
import io
from pathlib import Path

import pytest
from playwright.sync_api import Page

from logs.solves.models.solves import Solve
from tests.factories import (
    LAST_PAIR,
    T_PERM,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PASSWORD = "plum-anvil-orbit-nine"
ANTISUNE = "R U2 R' U' R U' R'"
WITHOUT_LAST_TURN = "2026-03-02T13:00:00Z,R U,12.34,,U',,\r\n"
NO_NOTATION = "2026-03-02T13:05:00Z,R Q,12.34,,,,\r\n"


@pytest.fixture
def newcomer():
    membership = make_membership(make_club("Riverbank"))
    membership.user.set_password(PASSWORD)
    membership.user.save()
    return membership.user


def log_with_everything(folder: Path) -> Path:
    """Five good rows, two that the member has already, two that cannot be taken."""
    rows = [*make_rows(5), make_row(LAST_PAIR, ANTISUNE, T_PERM, gap_ms=170)]
    path = folder / "march.csv"
    path.write_bytes(make_csv(rows) + (WITHOUT_LAST_TURN + NO_NOTATION).encode())
    return path


def test_a_log_goes_in_and_its_cases_come_out(page: Page, newcomer, tmp_path: Path):
    make_upload(newcomer, make_rows(2))

    page.goto("/log/")
    page.get_by_label("User name").fill(newcomer.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()

    page.get_by_label("A file: CSV, a spreadsheet or JSON").set_input_files(
        log_with_everything(tmp_path)
    )
    page.get_by_role("button", name="Add this log").click()
    page.wait_for_url("**/uploads/*/")
    facts = page.locator(".facts").inner_text().split("\n")
    taken, doubled, set_aside = (
        facts[facts.index(name) + 1] for name in ("Taken", "Doubled", "Set aside")
    )
    assert (taken, doubled, set_aside) == ("4", "2", "2")

    with page.expect_download() as download:
        page.get_by_role("link", name="download them all as a file").click()
    text = Path(download.value.path()).read_text(encoding="utf-8")
    assert [row["scramble"] for row in csv.DictReader(io.StringIO(text))] == ["R U", "R Q"]

    row = page.get_by_label("Line 8, to correct")
    row.fill(row.input_value().replace("U',", "U' R',"))
    page.get_by_role("button", name="Send line 8 again").click()
    page.get_by_text("The row is taken: a solve of 12.34.").wait_for()
    assert page.get_by_role("button", name="Send line 9 again").is_visible()
    assert not page.get_by_role("button", name="Send line 8 again").is_visible()
    assert Solve.objects.filter(member=newcomer).count() == 7

    page.get_by_role("link", name="Progress").click()
    page.wait_for_selector("[data-figure='cases-chart'] .bars path")
    page.get_by_role("heading", name="All cases").click()
    table = page.get_by_role("region", name="Recognition and execution by case")
    sune = table.get_by_role("row").filter(has_text="OLL 27 Sune").inner_text().split()
    assert sune[3:7] == ["5", "times,", "5", "timed"]
    assert sune[-4:-1] == ["5", "of", "5"]
    labels = page.evaluate(
        """() => [...document.querySelectorAll("[data-figure='cases-chart'] .ytick")]
          .map(tick => [tick.getBoundingClientRect().top, tick.textContent])
          .sort((one, other) => one[0] - other[0]).map(([, text]) => text.split(" · ")[0])"""
    )
    heads = [head.inner_text() for head in table.get_by_role("rowheader").all()]
    assert sorted(labels) == ["OLL 26", "OLL 27"]
    assert labels == [" ".join(head.split()[:2]) for head in heads]  # the order of the table
    # One bar of recognition and one of execution: the case seen once has rings and no bar.
    assert page.locator("[data-figure='cases-chart'] .bars path").count() == 2

    table.get_by_role("link", name="OLL 27 Sune").click()
    page.wait_for_url("**/cases/oll/27/")
    assert page.get_by_role("region", name="Each time I met").get_by_role("row").count() == 6


def test_a_dropped_file_lands_in_the_field(page: Page, newcomer, sign_in):
    sign_in(page, newcomer)
    page.goto("/log/")
    page.evaluate(
        """text => {
          const carried = new DataTransfer();
          carried.items.add(new File([text], "dropped.csv", {type: "text/csv"}));
          const zone = document.querySelector("[data-drop]");
          for (const kind of ["dragenter", "dragover", "drop"])
            zone.dispatchEvent(new DragEvent(kind, {dataTransfer: carried, bubbles: true, cancelable: true}));
        }""",
        make_csv(make_rows(3)).decode(),
    )
    page.get_by_role("button", name="Add this log").click()
    page.wait_for_url("**/uploads/*/")
    assert "dropped.csv" in page.locator(".lead").first.inner_text()
    assert Solve.objects.filter(member=newcomer).count() == 3


def test_pasted_text_is_added_by_keyboard_alone(page: Page, newcomer, sign_in):
    sign_in(page, newcomer)
    page.goto("/log/")
    page.get_by_label("Or paste the text of a log").focus()
    page.keyboard.insert_text(make_csv(make_rows(2)).decode())
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/uploads/*/")
    assert Solve.objects.filter(member=newcomer).count() == 2
