"""Which word of the masthead, and which tab of a club, a page belongs to: one rule for all pages."""

from typing import Any

from django import template

register = template.Library()

WORDS = {
    "home": ("home", "own-home"),
    "log": (
        "log",
        "upload",
        "upload-add",
        "mapping",
        "kept-mappings",
        "mend",
        "sent-file",
        "on-hold",
        "taken-out",
        "writeup-begin",
        "writeup",
        "drawn",
    ),
    "homework": ("homework-own", "homework"),
    "practice": (
        "practice",
        "practice-question",
        "practice-answer",
        "drills",
        "drill-one",
        "drill-sheet",
        "wall-join",
        "wall-seat",
    ),
    "cases": ("case-list", "case-poster", "case", "sheet"),
    "progress": ("progress", "mark-add", "mistaken"),
    "solves": ("solve-list", "solve", "solve-correct"),
    "next-up": ("next-up",),
    "members": (
        "member-list",
        "member-progress",
        "member-solve-list",
        "member-mistaken",
        "member-next-up",
        "next-up-override",
    ),
    "calendar": ("calendar",),
    "clubs": ("club-list", "welcome", "join", "leave", "display-name", "visibility"),
    "how": ("how", "information", "research-dictionary"),
    "password": ("password-change",),
    "sign-ins": ("sign-ins",),
    "privacy": (
        "privacy",
        "mail-address",
        "mail-address-keep",
        "tokens",
        "token-withdraw",
        "erase",
        "what-we-keep",
    ),
}
"""Names of pages by the word that leads to them."""

TABS = {
    "desk": ("desk",),
    "coverage": ("club", "club-case", "research", "research-change"),
    "compare": ("club-compare",),
    "mistaken": ("club-mistaken",),
    "book": ("book", "book-case", "book-add"),
    "homework": ("homework-desk", "homework-new", "homework-edit", "lesson-homework", "assignment"),
    "lessons": ("lesson-list", "lesson-new", "lesson", "lesson-edit", "lesson-took", "lesson-wall"),
    "people": ("club-people", "password-code", "invite", "owner", "remove"),
}
"""Names of a club's pages by their tab; in the masthead they belong to the club."""

CLUB = "club"
MENU = frozenset(
    {"solves", "next-up", "calendar", "members", "clubs", "how", "privacy", "password", "sign-ins"}
)
"""Words that stand behind the menu."""

_WORD_OF = {name: word for word, names in WORDS.items() for name in names}
_TAB_OF = {name: tab for tab, names in TABS.items() for name in names}


def word_of(page: str) -> str:
    """The word that a page belongs to; empty for what is no page."""
    return CLUB if page in _TAB_OF else _WORD_OF.get(page, "")


def tab_of(page: str) -> str:
    """The tab that a page of a club belongs to; empty for other pages."""
    return _TAB_OF.get(page, "")


def _name(context: dict[str, Any]) -> str:
    request = context.get("request")
    match = None if request is None else request.resolver_match
    return (match.url_name or "") if match is not None else ""


@register.simple_tag(takes_context=True)
def page_word(context: dict[str, Any]) -> str:
    """The word of the page that is shown."""
    return word_of(_name(context))


@register.simple_tag(takes_context=True)
def page_tab(context: dict[str, Any]) -> str:
    """The tab of the page that is shown."""
    return tab_of(_name(context))


@register.filter
def is_in_menu(word: str) -> bool:
    """Whether a word stands behind the menu."""
    return word in MENU


@register.simple_tag(takes_context=True)
def kept_group(context: dict[str, Any]) -> str:
    """What keeps the group that is chosen when another page of the club is opened."""
    request = context.get("request")
    group = "" if request is None else request.GET.get("group", "")
    return f"?group={group}" if group.isascii() and group.isdecimal() and len(group) < 10 else ""
