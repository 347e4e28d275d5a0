"""Algorithm books: a club's, for those in it, and the one a member's log is labelled by.

Scrambles that lead to a case and hold no algorithm of a book.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from clubsite.accounts.models import User
from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, CaseId
from cubecore.descriptions import default_triggers
from cubecore.drills import DrillMaker
from logs.algorithms.figures import CoachHold
from logs.algorithms.models import BookAlgorithm, CaseWords, TriggerName
from logs.people.models import Club, Membership
from logs.people.sight import club_get

StoredText = tuple[str, str, str]
"""Stage, case and text, as the tables hold an algorithm."""
StoredHold = tuple[str, str, int | None, str]
"""Stage, case, angle and turn before, as the tables hold a coach's hold."""


@dataclass(frozen=True, slots=True)
class ClubBook:
    """A club's book.

    Attributes:
        club: Whose it is.
        is_standard: Whether it is the standard book, never changed.
        book: Its algorithms.
        notes: The coach's words on an algorithm, by case and text; no entry where there are none.
        words: The coach's words on a case; no entry where there are none.
        holds: The hold the coach teaches; no entry where it is the algorithm's own.
        triggers: Every named run of turns, the club's own and those that everybody knows.
        own_triggers: The club's own names alone.
    """

    club: Club
    is_standard: bool
    book: Book
    notes: Mapping[tuple[CaseId, str], str]
    words: Mapping[CaseId, str]
    holds: Mapping[CaseId, CoachHold]
    triggers: Mapping[str, tuple[str, ...]]
    own_triggers: Mapping[str, tuple[str, ...]]


def club_book_get(*, actor: User, slug: str) -> ClubBook:
    """The book of a club that ``actor`` is in.

    Raises:
        NotFoundError: There is no such club, or they are not in it.
    """
    club = club_get(actor=actor, slug=slug)
    stored = list(
        BookAlgorithm.objects.filter(club=club).order_by("stage", "case", "retired_at", "place")
    )
    present = [one for one in stored if one.retired_at is None]
    own = {one.name: tuple(one.turns.split()) for one in TriggerName.objects.filter(club=club)}
    written = list(CaseWords.objects.filter(club=club))
    return ClubBook(
        club=club,
        is_standard=not stored,
        book=_book(tuple((one.stage, one.case, one.text) for one in present) if stored else None),
        notes={(_case_id(one.stage, one.case), one.text): one.note for one in present if one.note},
        words={_case_id(one.stage, one.case): one.text for one in written if one.text},
        holds=_holds((one.stage, one.case, one.hold_angle, one.hold_before) for one in written),
        triggers=_with_names(own),
        own_triggers=dict(sorted(own.items())),
    )


def book_of_member(*, member: User) -> Book:
    """The book that a member's log is labelled by: the union of their clubs' books.

    Of two spellings of one algorithm that of the club founded first is kept. Somebody in no club
    has the standard book.
    """
    return books_of_members(member_ids=[member.pk])[member.pk]


def books_of_members(*, member_ids: Iterable[int]) -> dict[int, Book]:
    """`book_of_member` for many, by account."""
    members = set(member_ids)
    clubs: dict[int, list[int]] = {member: [] for member in members}
    joined = Membership.objects.filter(user__in=members).order_by("club")
    for member, club in joined.values_list("user", "club"):
        clubs[member].append(club)
    texts = _texts_of({club for joined_by in clubs.values() for club in joined_by})
    return {
        member: _union(tuple(texts[club] for club in joined_by))
        for member, joined_by in clubs.items()
    }


def books_of_clubs(*, clubs: Iterable[int]) -> dict[int, Book]:
    """The books of clubs that the caller has read, by club."""
    return {club: _book(texts) for club, texts in _texts_of(set(clubs)).items()}


@dataclass(frozen=True, slots=True)
class CoachWords:
    """What a club's coach says of a case.

    Attributes:
        club: Name of the club.
        text: The words, with their line breaks.
    """

    club: str
    text: str


