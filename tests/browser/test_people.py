"""People in a real browser: a child joins, decides, sees who looked, takes a copy and goes."""

import json
import re
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from clubsite.accounts.models import User
from logs.home.letters import letter_token
from logs.home.services import feed_make
from logs.people.models import Membership, Role, Visibility
from logs.people.services.memberships import group_keep
from logs.solves.models.solves import Solve
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, violations
from tests.factories import make_club, make_csv, make_membership, make_row, make_rows, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PASSWORD = "plum-anvil-orbit-nine"
ADDRESSES = [
    "/clubs/",
    "/clubs/{slug}/people/",
    "/clubs/{slug}/people/{member}/owner/",
    "/clubs/{slug}/people/{member}/password/",
    "/clubs/{slug}/welcome/",
    "/sign-ins/",
    "/password/",
    "/calendar/",
    "/home/letters/off/{letter}/",
    "/privacy/mail-address/",
    "/new-password/mail/",
    "/new-password/MQ/used-up/",
    "/members/?order=log",
    "/clubs/{slug}/leave/",
    "/privacy/",
    "/privacy/erase/",
    "/clubs/{slug}/research/",
    "/how/research/",
    "/what-we-keep/",
    "/join/",
    "/new-password/",
    "/join/?code=WRONG",
]


@pytest.fixture
def owner() -> Membership:
    """The owner of a club with a coach, a member and an invitation, looked at once."""
    owner = make_membership(make_club("Riverbank"), role=Role.OWNER, visibility=Visibility.CLUB)
    make_membership(owner.club, role=Role.COACH)
    make_upload(owner.user)
    return owner


def address(owner: Membership, pattern: str) -> str:
    member = Membership.objects.filter(club=owner.club).exclude(pk=owner.pk).earliest("pk")
    return pattern.format(slug=owner.club.slug, member=member.pk, letter=letter_token(owner.pk))


@pytest.mark.layout
@pytest.mark.parametrize("pattern", ADDRESSES)
def test_a_page_about_people_is_accessible_and_fits(
    page: Page, sign_in: SignIn, owner: Membership, pattern: str, settings: LazySettings
):
    settings.SENDS_MAIL = True
    member = Membership.objects.filter(club=owner.club).exclude(pk=owner.pk).earliest("pk")
    group_keep(actor=owner.user, slug=owner.club.slug, name="Tuesday", membership_ids=[member.pk])
    feed_make(actor=owner.user, now=timezone.now())
    sign_in(page, owner.user)
    page.goto(f"/clubs/{owner.club.slug}/people/")
    page.get_by_role("button", name="Make a code").click()
    page.get_by_text("The invitation is made.").wait_for()
    page.goto(address(owner, pattern))
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    look_over(page)


@pytest.mark.layout
def test_a_fresh_code_s_page_is_accessible_and_fits(page: Page, sign_in: SignIn, owner: Membership):
    sign_in(page, owner.user)
    page.goto(f"/clubs/{owner.club.slug}/people/")
    page.get_by_role("button", name="Make a code").click()
    page.get_by_text("The invitation is made.").wait_for()
    look_over(page)


def other_page(chromium: Browser, live_server: LiveServer, sign_in: SignIn, user: User) -> Page:
    fresh = chromium.new_context(base_url=live_server.url, locale="en-GB").new_page()
    sign_in(fresh, user)
    return fresh


