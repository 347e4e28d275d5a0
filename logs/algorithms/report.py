"""An algorithm as a coach talks of it: read out in triggers, measured, mirrored, undone."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, Case, CaseId, Stage
from cubecore.cues import cue_of, cue_sentence, cue_stickers
from cubecore.descriptions import describe
from cubecore.pictures import case_picture
from logs.cases.facts import code_of

HOLD_PICTURE = 64


@dataclass(frozen=True, slots=True)
class CaseLink:
    """A case by name.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL.
        title: Stage, number and everyday name.
    """

    stage: str
    number: str
    title: str


@dataclass(frozen=True, slots=True)
class AlgorithmFacts:
    """What can be said of an algorithm.

    Attributes:
        text: Its normal spelling.
        said: It read out in triggers: ``Sune, then F, righty trigger, F'``.
        angle: The angle of its case that it starts from, drawn in ``picture``.
        htm: Face turns; also ``qtm`` quarter turns, ``stm`` with a slice as one, ``etm`` as written.
        mirror: It in a mirror that swaps left and right, and the case that solves.
        inverse_case: The case that undoing it solves.
        other_hand: The same turns for the other hand, from the layer's far side.
    """

    text: str
    said: str
    angle: int
    picture: str
    htm: int
    qtm: int
    stm: int
    etm: int
    n_wide: int
    n_slices: int
    n_grip_changes: int
    mirror: str
    mirror_case: CaseLink
    inverse_case: CaseLink
    other_hand: str


def algorithm_facts(text: str, triggers: Mapping[str, tuple[str, ...]]) -> AlgorithmFacts:
    """The facts of a proved algorithm.

    Raises:
        CubeError: ``text`` is no algorithm.
    """
    return _facts(text, tuple(triggers.items()))


@lru_cache(maxsize=4_000)
def _facts(text: str, triggers: tuple[tuple[str, tuple[str, ...]], ...]) -> AlgorithmFacts:
    proved = prove_algorithm(text)
    said = describe(text, dict(triggers))
    case = CASES[proved.case]
    assert said.inverse_case is not None  # what is proved can be undone
    return AlgorithmFacts(
        text=proved.text,
        said=said_in_triggers(said.read_out, {name for name, _ in triggers}),
        angle=proved.angle,
        picture=case_picture(
            case, size=HOLD_PICTURE, angle=proved.angle, text=f"{case}, the hold it starts from"
        ),
        htm=said.metrics.htm,
        qtm=said.metrics.qtm,
        stm=said.metrics.stm,
        etm=said.metrics.etm,
        n_wide=said.n_wide,
        n_slices=said.n_slices,
        n_grip_changes=said.n_grip_changes,
        mirror=said.mirror,
        mirror_case=link_to(said.mirror_case),
        inverse_case=link_to(said.inverse_case),
        other_hand=said.other_hand,
    )


def link_to(case: CaseId) -> CaseLink:
    """The case by address and name."""
    return CaseLink(case.stage.value, str(case.number), str(CASES[case]))


def said_in_triggers(parts: tuple[str, ...], names: set[str]) -> str:
    """Triggers and the turns between them as they are said: ``Sune, then F, righty trigger, F'``.

    Turns in a row that have no name stand together.
    """
    groups: list[list[str]] = []
    was_name = True
    for part in parts:
        is_name = part in names
        if is_name or was_name:
            groups.append([])
        groups[-1].append(part)
        was_name = is_name
    words = [" ".join(group) for group in groups]
    if len(words) < 2:
        return "".join(words)
    return f"{words[0]}, then {', '.join(words[1:])}"


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
