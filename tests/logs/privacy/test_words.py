"""Events of the trail as the person they are about reads them."""

from dataclasses import replace

import pytest

from logs.people.models import Verb
from logs.privacy.report.privacy import EventLine
from logs.privacy.words import GONE, HIDDEN, YOU, event_by, event_words
from tests.factories import NOW

EVENT = EventLine(
    at=NOW, verb=Verb.LOOK, by="Ada", is_hidden=False, is_own=False, page=None, before=None, after=None,
    club=None,
)  # fmt: skip


@pytest.mark.parametrize(
    ("by", "is_own", "words"), [("Ada", False, "Ada"), ("Ada", True, YOU), (None, False, GONE)]
)
def test_who_did_it(by: str | None, is_own: bool, words: str):
    assert event_by(replace(EVENT, by=by, is_own=is_own)) == words


def test_a_member_who_hides_is_not_named():
    assert event_by(replace(EVENT, by=None, is_hidden=True)) == HIDDEN


@pytest.mark.parametrize(
    ("event", "words"),
    [
        ({"page": "solves"}, "looked at your list of solves"),
        ({"verb": Verb.VISIBILITY, "before": "only_me", "after": "coach"},
         "changed who sees your log: from “only me” to “my coaches”"),
        ({"verb": Verb.ROLE, "before": "member", "after": "coach"},
         "changed your role: from member to coach"),
        ({"verb": Verb.RESEARCH, "after": "yes"}, "agreed to be in research exports"),
        ({"verb": Verb.RESEARCH, "after": "no"}, "took back the word on research exports"),
        ({"verb": Verb.JOIN, "after": "coach"}, "joined as coach"),
        ({"verb": Verb.LEAVE}, "left the club"),
    ],
)  # fmt: skip
def test_what_happened(event: dict[str, object], words: str):
    assert event_words(replace(EVENT, **event)) == words  # type: ignore[arg-type]  # any field of an event


@pytest.mark.parametrize("verb", list(Verb))
def test_every_verb_has_words(verb: Verb):
    assert event_words(replace(EVENT, verb=verb, before="coach", after="coach"))
