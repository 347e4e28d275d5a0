"""A club's algorithm book: all cases with what is taught, and an algorithm tried out."""

from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from cubecore.algorithms import prove_algorithm
from cubecore.cases import CASES, Case, Stage
from cubecore.errors import CubeError
from cubecore.pictures import case_picture
from logs.algorithms.report import AlgorithmFacts, CaseLink, algorithm_facts, link_to
from logs.algorithms.selectors import ClubBook, club_book_get
from logs.jobs.report import JobReport, report_of
from logs.jobs.selectors import relabelling_of_club
from logs.people.report.members import ClubView, club_view
from logs.solves.selectors.solves import is_relabelled

SMALL = 64


TRIED_TEXT = 500
"""Letters of a text that is tried out; more is cut off before it is read."""


@dataclass(frozen=True, slots=True)
class BookLine:
    """A case in the book: its picture in the hold, what is taught for it, how many others."""

    link: CaseLink
    picture: str
    text: str
    said: str
    n_others: int


@dataclass(frozen=True, slots=True)
class Family:
    """The cases of one family."""

    stage: str
    name: str
    lines: tuple[BookLine, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """What an algorithm that was tried out does: ``refusal``, or all that can be said of it."""

    text: str
    refusal: str = ""
    case: CaseLink | None = None
    facts: AlgorithmFacts | None = None
    is_in_book: bool = False


@dataclass(frozen=True, slots=True)
class Trigger:
    """A named run of turns; ``is_own`` where the club gave the name."""

    name: str
    turns: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class BookReport:
    """The page of a club's book.

    For a coach ``is_behind`` tells whether labels wait to be made anew, and ``job`` how far that is;
    None where nobody has begun.
    """

    view: ClubView
    is_standard: bool
    families: tuple[Family, ...]
    n_algorithms: int
    triggers: tuple[Trigger, ...]
    tried: Tried | None
    is_behind: bool
    job: JobReport | None


def book_report(*, actor: User, slug: str, now: datetime, tried: str = "") -> BookReport:
    """The book of a club that the actor is in, and what the algorithm ``tried`` does.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
    """
    view = club_view(actor=actor, slug=slug)
    read = club_book_get(actor=actor, slug=slug)
    is_behind = view.is_coach and not is_relabelled(actor=actor, club=view.club_row)
    job = relabelling_of_club(actor=actor, club=view.club_row) if is_behind else None
    return BookReport(
        view=view,
        is_standard=read.is_standard,
        families=_families(read),
        n_algorithms=sum(len(read.book.algorithms(case)) for case in CASES),
        triggers=tuple(
            Trigger(name, " ".join(turns), name in read.own_triggers)
            for name, turns in sorted(
                read.triggers.items(), key=lambda one: (one[0] not in read.own_triggers, one[0])
            )
        ),
        tried=_try(read, tried.strip()[:TRIED_TEXT]),
        is_behind=is_behind,
        job=None if job is None else report_of(job, now),
    )


def _families(read: ClubBook) -> tuple[Family, ...]:
    groups: dict[tuple[Stage, str], list[BookLine]] = {}
    for case in CASES.values():
        groups.setdefault((case.id.stage, case.family), []).append(_line(read, case))
    return tuple(Family(stage.value, name, tuple(lines)) for (stage, name), lines in groups.items())


def _line(read: ClubBook, case: Case) -> BookLine:
    known = read.book.algorithms(case.id)
    first = known[0] if known else None
    return BookLine(
        link=link_to(case.id),
        picture=case_picture(case, size=SMALL, angle=first.angle if first else 0),
        text=first.text if first else "",
        said=algorithm_facts(first.text, read.triggers).said if first else "",
        n_others=max(0, len(known) - 1),
    )


def _try(read: ClubBook, text: str) -> Tried | None:
    if not text:
        return None
    try:
        proved = prove_algorithm(text)
    except CubeError as error:
        return Tried(text, refusal=error.message)
    return Tried(
        text,
        case=link_to(proved.case),
        facts=algorithm_facts(proved.text, read.triggers),
        is_in_book=read.book.find(proved.turns) is not None,
    )
