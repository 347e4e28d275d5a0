"""A club's algorithm book: what is taught for each case, an algorithm tried out, what members do."""

from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from cubecore.algorithms import prove_algorithm
from cubecore.book import Book
from cubecore.cases import CASES, Case, Stage
from cubecore.errors import CubeError
from cubecore.notation import parse_script
from logs.algorithms.figures import CoachHold, held_algorithm, is_fitting
from logs.algorithms.report import AlgorithmFacts, Run, algorithm_facts, taught
from logs.algorithms.selectors import ClubBook, club_book_get
from logs.book.figures import AlgorithmUse, algorithm_use
from logs.book.selectors import algorithm_use_frame
from logs.cases.report import CaseAngle, CaseName, HeldCase, angles_of, held_case, name_of
from logs.errors import NotFoundError
from logs.jobs.report import JobReport, report_of
from logs.jobs.selectors import relabelling_of_club
from logs.people.sight import ClubView, club_sight
from logs.solves.selectors.solves import is_relabelled, usual_last_colour
from logs.stats import Range
from logs.stats.distributions import MedianBand
from logs.words import find_case

TRIED_TEXT = 500
"""Letters of a text that is tried out; more is cut off before it is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookLine:
    """A case in the book.

    Attributes:
        case: The case.
        angle: Angle of the hold that the case is taught in.
        text: The algorithm that is taught, from that hold; empty where the book has none.
        runs: It read out: triggers by name, and the turns between them.
        n_others: Further algorithms of the case.
    """

    case: CaseName
    angle: int
    text: str
    runs: tuple[Run, ...]
    n_others: int


@dataclass(frozen=True, slots=True)
class Family:
    """The cases of one family in the book.

    Attributes:
        stage: ``oll`` or ``pll``.
        name: Name of the family.
        lines: Its cases, in the order of the tables.
    """

    stage: Stage
    name: str
    lines: tuple[BookLine, ...]


@dataclass(frozen=True, slots=True)
class TriedAlgorithm:
    """What an algorithm that was tried out does.

    Attributes:
        text: The text that was tried.
        refusal: Why it is no algorithm; empty for one that is.
        facts: What can be told of it; null for a text that is none.
        is_in_book: Whether the book has it.
    """

    text: str
    refusal: str
    facts: AlgorithmFacts | None
    is_in_book: bool


@dataclass(frozen=True, slots=True)
class Trigger:
    """A named run of turns.

    Attributes:
        name: Its name.
        turns: Its turns.
        is_own: Whether the club gave the name.
    """

    name: str
    turns: str
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BookReport:
    """A club's book.

    Attributes:
        view: The club as the reader sees it.
        is_standard: Whether it is the standard book, never changed.
        families: All cases by family.
        n_algorithms: Algorithms in the book.
        triggers: Named runs of turns, the club's own first.
        tried: What the algorithm that was tried out does; null where none was.
        is_behind: Whether labels wait to be made anew; told to coaches alone.
        job: How far that is; null where nobody has begun.
    """

    view: ClubView
    is_standard: bool
    families: tuple[Family, ...]
    n_algorithms: int
    triggers: tuple[Trigger, ...]
    tried: TriedAlgorithm | None
    is_behind: bool
    job: JobReport | None


@dataclass(frozen=True, slots=True, kw_only=True)
class UseLine:
    """How an algorithm is used by the members whose logs are open to the reader.

    Attributes:
        text: Turns as they are made.
        angle: Angle of the hold that they start from; null where they are no algorithm alone.
        n_quarter_turns_away: Quarter turns of the layer from there to the taught hold; null as
            ``angle``.
        is_in_book: Whether the book has it.
        n: Times it was used in one look.
        n_members: Members who used it.
        n_timed: Uses that were timed.
        recognition_ms: Median over members of the median of each, ms; null without times.
        recognition_range: Where that median lies, ms; null with too few.
        execution_ms: As ``recognition_ms``, of execution.
        execution_range: As ``recognition_range``, of execution.
    """

    text: str
    angle: int | None
    n_quarter_turns_away: int | None
    is_in_book: bool
    n: int
    n_members: int
    n_timed: int
    recognition_ms: float | None
    recognition_range: Range | None
    execution_ms: float | None
    execution_range: Range | None


@dataclass(frozen=True, slots=True)
class BookEntry:
    """An algorithm of the book.

    Attributes:
        facts: What can be told of it.
        note: The coach's words on it; empty where there are none.
        place: Its place among those of the case, from 1; the first is taught.
        is_last: Whether it is the last of the case.
    """

    facts: AlgorithmFacts
    note: str
    place: int
    is_last: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BookCaseReport:
    """A case in a club's book.

    Attributes:
        view: The club as the reader sees it.
        case: The case.
        held: The case in its hold.
        words: What the coach says of it; empty without.
        hold: The hold the coach teaches; null where it is the taught algorithm's own.
        is_hold_fitting: Whether the taught algorithm solves the case from the coach's hold; a hold
            that it does not fit any more is left aside.
        angles: All its angles, the taught algorithm's own hold first.
        entries: The book's algorithms, the taught one first.
        uses: What members use, the most used first.
        n_used: Times it was done in one look.
        membership_ids: Of those whose times can be told from a line that is of one or two members.
    """

    view: ClubView
    case: CaseName
    held: HeldCase
    words: str
    hold: CoachHold | None
    is_hold_fitting: bool
    angles: tuple[CaseAngle, ...]
    entries: tuple[BookEntry, ...]
    uses: tuple[UseLine, ...]
    n_used: int
    membership_ids: tuple[int, ...]


FEW = 2
"""Of the median of two members, one of the two can tell the other's."""


