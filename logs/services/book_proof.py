"""What an algorithm that is entered for a case does: it solves it, or this is what it does instead.

Nothing here touches the database.
"""

from itertools import takewhile

from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, SKIP, Case, CaseId, EdgeStep, PermutationStep, Stage, label
from cubecore.cube import SOLVED, after_turns
from cubecore.errors import AlgorithmError, NotationError
from cubecore.notation import parse_script, parse_tokens
from cubecore.turns import Face, inverse, make_turn
from logs.errors import AlgorithmRefusedError

MAX_TURNS = 40
"""Written turns of an algorithm; the longest in common use have some twenty."""


def entry_prove(text: str, case: CaseId, book: Book) -> Algorithm:
    """The algorithm ``text``, proved to solve ``case``.

    Args:
        text: As a coach types it.
        case: What it is entered for.
        book: The club's, to say where ``text`` leaves a known algorithm.

    Raises:
        AlgorithmRefusedError: It is no notation, or does something else; the message says what,
            and where it first differs from the algorithm most like it.
    """
    try:
        if len(parse_tokens(text)) > MAX_TURNS:
            raise AlgorithmRefusedError(
                f"An algorithm has at most {MAX_TURNS} turns, rotations among them."
            )
        return prove_algorithm(text, case)
    except NotationError as error:
        raise AlgorithmRefusedError(error.message) from error
    except AlgorithmError as error:
        said = [error.message]
        if error.code == "other_case":
            said.append(_what_it_leaves(text, CASES[case]))
        said.append(_first_difference(text, case, book))
        raise AlgorithmRefusedError(" ".join(part for part in said if part)) from error


def _what_it_leaves(text: str, case: Case) -> str:
    """What ``text`` leaves of ``case``, from the hold in which it does most for it."""
    turns = parse_script(text).turns
    position = after_turns(SOLVED, inverse(parse_script(case.algorithms[0]).turns))
    aufs = [b"", *(bytes([make_turn(Face.U, quarter_turns)]) for quarter_turns in (1, 2, 3))]
    left = [label(after_turns(position, auf + turns)) for auf in aufs]
    if case.id.stage is Stage.OLL:
        before = label(position).edge_step
        halved = [one for one in left if one.edge_step is EdgeStep.ORIENTED]
        if halved and before is not EdgeStep.ORIENTED:
            return f"Done to {case.id} it orients the edges alone and leaves two looks."
        return f"Done to {case.id} in its hold it leaves {_name(Stage.OLL, left[0].oll)}."
    halved = [
        one for one in left if one.oll == SKIP and one.permutation_step is PermutationStep.NONE
    ]
    if halved and label(position).permutation_step is not PermutationStep.NONE:
        return f"Done to {case.id} it permutes the corners alone and leaves two looks."
    after = left[0]
    if after.oll != SKIP:
        return f"Done to {case.id} in its hold it leaves {_name(Stage.OLL, after.oll)}."
    assert after.pll is not None
    return f"Done to {case.id} in its hold it leaves {_name(Stage.PLL, after.pll)}."


def _name(stage: Stage, number: int | str) -> str:
    return f"an {stage.upper()} skip" if number == SKIP else str(CASES[CaseId(stage, number)])


def _first_difference(text: str, case: CaseId, book: Book) -> str:
    """Where ``text`` leaves the algorithm for ``case`` that it follows longest; else empty."""
    given = [token.text for token in parse_tokens(text)]
    best, n_same = "", 1
    for algorithm in (*book.algorithms(case), *default_book().algorithms(case)):
        known = algorithm.text.split()
        pairs = zip(given, known, strict=False)
        same = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))
        if same > n_same:
            best, n_same = algorithm.text, same
    if not best:
        return ""
    known = best.split()
    there = f"has {known[n_same]}" if n_same < len(known) else "is at its end"
    here = f"has {given[n_same]}" if n_same < len(given) else "is at its end"
    return (
        f"It follows {best} for {n_same} turns; at turn {n_same + 1} that {there} and this {here}."
    )
