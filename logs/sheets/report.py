"""Sheets to print: for a lesson, for homework, or for cases somebody picked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from itertools import accumulate, pairwise
from random import Random
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.algorithms import prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Case, CaseId
from cubecore.cue_words import cue_sentence
from cubecore.turns import FACE_BY_COLOUR
from logs.algorithms.figures import held_algorithm
from logs.algorithms.report import Holds, algorithm_facts
from logs.algorithms.selectors import (
    book_of_member,
    club_book_get,
    drill_maker,
    said_of_member,
    triggers_of_member,
)
from logs.algorithms.words import has_names, read_out
from logs.cases.facts import case_of, code_of
from logs.homework.report.progress import assignment_rows, head_of
from logs.homework.selectors import homework_get
from logs.homework.words import goal, way
from logs.lessons.report import lesson_report
from logs.limits import SHEET_CASES
from logs.people.sight import clubs_of
from logs.solves.selectors.solves import usual_last_colour
from logs.words import day_words, find_case

PAGE_CASES = 4
"""Cases on a page of a lesson's sheet; where one page is not enough all have much the same."""
FEW_SCRAMBLES = 3
"""With more practice scrambles than these a page has a case less."""
MOST_SCRAMBLES = 6


@dataclass(frozen=True, slots=True)
class Room:
    """The room for practice that each case of a sheet has.

    Attributes:
        n_scrambles: Dealt practice scrambles, up to ``MOST_SCRAMBLES``.
        has_lines: Whether there are lines to write on.
    """

    n_scrambles: int = 3
    has_lines: bool = False

    @property
    def n_lines(self) -> int:
        """The lines to write on: one for each scramble, or a few where none is dealt."""
        return (self.n_scrambles or FEW_SCRAMBLES) if self.has_lines else 0


USUAL_ROOM = Room()


