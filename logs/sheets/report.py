"""Sheets to print: for a lesson, for homework, or for cases somebody picked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Case, CaseId
from cubecore.cue_words import cue_sentence
from cubecore.cues import cue_of, cue_stickers
from cubecore.pictures import case_picture
from logs.algorithms.report import algorithm_facts
from logs.algorithms.selectors import book_of_member, club_book_get, triggers_of_member
from logs.algorithms.words import has_names, read_out
from logs.cases.facts import case_of
from logs.homework.report.progress import assignment_rows, head_of
from logs.homework.selectors import homework_get
from logs.homework.words import goal, way
from logs.lessons.selectors import lesson_get
from logs.solves.selectors.solves import usual_last_colour
from logs.words import day_words, find_case

MAX_CASES = 20
"""Cases of one sheet; a homework and a lesson have no more."""


PICTURE = 132


MIRROR_PICTURE = 76


class Paper(StrEnum):
    """The paper a sheet is printed on."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True)
class Partner:
    """The mirror of a sheet's case: its algorithm is the other's in a mirror."""

    title: str
    picture: str
    text: str


@dataclass(frozen=True, slots=True)
class SheetCase:
    """A case on a sheet, in the hold its algorithm starts from.

    Attributes:
        title: Such as ``OLL 27 Sune``.
        picture: SVG, its text alternative the cue.
        look_at: The cue as a sentence.
        text: The taught algorithm.
        said: It read out in triggers.
        note: The coach's words on the algorithm, or empty.
        partner: Its mirror; None where the case is its own.
    """

    title: str
    picture: str
    look_at: str
    text: str
    said: str
    note: str
    partner: Partner | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet to print.

    Attributes:
        heading: Its title.
        lines: What stands under it: whose, when, what is asked.
        note: The coach's words, or empty.
        cases: At most ``MAX_CASES``.
        is_homework: Whether it is a member's page, all on one; else a lesson's, with practice.
    """

    heading: str
    lines: tuple[str, ...]
    note: str
    cases: tuple[SheetCase, ...]
    is_homework: bool = False


@dataclass(frozen=True, slots=True)
class Teaching:
    """What a sheet's cases are drawn from: a book, its names, notes, and a last-layer colour."""

    book: Book
    triggers: Mapping[str, tuple[str, ...]]
    notes: Mapping[tuple[CaseId, str], str]
    colour: str


def picked_sheet(*, actor: User, codes: Sequence[str]) -> Sheet:
    """A sheet of the cases that ``codes`` name, by the actor's own books.

    Codes of no case, doubled ones and those past ``MAX_CASES`` are left out.
    """
    teaching = Teaching(
        book_of_member(member=actor),
        triggers_of_member(member=actor),
        {},
        usual_last_colour(actor=actor),
    )
    cases = [case for code in dict.fromkeys(codes) if (case := case_of(code)) is not None]
    return Sheet(
        heading="Last-layer cases",
        lines=(),
        note="",
        cases=tuple(sheet_case(case, teaching) for case in cases[:MAX_CASES]),
    )


def lesson_sheet(*, actor: User, lesson_id: int) -> Sheet:
    """The sheet of a lesson, by its club's book.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    lesson = lesson_get(actor=actor, lesson_id=lesson_id)
    teaching = _of_club(actor, lesson.club.slug)
    cases = []
    for stored in sorted(lesson.cases.all(), key=lambda one: one.place):
        case = find_case(stored.stage, stored.case)
        assert case is not None  # held by a constraint
        cases.append(sheet_case(case, teaching))
    return Sheet(
        heading=lesson.title,
        lines=(f"{lesson.club.name}, {day_words(lesson.on)}",),
        note=lesson.note,
        cases=tuple(cases),
    )


def homework_sheet(*, actor: User, homework_id: int, now: datetime) -> Sheet:
    """The one page of a homework, for a member it was set for or a coach of its club.

    Raises:
        NotFoundError: There is none, or it is not the actor's to see.
    """
    homework = homework_get(actor=actor, homework_id=homework_id)
    teaching = _of_club(actor, homework.club.slug)
    zone = ZoneInfo(homework.club.time_zone)
    lines = [f"{homework.club.name}, set on {day_words(homework.set_at.astimezone(zone).date())}"]
    if homework.due_on:
        lines[0] += f", to learn by {day_words(homework.due_on)}"
    head = head_of(homework, now)
    lines.append(f"Learn each case: {way(head)}. Then it shows in {goal(head)}.")
    cases = []
    for stored in assignment_rows(homework, actor):
        case = find_case(stored.stage, stored.case)
        assert case is not None  # held by a constraint
        cases.append(sheet_case(case, teaching))
    return Sheet("Homework", tuple(lines), homework.note, tuple(cases), is_homework=True)


def sheet_case(case: Case, teaching: Teaching) -> SheetCase:
    """A case as a sheet has it; where a book has none for it, by the standard algorithm."""
    known = teaching.book.algorithms(case.id) or default_book().algorithms(case.id)
    algorithm = known[0]
    facts = algorithm_facts(algorithm.text, teaching.triggers)
    said = cue_sentence(case, algorithm.angle, teaching.colour)
    return SheetCase(
        title=str(case),
        picture=case_picture(
            case,
            size=PICTURE,
            angle=algorithm.angle,
            text=f"{case}: {said}",
            marks=cue_stickers(cue_of(case, algorithm.angle)),
        ),
        look_at=said,
        text=facts.text,
        said=read_out(facts.runs) if has_names(facts) else "",
        note=teaching.notes.get((case.id, algorithm.text), ""),
        partner=_partner(case, prove_algorithm(facts.mirror)),
    )


def _partner(case: Case, mirror: Algorithm) -> Partner | None:
    if mirror.case == case.id:
        return None
    other = CASES[mirror.case]
    picture = case_picture(
        other, size=MIRROR_PICTURE, angle=mirror.angle, text=f"{other}, the mirror of {case}"
    )
    return Partner(str(other), picture, mirror.text)


def _of_club(actor: User, slug: str) -> Teaching:
    read = club_book_get(actor=actor, slug=slug)
    return Teaching(read.book, read.triggers, read.notes, usual_last_colour(actor=actor))
