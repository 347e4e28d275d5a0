"""A member's own word on cases, for programs."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import CASES
from logs.case_map.report import OwnWords, own_words
from logs.case_map.services import known_by_word_set
from logs.cases.api import CaseField
from logs.http.api import MANAGE, ApiView, Values, answers
from logs.http.pages import Items, actor_of


class SentCases(serializers.Serializer[Any]):
    """Cases."""

    case = Items(
        child=CaseField(), max_length=len(CASES), help_text="Known in one look, such as oll-27."
    )


class CaseWords(ApiView):
    """Your own word on cases."""

    @answers(OwnWords)
    def get(self, request: Request) -> OwnWords:
        """Your own word on cases: kept apart from what solves show, and overruled by them."""
        return own_words(actor=actor_of(request))

    @answers(OwnWords, scope=MANAGE, body=SentCases)
    def put(self, request: Request, sent: Values) -> OwnWords:
        """Say which cases you know in one look; all of them are sent."""
        actor = actor_of(request)
        known_by_word_set(actor=actor, cases=sent["case"], now=timezone.now())
        return own_words(actor=actor)