class Paper(StrEnum):
    """The paper a sheet is printed on."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True)
class Partner:
    """The mirror of a sheet's case: its algorithm is the other's in a mirror.

    Attributes:
        case: The mirror's case.
        angle: The angle that its algorithm starts from.
        text: Its algorithm.
    """

    case: Case
    angle: int
    text: str


@dataclass(frozen=True, slots=True)
class SheetCase:
    """A case on a sheet, in the hold it is taught in.

    Attributes:
        case: The case.
        angle: The angle of that hold.
        colour: Name of the last layer's colour, for the cue.
        text: The taught algorithm from that hold.
        read_out: It read out in triggers, or empty where it has none.
        note: The coach's words on the case and on the algorithm, or empty.
        partner: Its mirror; None where the case is its own.
        scrambles: Dealt practice scrambles that lead to the case; none on a homework's page.
        needed_by: Who needs it, on a coach's copy alone.
    """

    case: Case
    angle: int
    colour: str
    text: str
    read_out: str
    note: str
    partner: Partner | None
    scrambles: tuple[str, ...] = ()
    needed_by: tuple[str, ...] = ()

    @property
    def look_at(self) -> str:
        """The cue as a sentence."""
        return cue_sentence(self.case, self.angle, self.colour)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet to print.

    Attributes:
        heading: Its title.
        lines: What stands under it: whose, when, what is asked.
        note: The coach's words, or empty.
        cases: At most ``SHEET_CASES``.
        is_homework: Whether it is a member's page, all on one; else a lesson's, with practice.
        room: The room for practice; a homework's page has none.
    """

    heading: str
    lines: tuple[str, ...]
    note: str
    cases: tuple[SheetCase, ...]
    is_homework: bool = False
    room: Room = USUAL_ROOM

    @property
    def pages(self) -> tuple[tuple[SheetCase, ...], ...]:
        """The cases page by page, printed and as PDF alike, so that no page is much emptier.

        A homework has one page; a lesson's sheet at most ``PAGE_CASES`` on each.
        """
        most = PAGE_CASES - (self.room.n_scrambles > FEW_SCRAMBLES)
        n_pages = 1 if self.is_homework else max(1, -(-len(self.cases) // most))
        short, n_longer = divmod(len(self.cases), n_pages)
        sizes = [short + (page < n_longer) for page in range(n_pages)]
        ends = list(accumulate(sizes, initial=0))
        return tuple(self.cases[begin:end] for begin, end in pairwise(ends))


@dataclass(frozen=True, slots=True)
class Teaching:
    """What a sheet's cases are drawn from: a book, its names and words, and a last-layer colour."""

    book: Book
    triggers: Mapping[str, tuple[str, ...]]
    notes: Mapping[tuple[CaseId, str], str]
    words: Mapping[CaseId, str]
    holds: Holds
    colour: str


def picked_sheet(*, actor: User, codes: Sequence[str], room: Room = USUAL_ROOM) -> Sheet:
    """A sheet of the cases that ``codes`` name, by the actor's own books.

    Codes of no case, doubled ones and those past ``SHEET_CASES`` are left out.
    """
    said = said_of_member(member=actor)
    teaching = Teaching(
        book_of_member(member=actor),
        triggers_of_member(member=actor),
        {},
        {case: " ".join(one.text for one in words) for case, words in said.words.items()},
        said.holds,
        usual_last_colour(actor=actor),
    )
    named = [case for code in dict.fromkeys(codes) if (case := case_of(code)) is not None]
    cases = named[:SHEET_CASES]
    seed = f"sheet {' '.join(code_of(case.id) for case in cases)}"
    return Sheet(
        heading="Last-layer cases",
        lines=(*_club_line(actor), *_scramble_line(teaching, room)) if cases else (),
        note="",
        cases=tuple(_dealt(case, teaching, room, seed=f"{seed}: {case}") for case in cases),
        room=room,
    )


def _club_line(actor: User) -> tuple[str, ...]:
    """The clubs whose books a sheet is from; nothing for somebody in none."""
    clubs = ", ".join(club.name for club in clubs_of(actor=actor))
    return (clubs,) if clubs else ()


def _dealt(case: Case, teaching: Teaching, room: Room, *, seed: str) -> SheetCase:
    """A case as a sheet has it, with practice scrambles: the same for the same ``seed``."""
    maker, last = drill_maker(teaching.book), FACE_BY_COLOUR[teaching.colour]
    rng = Random(seed)  # noqa: S311 - dealt again alike, no secret
    drills = maker.drills((case,), room.n_scrambles, rng, last=last)
    return replace(sheet_case(case, teaching), scrambles=tuple(drill.scramble for drill in drills))


def _scramble_line(teaching: Teaching, room: Room) -> tuple[str, ...]:
    if not room.n_scrambles:
        return ()
    return (f"Scramble white up, green front; the last layer is {teaching.colour}.",)


def lesson_sheet(
    *, actor: User, lesson_id: int, is_for_coach: bool = False, room: Room = USUAL_ROOM
) -> Sheet:
    """The sheet of a lesson, by its club's book, with practice scrambles.

    The same lesson has the same scrambles, as long as its book is the same.

    Args:
        actor: Who prints it.
        lesson_id: The lesson.
        is_for_coach: Whether it is the coach's copy, with who needs each case.
        room: The room for practice of each case.

    Raises:
        NotFoundError: There is none, or the actor does not coach its club.
    """
    lesson = lesson_report(actor=actor, lesson_id=lesson_id)
    teaching = _of_club(actor, lesson.club.slug)
    cases = []
    for line in lesson.cases:
        case = CASES[CaseId.read(line.case.stage, line.case.number)]
        dealt = _dealt(case, teaching, room, seed=f"lesson {lesson_id} {line.case.code}")
        cases.append(replace(dealt, needed_by=line.needed_by if is_for_coach else ()))
    return Sheet(
        heading=f"{lesson.title}, coach's copy" if is_for_coach else lesson.title,
        lines=(
            f"{lesson.club.name}, {day_words(lesson.on)}",
            *_scramble_line(teaching, room),
        ),
        note=lesson.note,
        cases=tuple(cases),
        room=room,
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
    entries = teaching.book.algorithms(case.id) or default_book().algorithms(case.id)
    in_book = entries[0]
    algorithm = held_algorithm(in_book, teaching.holds.get(case.id))
    facts = algorithm_facts(algorithm.text, teaching.triggers)
    mirror = prove_algorithm(facts.mirror)
    is_own_mirror = mirror.case == case.id
    return SheetCase(
        case=case,
        angle=algorithm.angle,
        colour=teaching.colour,
        text=facts.text,
        read_out=read_out(facts.runs) if has_names(facts) else "",
        note=" ".join(
            text
            for text in (
                teaching.words.get(case.id, ""),
                teaching.notes.get((case.id, in_book.text), ""),
            )
            if text
        ),
        partner=None if is_own_mirror else Partner(CASES[mirror.case], mirror.angle, mirror.text),
    )


def _of_club(actor: User, slug: str) -> Teaching:
    read = club_book_get(actor=actor, slug=slug)
    return Teaching(
        read.book,
        read.triggers,
        read.notes,
        read.words,
        read.holds,
        usual_last_colour(actor=actor),
    )