@dataclass(frozen=True, slots=True)
class CoachSaid:
    """What the coaches of a member's clubs say of cases.

    Attributes:
        words: By case their words, the club founded first first.
        holds: By case the hold they teach; of two that of the club founded first.
    """

    words: Mapping[CaseId, tuple[CoachWords, ...]]
    holds: Mapping[CaseId, CoachHold]


def said_of_member(*, member: User) -> CoachSaid:
    """What the coaches of a member's clubs say of cases."""
    written = CaseWords.objects.filter(club__memberships__user=member).order_by("club")
    words: dict[CaseId, tuple[CoachWords, ...]] = {}
    held: list[StoredHold] = []
    for stage, case, club, text, angle, before in written.values_list(
        "stage", "case", "club__name", "text", "hold_angle", "hold_before"
    ):
        key = _case_id(stage, case)
        if text:
            words[key] = (*words.get(key, ()), CoachWords(club, text))
        held.append((stage, case, angle, before))
    return CoachSaid(words, _holds(reversed(held)))


def holds_of_member(*, member: User) -> Mapping[CaseId, CoachHold]:
    """By case the hold that a coach of the member's teaches."""
    return said_of_member(member=member).holds


def holds_of_club(*, club: int) -> dict[CaseId, CoachHold]:
    """By case the hold that the coach of a club teaches; the caller has read the club."""
    written = CaseWords.objects.filter(club=club)
    return _holds(written.values_list("stage", "case", "hold_angle", "hold_before"))


def _holds(stored: Iterable[StoredHold]) -> dict[CaseId, CoachHold]:
    return {
        _case_id(stage, case): CoachHold(angle, before)
        for stage, case, angle, before in stored
        if angle is not None
    }


def triggers_of_member(*, member: User) -> Mapping[str, tuple[str, ...]]:
    """Every named run of turns in a member's clubs; of two of one name the older club's counts."""
    named = TriggerName.objects.filter(club__memberships__user=member).order_by("-club", "name")
    return _with_names({one.name: tuple(one.turns.split()) for one in named})


def _texts_of(clubs: set[int]) -> dict[int, tuple[StoredText, ...] | None]:
    """The algorithms in each club's book; None for a club that follows the standard book."""
    texts: dict[int, list[StoredText]] = {}
    rows = BookAlgorithm.objects.filter(club__in=clubs).order_by("club", "stage", "case", "place")
    for club, stage, case, text, retired_at in rows.values_list(
        "club", "stage", "case", "text", "retired_at"
    ):
        known = texts.setdefault(club, [])
        if retired_at is None:
            known.append((stage, case, text))
    return {club: tuple(texts[club]) if club in texts else None for club in clubs}


def _with_names(own: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """The names everybody knows, and ``own``, which win over them by name and by turns."""
    turns = set(own.values())
    known = {name: run for name, run in default_triggers().items() if run not in turns}
    return known | dict(own)


@lru_cache(maxsize=10_000)
def _proved(stage: str, case: str, text: str) -> Algorithm:
    return prove_algorithm(text, _case_id(stage, case))


@lru_cache(maxsize=128)
def _book(texts: tuple[StoredText, ...] | None) -> Book:
    if texts is None:
        return default_book()
    return Book(_proved(*text) for text in texts)


@lru_cache(maxsize=128)
def _union(books: tuple[tuple[StoredText, ...] | None, ...]) -> Book:
    if len(set(books)) < 2:
        return _book(books[0] if books else None)
    return Book(
        algorithm
        for texts in dict.fromkeys(books)
        for case in CASES
        for algorithm in _book(texts).algorithms(case)
    )


def _case_id(stage: str, case: str) -> CaseId:
    return CaseId.read(stage, case)


def drill_maker(book: Book) -> DrillMaker:
    """What deals drills; none gives away an algorithm of ``book`` or of the standard one."""
    standard = default_book()
    algorithms = dict.fromkeys(a for case in CASES for a in standard.algorithms(case))
    algorithms |= dict.fromkeys(a for case in CASES for a in book.algorithms(case))
    return _maker(tuple(algorithms))


@lru_cache(maxsize=16)
def _maker(algorithms: tuple[Algorithm, ...]) -> DrillMaker:
    return DrillMaker(Book(algorithms))
