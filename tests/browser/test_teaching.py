"""Teaching in a real browser: each page accessible and narrow enough, and a sheet printed."""

import re
from datetime import date
from io import BytesIO

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from cubecore.cases import CASES, CaseId, Stage
from logs.homework.plan import Plan
from logs.homework.services import homework_set
from logs.lessons.services import LessonPlan, lesson_create
from logs.people.models import Membership, Role, Visibility
from tests.browser.conftest import SignIn
from tests.browser.looked_over import look_over, opened
from tests.factories import NOW, make_club, make_membership, make_rows, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

AWKWARD, GA = CaseId(Stage.OLL, 41), CaseId(Stage.PLL, "Ga")
ADDRESSES = [
    "/cases/oll/27/",
    "/cases/oll/27/?angle=2",
    "/cases/pll/Ga/",
    "/cases/pll/H/",
    "/clubs/{slug}/book/",
    "/clubs/{slug}/book/?try=R U R'",
    "/clubs/{slug}/book/?try=R U' L' U R' U' L",
    "/clubs/{slug}/book/oll/27/",
    "/sheet/",
    "/sheet/?case=oll-41&case=pll-Ga",
    "/lessons/{lesson}/sheet/",
    "/homework/{homework}/sheet/",
    "/how/information/",
]


@pytest.fixture
def coach_with_log() -> Membership:
    club = make_club("Riverbank")
    coach = make_membership(club, role=Role.COACH)
    make_upload(coach.user, make_rows(3))
    make_membership(club, visibility=Visibility.COACH)
    return coach


def numbers(coach: Membership) -> dict[str, object]:
    slug = coach.club.slug
    lesson = lesson_create(
        actor=coach.user,
        slug=slug,
        plan=LessonPlan(date(2026, 3, 5), "Evening", "", (coach.pk,), ((AWKWARD, ""), (GA, ""))),
    )
    homework = homework_set(
        actor=coach.user,
        slug=slug,
        plan=Plan(cases=(AWKWARD, GA), membership_ids=(coach.pk,), note="Slowly first."),
        now=NOW,
    )
    return {"slug": slug, "lesson": lesson.pk, "homework": homework.pk}


@pytest.mark.layout
@pytest.mark.parametrize("address", ADDRESSES)
def test_a_page_is_accessible_and_fits(page: Page, sign_in: SignIn, coach_with_log, address):
    sign_in(page, coach_with_log.user)
    opened(page, address.format(**numbers(coach_with_log)))
    look_over(page)


@pytest.mark.layout
@pytest.mark.parametrize(
    ("paper", "size"),
    [("a4", (210 / 25.4 * 72, 297 / 25.4 * 72)), ("letter", (612, 792))],  # ISO 216; ANSI
)
@pytest.mark.parametrize("address", ["/lessons/{lesson}/sheet/", "/homework/{homework}/sheet/"])
def test_a_sheet_is_printed(page: Page, sign_in: SignIn, coach_with_log, address, paper, size):
    sign_in(page, coach_with_log.user)
    opened(page, address.format(**numbers(coach_with_log)) + f"?paper={paper}")
    reader = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    assert len(reader.pages) == 1
    assert [float(edge) for edge in reader.pages[0].mediabox[2:]] == pytest.approx(size, abs=1)
    said = " ".join(reader.pages[0].extract_text().split())
    assert "OLL 41 Awkward" in said
    assert "Sune, then F, righty trigger, F'" in said
    assert "PLL Ga" in said
    assert "Signed in as" not in said  # nothing that can only be pressed
    assert "Make it so" not in said
    assert ("Practice scrambles" in said) == ("lessons" in address)


@pytest.mark.layout
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_printed_and_as_pdf_a_sheet_has_the_same_cases_on_each_page(
    page: Page, sign_in: SignIn, coach_with_log, paper
):
    """Nine of the longest: three on each of three pages."""
    sign_in(page, coach_with_log.user)
    named = [case for case in CASES.values() if case.id.stage is Stage.PLL][:9]
    asked = "&".join(["paper=" + paper, *(f"case=pll-{case.id.text}" for case in named)])
    opened(page, f"/sheet/?{asked}")
    printed = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    made = PdfReader(BytesIO(page.request.get(f"/sheet.pdf?{asked}").body()))
    titles = re.compile(r"PLL [A-Z][a-d]?(?= (?:The|All|Turn|On|Its))")
    pages = [
        [titles.findall(" ".join(one.extract_text().split())) for one in reader.pages]
        for reader in (printed, made)
    ]
    assert pages[0] == pages[1]
    assert [len(one) for one in pages[0]] == [3, 3, 3]


def test_a_coach_adds_an_algorithm_and_teaches_it(page: Page, sign_in: SignIn, coach_with_log):
    sign_in(page, coach_with_log.user)
    opened(page, f"/clubs/{coach_with_log.club.slug}/book/?try=R U' L' U R' U' L")
    page.get_by_role("button", name="Add it to the book").click()
    assert page.get_by_role("status").inner_text().startswith("R U' L' U R' U' L solves it")
    page.get_by_role("button", name="Teach this one").last.click()
    first = page.locator(".book-entries > li").first
    assert "R U' L' U R' U' L" in first.inner_text()
    page.goto("/cases/oll/27/")
    assert "R U' L' U R' U' L" in page.locator(".book-entries > li").first.inner_text()
