"""What a club's coaches change in its algorithm book."""

from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import CaseId
from logs import limits
from logs.algorithms.figures import BEFORE, CoachHold
from logs.algorithms.services import (
    MAX_ALGORITHMS,
    algorithm_add,
    algorithm_move,
    algorithm_retire,
    case_hold_write,
    case_words_write,
    trigger_add,
    trigger_remove,
)
from logs.book.report import (
    TRIED_TEXT,
    BookCaseReport,
    BookReport,
    Trigger,
    book_case_report,
    book_report,
)
from logs.errors import NotFoundError
from logs.http.api import CREATED, EMPTY, MANAGE, ApiView, Values, answers
from logs.http.pages import TriedQuery, actor_of
from logs.people.services.trail import looked
from logs.solves.services.relabel import club_relabel
from logs.words import find_case

Sent = serializers.Serializer[Any]


@dataclass(frozen=True, slots=True)
class BookChange:
    """An algorithm that came into a book or went out of it.

    Attributes:
        text: The algorithm as the book spells it.
        is_relabelled: Whether the club's solves are labelled by the book as it stands; else that
            goes on behind the request, and the book tells how far it is.
    """

    text: str
    is_relabelled: bool


@dataclass(frozen=True, slots=True)
class Relabelling:
    """How far labelling anew is.

    Attributes:
        is_relabelled: Whether the club's solves are labelled by the book as it stands; else that
            goes on behind the request, and the book tells how far it is.
    """

    is_relabelled: bool


@dataclass(frozen=True, slots=True)
class CaseSaid:
    """What stands beside a case.

    Attributes:
        words: What the coach says of it; empty without.
    """

    words: str


@dataclass(frozen=True, slots=True)
class CaseHeld:
    """How a case is taught.

    Attributes:
        hold: The hold the coach teaches; null where it is the taught algorithm's own.
    """

    hold: CoachHold | None


class SentWords(Sent):
    """Words beside a case."""

    words = serializers.CharField(
        allow_blank=True, max_length=limits.CASE_WORDS, help_text="With their line breaks."
    )


class SentHold(Sent):
    """A hold."""

    angle = serializers.IntegerField(
        allow_null=True,
        min_value=0,
        max_value=3,
        help_text="Quarter turns from the hold of the tables; null for the algorithm's own.",
    )
    before = serializers.ChoiceField(
        BEFORE,
        default="",
        allow_blank=True,
        help_text="What is turned between the hold and the algorithm.",
    )


class SentAlgorithm(Sent):
    """An algorithm of a case."""

    text = serializers.CharField(max_length=TRIED_TEXT, help_text="Its turns.")


class SentEntry(SentAlgorithm):
    """An algorithm to add."""

    note = serializers.CharField(
        default="", allow_blank=True, max_length=300, help_text="Words beside it."
    )


class SentMove(SentAlgorithm):
    """An algorithm and its place from now on."""

    place = serializers.IntegerField(
        min_value=1, max_value=MAX_ALGORITHMS, help_text="The first is the one taught."
    )


class SentTriggerName(Sent):
    """The name of a run of turns."""

    name = serializers.CharField(max_length=40, help_text="What it is called.")


class SentTrigger(SentTriggerName):
    """A run of turns and its name."""

    turns = serializers.CharField(max_length=100, help_text="The run of turns.")


class BookAlgorithms(ApiView):
    """The algorithms of a case in a club's book."""

    @answers(BookChange, scope=MANAGE, body=SentEntry, status=CREATED)
    def post(
        self, request: Request, slug: str, stage: str, number: str, sent: Values
    ) -> BookChange:
        """Prove an algorithm and add it to a case; what does something else is refused."""
        added = algorithm_add(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            **sent,
            now=timezone.now(),
        )
        return BookChange(added.text, _relabelled(request, slug, is_book_new=True))


