"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from dataclasses import dataclass
from random import SystemRandom
from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.turns import Face
from logs.cases.facts import cases_by_code
from logs.http.api import MANAGE, ApiView, answers
from logs.http.pages import actor_of
from logs.http.queries import Items, choice
from logs.people.models import MOST_PRACTICE
from logs.practice.report.drills import (
    MOST_SEED,
    USUAL_NUMBER,
    Ask,
    DrillDay,
    DrillLine,
    drill_day,
    drill_log,
    drill_sheet,
    drill_text,
    settled,
)
from logs.practice.report.practice import HOMEWORK, standing_pools
from logs.practice.services import practice_cap_change


def pool_choice(words: str) -> serializers.ChoiceField:
    """What to practise or to drill: homework, a set or family, or a case."""
    pools = (pool.code for pool in standing_pools())
    return choice(["", HOMEWORK, *pools, *cases_by_code()], "", words)


LARGEST_SEED = 10**9 - 1
"""Nine digits, as the pages read."""


@dataclass(frozen=True, slots=True)
class DrillsAsk:
    """What to ask for to be dealt the same again, as long as the book's algorithms are the same.

    Attributes:
        case: Codes of the cases named.
        what: Code of a set where no case is named; else empty.
        mix: Whether what looks like the named cases is dealt in too.
        n: How many drills.
        last: Colour of the last layer.
        seed: What they are drawn by.
    """

    case: tuple[str, ...]
    what: str
    mix: bool
    n: int
    last: str
    seed: int


@dataclass(frozen=True, slots=True)
class Drills:
    """Drills as they were dealt.

    Attributes:
        ask: What deals them again: homework's cases named, no more than the most a day.
        heading: What is drilled.
        drills: The scrambles, each with the case it leads to.
        is_one_case: Whether there is nothing to tell apart.
        day: How much of the day's drills is done.
        text: The drills as plain text.
        log: The drills as a log to fill in and to send as an upload.
    """

    ask: DrillsAsk
    heading: str
    drills: tuple[DrillLine, ...]
    is_one_case: bool
    day: DrillDay
    text: str
    log: str


@dataclass(frozen=True, slots=True)
class PracticeCap:
    """What coaches want a member to do in a day at most.

    Attributes:
        practice_cap: The most drills, and the most answers on the practice page.
    """

    practice_cap: int


class DrillsQuery(serializers.Serializer[Any]):
    """What drills are asked for."""

    case = Items(
        child=serializers.ChoiceField(list(cases_by_code())),
        default=list,
        max_length=len(cases_by_code()),
        help_text="Cases such as oll-27.",
    )
    what = pool_choice(
        "Where no case is named: homework, a set or family, or a case and what looks like it."
    )
    mix = serializers.BooleanField(
        default=False, help_text="Whether what looks like the named cases is dealt in too."
    )
    n = serializers.IntegerField(
        min_value=1,
        max_value=MOST_PRACTICE,
        default=USUAL_NUMBER,
        help_text="How many; brought down to the most a day.",
    )
    last = choice(
        ["", *(face.colour for face in Face)], "", "Colour of the last layer; yours without it."
    )
    seed = serializers.IntegerField(
        min_value=1,
        max_value=LARGEST_SEED,
        default=None,
        help_text="To make the same drills again.",
    )


class SentPracticeCap(serializers.Serializer[Any]):
    """The most practice a day."""

    practice_cap = serializers.IntegerField(min_value=1, max_value=MOST_PRACTICE)


class Dealing(ApiView):
    """Drills to do at home."""

    @answers(Drills, query=DrillsQuery)
    def get(self, request: Request, query: dict[str, Any]) -> Drills:
        """Scrambles that lead straight to a case, up to the most that a day may have."""
        actor = actor_of(request)
        asked = Ask(
            codes=tuple(query["case"]),
            what=query["what"],
            is_mixed=query["mix"],
            n=query["n"],
            last=query["last"],
        )
        seed = query["seed"] or SystemRandom().randint(1, MOST_SEED)
        ask = settled(actor=actor, ask=asked, seed=seed)
        sheet = drill_sheet(actor=actor, ask=ask)
        return Drills(
            ask=DrillsAsk(ask.codes, ask.what, ask.is_mixed, ask.n, ask.last, ask.seed),
            heading=sheet.heading,
            drills=sheet.drills,
            is_one_case=sheet.is_one_case,
            day=drill_day(actor=actor, now=timezone.now()),
            text=drill_text(sheet),
            log=drill_log(sheet),
        )


class Capping(ApiView):
    """The most practice a day."""

    @answers(PracticeCap, scope=MANAGE, body=SentPracticeCap)
    def post(self, request: Request, slug: str, sent: dict[str, Any]) -> PracticeCap:
        """Have the club's members practise at most so much a day."""
        club = practice_cap_change(actor=actor_of(request), slug=slug, **sent)
        return PracticeCap(club.practice_cap)
