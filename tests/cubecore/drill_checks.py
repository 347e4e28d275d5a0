"""Checks of drills by the twin, which shares nothing with the engine, and by scipy's statistics."""

from collections import Counter
from collections.abc import Sequence

from scipy.stats import chisquare

from cubecore.book import default_book
from cubecore.cases import CASES, Case, Stage
from cubecore.drills import Drill
from cubecore.notation import format_turns
from tests.cubecore import twin

# How many of the 62,208 last layers, as they lie, show a case: its chance, with 288 permutations
# to an orientation and 4 AUFs to a permutation (counted, not published).
PERMUTATIONS, AUFS = 288, 4
LEAST_P = 0.01
_RECOGNISER = twin.Recogniser(
    {(case.id.stage.value, str(case.id.number)): case.algorithms[0] for case in CASES.values()}
)
_OPPOSITE = dict(zip("URFDLB", "DLBURF", strict=True))


def shown_by(drill: Drill) -> str:
    """The colours after the scramble, held with the yellow last layer up, named by their faces."""
    return twin.renamed(twin.after(twin.SOLVED, drill.scramble + " z2"))


def check_case(drill: Drill, case: Case) -> tuple[str, int]:
    """Hold one drill to what it says; the last layer and the angle that the twin finds."""
    colours = shown_by(drill)
    assert twin.is_f2l_home(colours), drill
    if case.id.stage is Stage.PLL:
        assert twin.is_oriented(colours), drill
    found = _RECOGNISER.case(case.id.stage.value, colours)
    assert found == (str(case.id.number), drill.angle), drill
    assert drill.htm == len(drill.scramble.split()), drill
    return colours, found.angle


def check_uniform(seen: Sequence[tuple[str, int]], case: Case) -> tuple[float, float]:
    """Hold angles and last layers to be equally likely; both p-values."""
    rest = PERMUTATIONS if case.id.stage is Stage.OLL else AUFS
    n_layers = case.chance * rest
    layers = Counter(colours for colours, _ in seen)
    angles = Counter(angle for _, angle in seen)
    assert len(layers) <= n_layers
    missing = [0] * (n_layers - len(layers))
    p_layer = chisquare([*layers.values(), *missing]).pvalue
    p_angle = (
        chisquare([angles[n] for n in range(case.n_angles)]).pvalue if case.n_angles > 1 else 1
    )
    assert p_layer > LEAST_P
    assert p_angle > LEAST_P
    return float(p_angle), float(p_layer)


def _ring(words: list[str]) -> list[str]:
    """The words as a ring: what meets at the ends is added up, and opposite faces are in order."""
    ring = [(word[0], {"": 1, "2": 2, "'": 3}[word[1:]]) for word in words]
    while len(ring) > 1:
        face, amount = ring[-1]
        if ring[0][0] == face:
            at = 0
        elif len(ring) > 2 and ring[0][0] == _OPPOSITE[face] and ring[1][0] == face:
            at = 1
        else:
            break
        total = (ring[at][1] + amount) % 4
        ring.pop()
        ring[at : at + 1] = [(face, total)] if total else []
    for i in range(len(ring)):
        one, other = ring[i - 1], ring[i]
        if other[0] == _OPPOSITE[one[0]] and other[0] < one[0]:
            ring[i - 1], ring[i] = other, one
    return [face + str(amount) for face, amount in ring]


def _spun(words: list[str], n: int) -> list[str]:
    """The words as they are named after the cube turned ``n`` quarter turns about U."""
    around = "FRBL"
    return [
        (around[(around.index(w[0]) + n) % 4] if w[0] in around else w[0]) + w[1:] for w in words
    ]


def book_rings() -> set[tuple[str, ...]]:
    """Every algorithm of the standard book, both ways, from each side, begun at each turn."""
    rings = set()
    for case in CASES.values():
        for algorithm in default_book().algorithms(case.id):
            text = format_turns(algorithm.normal.form)
            for words in (text.split(), twin.inverse(text).split()):
                for n in range(4):
                    ring = _ring(_spun(words, n))
                    rings |= {(*ring[i:], *ring[:i]) for i in range(len(ring))}
    return rings


def is_copy(drill: Drill, rings: set[tuple[str, ...]]) -> bool:
    """Whether the scramble is an algorithm of the book, AUF aside, however begun or turned round."""
    # Held with yellow up (z2) the turns of U and D, and of R and L, change their names.
    named = str.maketrans("UDRL", "DULR")
    words = [word.translate(named) for word in drill.scramble.split()]
    bare = list(words)
    for end in (0, -1):
        if bare[end][0] == "U":
            bare.pop(end)
    aufs: tuple[list[str], ...] = ([], ["U"], ["U2"], ["U'"])
    tried = [words, *(bare + auf for auf in aufs)]
    return any(tuple(_ring(one)) in rings for one in tried)