class BookRetiring(ApiView):
    """An algorithm, out of the book."""

    @answers(BookChange, scope=MANAGE, body=SentAlgorithm)
    def post(
        self, request: Request, slug: str, stage: str, number: str, sent: Values
    ) -> BookChange:
        """Take an algorithm out of the book, named as the book spells it; one has to stay."""
        retired = algorithm_retire(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            **sent,
            now=timezone.now(),
        )
        return BookChange(retired.text, _relabelled(request, slug, is_book_new=True))


class BookMoving(ApiView):
    """An algorithm, in another place."""

    @answers(None, scope=MANAGE, body=SentMove, status=EMPTY)
    def post(self, request: Request, slug: str, stage: str, number: str, sent: Values) -> None:
        """Move an algorithm among those of its case; no label hangs on the order."""
        algorithm_move(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            **sent,
            now=timezone.now(),
        )


class BookWords(ApiView):
    """What a coach says of a case."""

    @answers(CaseSaid, scope=MANAGE, body=SentWords)
    def put(self, request: Request, slug: str, stage: str, number: str, sent: Values) -> CaseSaid:
        """Write words beside a case, in place of those there; none take them away."""
        words = case_words_write(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            text=sent["words"],
            now=timezone.now(),
        )
        return CaseSaid(words)


class BookHold(ApiView):
    """The hold in which a case is taught."""

    @answers(CaseHeld, scope=MANAGE, body=SentHold)
    def put(self, request: Request, slug: str, stage: str, number: str, sent: Values) -> CaseHeld:
        """Teach a case from a hold; from one that its algorithm does not solve is refused."""
        hold = case_hold_write(
            actor=actor_of(request),
            slug=slug,
            case=_case_id(stage, number),
            hold=None if sent["angle"] is None else CoachHold(sent["angle"], sent["before"]),
            now=timezone.now(),
        )
        return CaseHeld(hold)


class BookLabels(ApiView):
    """The labels that hang on a club's book."""

    @answers(Relabelling, scope=MANAGE, body=None)
    def post(self, request: Request, slug: str) -> Relabelling:
        """Make the labels of the club's members anew where they are behind the book."""
        return Relabelling(_relabelled(request, slug, is_book_new=False))


class Triggers(ApiView):
    """The names a club gives to runs of turns; they are listed with its book."""

    @answers(Trigger, scope=MANAGE, body=SentTrigger, status=CREATED)
    def post(self, request: Request, slug: str, sent: Values) -> Trigger:
        """Give a run of turns a name."""
        named = trigger_add(actor=actor_of(request), slug=slug, **sent)
        return Trigger(named.name, named.turns, is_own=True)


class TriggerForgetting(ApiView):
    """A name, forgotten."""

    @answers(None, scope=MANAGE, body=SentTriggerName, status=EMPTY)
    def post(self, request: Request, slug: str, sent: Values) -> None:
        """Forget a name that the club gave."""
        trigger_remove(actor=actor_of(request), slug=slug, **sent)


def _relabelled(request: Request, slug: str, *, is_book_new: bool) -> bool:
    return club_relabel(
        actor=actor_of(request), slug=slug, now=timezone.now(), is_book_new=is_book_new
    )


def _case_id(stage: str, number: str) -> CaseId:
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    return case.id


class Book(ApiView):
    """A club's book."""

    @answers(BookReport, query=TriedQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> BookReport:
        """The club's algorithms, and what an algorithm that is tried out does."""
        return book_report(
            actor=actor_of(request), slug=slug, tried=query["tried"], now=timezone.now()
        )


class BookCase(ApiView):
    """A case of a club's book."""

    @answers(BookCaseReport)
    def get(self, request: Request, slug: str, stage: str, number: str) -> BookCaseReport:
        """The algorithms of one case, and who uses which."""
        report = book_case_report(actor=actor_of(request), slug=slug, stage=stage, number=number)
        looked(request, "book_case", report.membership_ids)
        return report