def test_from_an_invitation_to_the_end(
    page: Page,
    chromium: Browser,
    live_server: LiveServer,
    sign_in: SignIn,
    owner: Membership,
    tmp_path: Path,
):
    desk = other_page(chromium, live_server, sign_in, owner.user)

    # The owner makes a code for the evening.
    desk.goto(f"/clubs/{owner.club.slug}/people/")
    desk.get_by_label("For how many people").fill("12")
    desk.get_by_role("button", name="Make a code").click()
    code = desk.locator(".invitation-code code").inner_text()
    desk.goto(f"/clubs/{owner.club.slug}/people/")
    expect(desk.get_by_text(code, exact=True)).to_be_visible()  # as long as it works

    # A child comes to the sign-in page with the code on a slip of paper, and mistypes it first.
    page.goto("/")
    page.get_by_role("link", name="join a club").click()
    page.get_by_label("Invitation code").fill("7KQM-XXXX-XXXX")
    page.get_by_role("button", name="Look at the invitation").click()
    expect(page.get_by_text("This code does not work.")).to_be_visible()
    page.get_by_label("Invitation code").fill(code.lower().replace("-", " "))
    page.get_by_role("button", name="Look at the invitation").click()
    expect(page.get_by_role("heading", name="Join Riverbank")).to_be_visible()
    page.get_by_label("User name").fill("wren7")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password once more").fill(PASSWORD)
    page.get_by_label("Name in the club").fill("Wren")
    for answer in ("Only me", "My coaches", "Everyone in the club"):
        expect(page.get_by_label(answer)).not_to_be_checked()
    page.get_by_label("Only me").check()
    page.get_by_role("button", name="Make the account and join").click()
    expect(page.get_by_text("Your log there is seen by: only me.")).to_be_visible()
    expect(page.get_by_role("heading", name="What to do first")).to_be_visible()

    # A log goes in; the coach sees nothing of it.
    page.goto("/log/")
    page.get_by_label("Or paste the text of a log").fill(make_csv(make_rows(3)).decode())
    page.get_by_role("button", name="Add this log").click()
    desk.goto("/members/")
    expect(desk.get_by_role("link", name=re.compile("Wren"))).to_have_count(0)

    # The child shows it to coaches, of their own accord, and sees who looked.
    page.locator(".menu > summary").click()
    page.get_by_role("link", name="My privacy").click()
    expect(page.get_by_label("Only me")).to_be_checked()
    page.get_by_label("My coaches").check()
    page.get_by_role("button", name="Keep this choice for Riverbank").click()
    expect(page.get_by_text("Your log in Riverbank is seen by: my coaches.")).to_be_visible()
    desk.goto("/members/")
    desk.get_by_role("link", name="Wren", exact=True).click()
    page.reload()
    looked = page.get_by_role("region", name="Who looked")
    expect(looked.get_by_role("row", name=re.compile("Progress page"))).to_contain_text(
        owner.display_name
    )

    # Hidden again, the coach's bookmark leads nowhere.
    page.get_by_label("Only me").check()
    page.get_by_role("button", name="Keep this choice for Riverbank").click()
    hidden = desk.reload()
    assert hidden is not None
    assert hidden.status == 404

    # A copy, and then everything goes.
    with page.expect_download() as log:
        page.get_by_role("link", name="My log").click()
    log.value.save_as(tmp_path / "log.jsonl")
    assert len((tmp_path / "log.jsonl").read_text().splitlines()) == 3
    with page.expect_download() as data:
        page.get_by_role("link", name="All about me").click()
    data.value.save_as(tmp_path / "me.json")
    assert json.loads((tmp_path / "me.json").read_text())["account"]["user_name"] == "wren7"
    page.get_by_role("link", name="erase your account").click()
    page.get_by_label("Your user name").fill("wren7")
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Erase everything about me").click()
    expect(page.get_by_role("heading", name="Your account is erased")).to_be_visible()
    assert violations(page) == []
    page.goto("/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert not User.objects.filter(username="wren7").exists()
    assert Solve.objects.exclude(member=owner.user).count() == 0
    desk.context.close()


def test_a_club_changes_hands(page: Page, sign_in: SignIn, owner: Membership):
    sign_in(page, owner.user)
    coach = Membership.objects.get(role=Role.COACH)
    page.goto(f"/clubs/{owner.club.slug}/people/")
    page.get_by_text(f"Change {coach.display_name}").click()
    page.get_by_role("link", name="Hand the club over").click()
    page.get_by_role("button", name="Hand the club over").click()
    expect(page.get_by_text(f"{coach.display_name} is the owner now")).to_be_visible()
    page.goto(f"/clubs/{owner.club.slug}/leave/")
    page.get_by_role("button", name="Leave the club").click()
    expect(page.get_by_text("You have left Riverbank.")).to_be_visible()
    expect(page.get_by_text("You are in no club.")).to_be_visible()


def test_a_member_who_hides_is_on_no_page_of_a_clubmate(
    page: Page, sign_in: SignIn, owner: Membership
):
    hider = make_membership(owner.club)
    make_upload(hider.user, [make_row(note="mine alone")])
    sign_in(page, make_membership(owner.club).user)
    for place in ("/members/", "/clubs/", f"/clubs/{owner.club.slug}/"):
        page.goto(place)
        expect(page.get_by_text(hider.display_name, exact=True)).to_have_count(0)


def test_the_link_is_copied_by_a_press(
    page: Page, sign_in: SignIn, owner: Membership, live_server: LiveServer
):
    sign_in(page, owner.user)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.goto(f"/clubs/{owner.club.slug}/people/")
    page.get_by_role("button", name="Make a code").click()
    page.get_by_role("button", name="Copy the link").click()
    expect(page.get_by_text("Copied.")).to_be_visible()
    code = page.locator(".invitation-code code").inner_text()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == f"{live_server.url}/join/?code={code}"
