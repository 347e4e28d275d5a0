"""Scrambles that lead to a case and hold no algorithm of a book."""

from functools import lru_cache

from cubecore.algorithms import Algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES
from cubecore.drills import DrillMaker


def drill_maker(book: Book) -> DrillMaker:
    """What deals drills; none gives away an algorithm of ``book`` or of the standard one.

    The first drill of a process takes some seconds.
    """
    standard = default_book()
    algorithms = dict.fromkeys(a for case in CASES for a in standard.algorithms(case))
    algorithms |= dict.fromkeys(a for case in CASES for a in book.algorithms(case))
    return _maker(tuple(algorithms))


@lru_cache(maxsize=16)
def _maker(algorithms: tuple[Algorithm, ...]) -> DrillMaker:
    return DrillMaker(Book(algorithms))
