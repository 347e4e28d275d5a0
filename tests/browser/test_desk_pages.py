"""The coach's pages in a real browser: accessible, in both schemes, wide and narrow."""

from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from logs.homework.services import assignment_excuse, homework_close
from logs.next_up.order import OverrideKind
from logs.next_up.services import override_set
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, opened, violations
from tests.desk import CASE_27, CASE_40, CASE_T, make_homework, make_lesson, make_team, solves
from tests.factories import NOW, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

COACHED = [
    "/homework/",
    "/clubs/{slug}/homework/",
    "/lessons/{lesson}/homework/",
    "/homework/{homework}/",
    "/homework/{homework}/members/{member}/",
    "/members/{member}/next-up/",
    "/clubs/{slug}/lessons/",
    "/clubs/{slug}/lessons/new/?member={member}",
    "/lessons/{lesson}/",
    "/lessons/{lesson}/edit/",
    "/lessons/{lesson}/took/",
    "/homework/{homework}/edit/",
    "/clubs/{slug}/desk/",
]
OWN = ["/homework/", "/homework/{homework}/", "/homework/{closed}/", "/next-up/"]


@pytest.fixture
def desk():
    """A club with everything on it: counts, an excuse, a closed homework, words on a list."""
    club, coach, members = make_team(3)
    before = NOW - timedelta(days=9)
    make_upload(members[0].user, solves("00000000", start=before, gap_ms=190))
    make_upload(members[0].user, solves("0010011"))
    make_upload(members[1].user, solves("111"))
    homework = make_homework(coach, members, (CASE_40, CASE_27, CASE_T), note="Slowly. " * 30)
    closed = make_homework(coach, members[:1])
    homework_close(actor=coach.user, homework_id=closed.pk, reason="Enough.", now=NOW)
    assignment_excuse(
        actor=coach.user,
        homework_id=homework.pk,
        membership_id=members[0].pk,
        cases=[CASE_27],
        reason="x" * 300,
        now=NOW,
    )
    for case, kind in ((CASE_40, OverrideKind.PIN), (CASE_27, OverrideKind.SKIP)):
        override_set(
            actor=coach.user,
            membership_id=members[0].pk,
            case=case,
            kind=kind,
            reason="w" * 300,
            now=NOW,
        )
    lesson = make_lesson(coach, members, (CASE_40, CASE_27, CASE_T))
    numbers = {
        "slug": club.slug,
        "homework": homework.pk,
        "closed": closed.pk,
        "member": members[0].pk,
        "lesson": lesson.pk,
    }
    return {"coach": coach, "member": members[0]}, numbers


@pytest.mark.layout
@pytest.mark.parametrize(
    ("who", "address"), [*(("coach", a) for a in COACHED), *(("member", a) for a in OWN)]
)
def test_a_page_is_accessible_and_fits(page: Page, sign_in: SignIn, desk, who: str, address: str):
    people, numbers = desk
    sign_in(page, people[who].user)
    opened(page, address.format(**numbers))
    if "/members/{member}/" in address and "homework" in address:
        expect(page.get_by_text("The times behind it (8 before, 7 since)").first).to_be_visible()
    look_over(page)


@pytest.mark.layout
@pytest.mark.parametrize("address", ["/clubs/{slug}/homework/new/", "/lessons/{lesson}/edit/"])
def test_a_refused_form_is_accessible(page: Page, sign_in: SignIn, desk, address: str):
    people, numbers = desk
    sign_in(page, people["coach"].user)
    page.goto(address.format(**numbers))
    ticked = page.locator("main input[type=checkbox]:checked")
    while ticked.count():
        ticked.first.uncheck()
    page.locator("main form").last.locator("button[type=submit]").last.click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_text("Choose at least one case.").is_visible()
    assert violations(page) == []


@pytest.mark.layout
def test_a_lesson_goes_on_paper_with_its_list(page: Page, sign_in: SignIn, desk):
    people, numbers = desk
    sign_in(page, people["coach"].user)
    page.goto("/lessons/{lesson}/".format(**numbers))
    page.emulate_media(media="print")
    assert page.locator(".lesson-cases .case-picture").count() == 3
    assert page.locator(".lesson-cases .case-picture").first.is_visible()
    assert not page.locator(".page-actions").is_visible()
