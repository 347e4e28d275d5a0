"""One case of a club's book: its algorithms described, and how members really do it."""

from dataclasses import dataclass

from clubsite.accounts.models import User
from cubecore.algorithms import prove_algorithm
from cubecore.book import Book
from cubecore.cases import Case
from cubecore.errors import CubeError
from cubecore.notation import parse_script
from cubecore.pictures import case_picture
from logs.algorithms.report import HOLD_PICTURE, AlgorithmFacts, CaseLink, algorithm_facts, link_to
from logs.algorithms.selectors import ClubBook, club_book_get
from logs.book.figures import AlgorithmUse, algorithm_use
from logs.book.selectors import algorithm_use_frame
from logs.cases.held import HeldCase, held_case
from logs.errors import NotFoundError
from logs.people.report.members import ClubView, club_view
from logs.solves.selectors.solves import usual_last_colour
from logs.words import average, band, find_case


@dataclass(frozen=True, slots=True)
class UseLine:
    """How an algorithm is used by the members whose logs are open to the reader.

    Times are medians over members, each by their own median, with the range of those.
    """

    text: str
    hold: str
    hold_words: str
    is_in_book: bool
    n: int
    n_members: int
    n_timed: int
    recognition: str
    recognition_band: str
    execution: str
    execution_band: str


@dataclass(frozen=True, slots=True)
class BookEntry:
    """An algorithm of the book in its place, from 1."""

    facts: AlgorithmFacts
    note: str
    place: int
    is_last: bool


@dataclass(frozen=True, slots=True)
class BookCaseReport:
    """The page of a case in a club's book; ``n_used`` times it was done in one look."""

    view: ClubView
    link: CaseLink
    held: HeldCase
    entries: tuple[BookEntry, ...]
    uses: tuple[UseLine, ...]
    n_used: int


def book_case_report(*, actor: User, slug: str, stage: str, number: str) -> BookCaseReport:
    """A case in the book of a club that the actor is in.

    Raises:
        NotFoundError: There is no such club or case, or the actor is not in the club.
    """
    view = club_view(actor=actor, slug=slug)
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    read = club_book_get(actor=actor, slug=slug)
    known = read.book.algorithms(case.id)
    uses = algorithm_use(algorithm_use_frame(actor=actor, club=view.club_row, case=case.id))
    hold = known[0].angle if known else 0
    return BookCaseReport(
        view=view,
        link=link_to(case.id),
        held=held_case(case, angle=hold, colour=usual_last_colour(actor=actor)),
        entries=tuple(
            BookEntry(
                facts=algorithm_facts(algorithm.text, read.triggers),
                note=read.notes.get((case.id, algorithm.text), ""),
                place=place,
                is_last=place == len(known),
            )
            for place, algorithm in enumerate(known, start=1)
        ),
        uses=tuple(_use_line(case, use, read, hold) for use in uses),
        n_used=sum(use.n for use in uses),
    )


def _use_line(case: Case, use: AlgorithmUse, read: ClubBook, hold: int) -> UseLine:
    angle = _angle(use.algorithm)
    return UseLine(
        text=use.algorithm,
        hold=""
        if angle is None
        else case_picture(
            case, size=HOLD_PICTURE, angle=angle, text=f"{case}, the hold it starts from"
        ),
        hold_words=_hold_words(angle, hold, case.n_angles),
        is_in_book=_is_in_book(use.algorithm, read.book),
        n=use.n,
        n_members=use.n_members,
        n_timed=use.n_timed,
        recognition=average(use.recognition.median),
        recognition_band=band(use.recognition.low, use.recognition.high),
        execution=average(use.execution.median),
        execution_band=band(use.execution.low, use.execution.high),
    )


def _angle(text: str) -> int | None:
    """The angle that an algorithm starts from, or None where it is no algorithm by itself.

    A look that an AUF parts may not solve the case as its turns stand.
    """
    try:
        return prove_algorithm(text).angle
    except CubeError:
        return None


def _hold_words(angle: int | None, hold: int, n_angles: int) -> str:
    if angle is None:
        return "not told"
    return {
        0: "the taught hold",
        1: "U away from the taught hold",
        2: "U2 away from the taught hold",
        3: "U' away from the taught hold",
    }[(angle - hold) % n_angles]


def _is_in_book(text: str, book: Book) -> bool:
    return book.find(parse_script(text).turns) is not None