def book_report(*, actor: User, slug: str, now: datetime, tried: str = "") -> BookReport:
    """The book of a club that the actor is in, and what the algorithm ``tried`` does.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
    """
    view = club_sight(actor=actor, slug=slug)
    club_book = club_book_get(actor=actor, slug=slug)
    is_behind = view.is_coach and not is_relabelled(actor=actor, club=view.club_row)
    job = relabelling_of_club(actor=actor, club=view.club_row) if is_behind else None
    return BookReport(
        view=view,
        is_standard=club_book.is_standard,
        families=_families(club_book),
        n_algorithms=sum(len(club_book.book.algorithms(case)) for case in CASES),
        triggers=_triggers(club_book),
        tried=_try(club_book, tried.strip()[:TRIED_TEXT]),
        is_behind=is_behind,
        job=None if job is None else report_of(job, now),
    )


def book_case_report(*, actor: User, slug: str, stage: str, number: str) -> BookCaseReport:
    """A case in the book of a club that the actor is in.

    Raises:
        NotFoundError: There is no such club or case, or the actor is not in the club.
    """
    view = club_sight(actor=actor, slug=slug)
    case = find_case(stage, number)
    if case is None:
        raise NotFoundError("case")
    club_book = club_book_get(actor=actor, slug=slug)
    algorithms = club_book.book.algorithms(case.id)
    uses = algorithm_use(algorithm_use_frame(actor=actor, club=view.club_row, case=case.id))
    own_hold = algorithms[0].angle if algorithms else 0
    said = club_book.holds.get(case.id)
    hold = taught(case, club_book.book, club_book.holds).angle
    return BookCaseReport(
        view=view,
        case=name_of(case.id),
        held=held_case(case, angle=hold, colour=usual_last_colour(actor=actor)),
        words=club_book.words.get(case.id, ""),
        hold=said,
        is_hold_fitting=said is None or (bool(algorithms) and is_fitting(algorithms[0], said)),
        angles=angles_of(case, hold=own_hold),
        entries=tuple(
            BookEntry(
                facts=algorithm_facts(algorithm.text, club_book.triggers),
                note=club_book.notes.get((case.id, algorithm.text), ""),
                place=place,
                is_last=place == len(algorithms),
            )
            for place, algorithm in enumerate(algorithms, start=1)
        ),
        uses=tuple(_use_line(case, use, club_book, hold) for use in uses),
        n_used=sum(use.n for use in uses),
        membership_ids=tuple(
            member.membership_id
            for member in view.members
            if any(
                member.user_id in use.timed_members and len(use.timed_members) <= FEW
                for use in uses
            )
        ),
    )


def _families(club_book: ClubBook) -> tuple[Family, ...]:
    groups: dict[tuple[Stage, str], list[BookLine]] = {}
    for case in CASES.values():
        groups.setdefault((case.id.stage, case.family), []).append(_line(club_book, case))
    return tuple(Family(stage, name, tuple(lines)) for (stage, name), lines in groups.items())


def _line(club_book: ClubBook, case: Case) -> BookLine:
    algorithms = club_book.book.algorithms(case.id)
    first = held_algorithm(algorithms[0], club_book.holds.get(case.id)) if algorithms else None
    return BookLine(
        case=name_of(case.id),
        angle=first.angle if first else 0,
        text=first.text if first else "",
        runs=algorithm_facts(first.text, club_book.triggers).runs if first else (),
        n_others=max(0, len(algorithms) - 1),
    )


def _triggers(club_book: ClubBook) -> tuple[Trigger, ...]:
    """The club's own names first, then everybody's."""
    by_owner = sorted(
        club_book.triggers.items(), key=lambda item: (item[0] not in club_book.own_triggers, item)
    )
    return tuple(
        Trigger(name, " ".join(turns), name in club_book.own_triggers) for name, turns in by_owner
    )


def _try(club_book: ClubBook, text: str) -> TriedAlgorithm | None:
    if not text:
        return None
    try:
        proved = prove_algorithm(text)
    except CubeError as error:
        return TriedAlgorithm(text, error.message, None, is_in_book=False)
    facts = algorithm_facts(proved.text, club_book.triggers)
    return TriedAlgorithm(text, "", facts, club_book.book.find(proved.turns) is not None)


def _use_line(case: Case, use: AlgorithmUse, club_book: ClubBook, hold: int) -> UseLine:
    angle = _angle(use.algorithm)
    return UseLine(
        text=use.algorithm,
        angle=angle,
        n_quarter_turns_away=None if angle is None else (angle - hold) % case.n_angles,
        is_in_book=_is_in_book(use.algorithm, club_book.book),
        n=use.n,
        n_members=use.n_members,
        n_timed=use.n_timed,
        recognition_ms=use.recognition.median,
        recognition_range=_range_ms(use.recognition),
        execution_ms=use.execution.median,
        execution_range=_range_ms(use.execution),
    )


def _range_ms(band: MedianBand) -> Range | None:
    if band.low is None or band.high is None:
        return None
    return Range(low=band.low, high=band.high, level=band.held)


def _angle(text: str) -> int | None:
    """The angle that an algorithm starts from, or None where it is no algorithm by itself.

    A look that an AUF parts may not solve the case as its turns stand.
    """
    try:
        return prove_algorithm(text).angle
    except CubeError:
        return None


def _is_in_book(text: str, book: Book) -> bool:
    return book.find(parse_script(text).turns) is not None
