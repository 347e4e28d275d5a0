"""Each page belongs to one word of the masthead, and a club's page to one tab."""

import pytest

from clubsite.accounts.urls import urlpatterns as account_patterns
from logs.people.models import Role
from logs.templatetags.navigation import TABS, WORDS, tab_of, word_of
from logs.urls import urlpatterns
from tests.factories import make_client, make_club, make_membership
from tests.logs.web.access_table import ROUTES

PAGES = sorted({route.name for route in ROUTES if route.GET is not None})
NO_PAGES = {  # files, pieces of a page, what is printed, what strangers see
    "new-password", "password-mail", "password-link", "letter-end", "calendar-feed",
    "template", "job", "set-aside", "sheet-pdf", "lesson-sheet-pdf", "homework-sheet-pdf", "case-poster-pdf",
    "drill-pdf", "drill-text", "drill-log", "log-copy", "data-copy", "research-export",
    "lesson-sheet", "homework-sheet", "wall-counts", "wall-now",
}  # fmt: skip


def test_no_page_belongs_to_two_words():
    names = [name for group in (*WORDS.values(), *TABS.values()) for name in group]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", PAGES)
def test_every_page_says_which_word_it_belongs_to(name: str):
    space, _, page = name.rpartition(":")
    if space == "logs" and page not in NO_PAGES:
        assert word_of(page) != ""


def test_every_name_in_the_rule_is_an_address():
    patterns = [*urlpatterns, *account_patterns]
    names = {pattern.name for pattern in patterns if hasattr(pattern, "name")}
    ruled = {name for group in (*WORDS.values(), *TABS.values()) for name in group}
    assert ruled <= names


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "word", "tab"),
    [
        ("/home/", "Home", ""),
        ("/log/", "Log", ""),
        ("/homework/", "Homework", ""),
        ("/cases/oll/27/", "Cases", ""),
        ("/clubs/{slug}/mistaken/", "Club", "Mistaken for"),
        ("/clubs/{slug}/cases/oll/27/", "Club", "Coverage"),
        ("/clubs/{slug}/homework/new/", "Club", ""),
    ],
)
def test_the_word_and_the_tab_are_marked(address: str, word: str, tab: str):
    coach = make_membership(make_club(), role=Role.COACH)
    client = make_client(coach.user)
    client.get(f"/clubs/{coach.club.slug}/desk/")  # where a coach lands
    page = client.get(address.format(slug=coach.club.slug)).content.decode()
    assert f'aria-current="page">{word}</a>' in page
    if tab:
        assert f'aria-current="page">{tab}</a>' in page
    assert tab_of("home") == ""
