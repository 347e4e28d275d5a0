"""A case as it is taught: its picture in the hold, what to look at, the book's algorithm."""

from dataclasses import dataclass
from functools import cache, lru_cache

from cubecore.algorithms import Algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Case, Stage
from cubecore.cues import cue_of, cue_sentence, cue_stickers
from cubecore.pictures import case_picture
from logs.reports.case_facts import code_of

PICTURE = 120
SMALL_PICTURE = 56


@dataclass(frozen=True, slots=True)
class TaughtCase:
    """A case in the hold that the book's first algorithm starts from."""

    code: str
    stage: str
    number: str
    title: str
    label: str
    name: str
    family: str
    once_in: int
    picture: str
    small_picture: str
    look_at: str
    algorithm: str


def taught(case: Case, book: Book | None = None) -> TaughtCase:
    """The case as ``book`` teaches it; as the standard book does when None, or where it has none."""
    known = book.algorithms(case.id) if book is not None else ()
    algorithm = (known or default_book().algorithms(case.id))[0]
    return _made(case, algorithm)


@lru_cache(maxsize=1_000)
def _made(case: Case, algorithm: Algorithm) -> TaughtCase:
    said = cue_sentence(case, algorithm.angle)
    marks = cue_stickers(cue_of(case, algorithm.angle))
    return TaughtCase(
        code=code_of(case.id),
        stage=case.id.stage.value,
        number=str(case.id.number),
        title=str(case),
        label=str(case.id),
        name=case.name,
        family=case.family,
        once_in=case.id.stage.chances_in // case.chance,
        picture=case_picture(
            case, size=PICTURE, angle=algorithm.angle, text=f"{case}: {said}", marks=marks
        ),
        small_picture=case_picture(case, size=SMALL_PICTURE, angle=algorithm.angle),
        look_at=said,
        algorithm=algorithm.text,
    )


@cache
def families() -> tuple[tuple[str, tuple[TaughtCase, ...]], ...]:
    """All cases, by stage and family, as a coach picks them."""
    groups: dict[str, list[TaughtCase]] = {}
    for stage in Stage:
        for case in CASES.values():
            if case.id.stage is stage:
                groups.setdefault(f"{stage.upper()}, {case.family}", []).append(taught(case))
    return tuple((name, tuple(cases)) for name, cases in groups.items())
