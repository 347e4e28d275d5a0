"""Events of the trail in words, as the person they are about reads them."""

from collections.abc import Mapping
from types import MappingProxyType

from django.template import Library

from logs.people.models import Role, Verb
from logs.people.words import role_words, visibility_name
from logs.privacy.report.privacy import EventLine

register = Library()

GONE = "somebody who is not in the club any more"

HIDDEN = "a member who shows their log to nobody"

YOU = "you"

PAGE_WORDS = {
    "progress": "your Progress page",
    "solves": "your list of solves",
    "solve": "one of your solves",
    "club": "the club page, with your line in it",
    "club_case": "the club's weeks of a case, with your line in them",
    "members": "the list of members, with your line in it",
    "desk": "the coach's desk, with your name on it",
    "compare": "a comparison with you in it",
    "mistaken": "what you take for what",
    "book_case": "a case of the book, with times of yours",
    "next_up": "your list of what is next",
    "homework": "how far you are with homework",
    "lesson": "a lesson plan made with your cases",
    "research": "a research export with the cases you met in it, without your name",
}
"""Kinds of pages that a look is noted for."""

PLAIN_VERBS: Mapping[str, str] = MappingProxyType(
    {
        Verb.HAND_OVER: "made you the owner of the club",
        Verb.REMOVE: "took you out of the club",
        Verb.LEAVE: "left the club",
        Verb.RENAME: "changed the name the club knows you by",
        Verb.TOKEN_MAKE: "made a token for your programs",
        Verb.TOKEN_WITHDRAW: "withdrew a token for your programs",
        Verb.EXPORT: "took a copy of your data",
        Verb.UPLOAD_TAKE_BACK: "took back a file of your log",
        Verb.UPLOAD_PUT_BACK: "put a file back into your log",
        Verb.SOLVE_DELETE: "deleted a solve of your log",
        Verb.SOLVE_PUT_BACK: "put a deleted solve back",
        Verb.SOLVE_CORRECT: "corrected a solve of your log",
        Verb.SOLVE_DECIDE: "decided between two rows of your log",
        Verb.CLUB_CLOSE: "closed the club",
        Verb.PASSWORD_CODE: "made a code with which a new password for your account can be chosen",
        Verb.PASSWORD_CHANGE: "changed your password",
        Verb.PASSWORD_RESET: "chose a new password with a code",
    }
)


@register.filter
def event_by(event: EventLine) -> str:
    """Who did it."""
    return YOU if event.is_own else HIDDEN if event.is_hidden else event.by or GONE


@register.filter
def event_words(event: EventLine) -> str:
    """What happened."""
    if event.page:
        return f"looked at {PAGE_WORDS.get(event.page, event.page)}"
    before, after = event.before or "", event.after or ""
    if event.verb is Verb.VISIBILITY:
        return f"changed who sees your log: from “{_seen_by(before)}” to “{_seen_by(after)}”"
    if event.verb is Verb.ROLE:
        return f"changed your role: from {before} to {after}"
    if event.verb is Verb.RESEARCH:
        if after == "yes":
            return "agreed to be in research exports"
        return "took back the word on research exports"
    if event.verb is Verb.JOIN:
        return f"joined as {role_words(after or Role.MEMBER)}"
    return PLAIN_VERBS.get(event.verb, event.verb.label)


def _seen_by(visibility: str) -> str:
    return visibility_name(visibility).lower()
