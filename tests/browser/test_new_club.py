"""A new club from its founding to its first homework, as its owner and three members live it."""

import re
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from logs.people.models import Club
from tests.factories import make_csv, make_rows

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PASSWORD = "plum-anvil-orbit-nine"
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1280, "height": 800}}


@pytest.fixture
def door(chromium: Browser, live_server: LiveServer):
    """What opens a page of a new visitor, with a screen of their own."""
    contexts = []

    def opened(screen: dict[str, Any]) -> Page:
        contexts.append(chromium.new_context(base_url=live_server.url, locale="en-GB", **screen))
        return contexts[-1].new_page()

    yield opened
    for context in contexts:
        context.close()


def join(page: Page, code: str, name: str, answer: str) -> None:
    """Join by a code, with an account, and an answer to the question of the door."""
    page.goto(f"/join/?code={code}")
    assert page.locator("input[name=visibility]:checked").count() == 0
    page.get_by_label("User name").fill(name)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password once more").fill(PASSWORD)
    page.get_by_label("Name in the club").fill(name)
    press = page.get_by_role("button", name="Make the account and join")
    if page.viewport_size == PHONE["viewport"]:
        page.get_by_label(answer).tap()
        fits = "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        assert page.evaluate(fits)
        press.tap()
    else:
        page.get_by_label(answer).check()
        press.click()


def test_a_club_is_founded_joined_and_set_homework(door, page: Page):
    said = StringIO()
    call_command("club", "Riverbank", "--zone", "Europe/Oslo", stdout=said)
    code = re.search(r"[0-9A-Z]{4}(?:-[0-9A-Z]{4})+", said.getvalue())
    assert code is not None
    join(page, code[0], "Marsh", "My coaches")

    # The owner makes a code for the evening, and three come.
    page.goto("/clubs/riverbank/people/")
    page.get_by_label("For how many people").fill("3")
    page.get_by_role("button", name="Make a code").click()
    code_of_club = page.locator(".invitation-code code").inner_text()
    members = {}
    for name, answer, screen in (
        ("Ash", "Only me", DESK),
        ("Fern", "My coaches", PHONE),
        ("Wren", "Everyone in the club", DESK),
    ):
        members[name] = door(screen)
        join(members[name], code_of_club, name, answer)
        expect(members[name].get_by_role("heading", name="What to do first")).to_be_visible()

    # All three add a log; the one on the phone by the text of it.
    for member in members.values():
        member.goto("/log/")
        member.get_by_label("Or paste the text of a log").fill(make_csv(make_rows(3)).decode())
        member.get_by_role("button", name="Add this log").click()
        member.wait_for_url("**/uploads/*/")

    # The coach sees two logs, and a count of one.
    page.goto("/members/")
    logs = page.get_by_role("region", name="Members of Riverbank")
    expect(logs.get_by_role("link", name=re.compile("Solves of"))).to_have_text(
        ["Solves of Fern", "Solves of Wren"]
    )
    page.goto("/clubs/riverbank/people/")
    expect(page.get_by_text("1 person shows their log to nobody.")).to_be_visible()

    # Homework reaches all three, whoever sees their log.
    page.goto("/clubs/riverbank/homework/new/?case=oll-27")
    for name in members:
        page.get_by_role("checkbox", name=re.compile(f"^{name}")).check()
    page.get_by_label("Note to the members").fill("Five clean ones.")
    page.get_by_role("button", name="Set homework").click()
    page.get_by_text("Homework is set.").wait_for()
    row = page.get_by_role("region", name="Members and cases")
    expect(row.get_by_role("row")).to_have_count(3)  # its head, and who shows a log
    expect(page.get_by_text("Ash: set")).to_be_visible()
    for member in members.values():
        member.goto("/homework/")
        expect(member.get_by_text("Five clean ones.")).to_be_visible()
        expect(member.get_by_text("OLL 27").first).to_be_visible()
    phone = members["Fern"]
    phone.get_by_role("link", name="Open this homework").tap()
    phone.get_by_role("link", name=re.compile("Deal me a drill")).tap()
    expect(phone.get_by_role("button", name=re.compile("[Cc]lean"))).to_be_in_viewport()
    phone.get_by_role("button", name=re.compile("[Cc]lean")).tap()
    expect(phone.get_by_text("Kept: by your own word.")).to_be_visible()
    phone.goto("/homework/")
    expect(phone.get_by_text("open, 1 of 5")).to_be_visible()
    assert Club.objects.get().memberships.count() == 4
