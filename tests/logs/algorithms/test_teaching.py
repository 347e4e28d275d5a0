"""A case is taught as a book has it."""

from cubecore.algorithms import prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, CaseId, Stage
from logs.algorithms.report import taught
from logs.templatetags.notebook import cue

SUNE_CASE = CASES[CaseId(Stage.OLL, 27)]


def test_the_first_algorithm_of_the_book_sets_hold_and_cue():
    # The standard book's second for this case starts from another hold.
    second = default_book().algorithms(SUNE_CASE.id)[1]
    shown = taught(SUNE_CASE, Book([second]))
    assert shown.algorithm == second.text
    assert second.angle != 0
    assert shown.angle == second.angle != taught(SUNE_CASE).angle
    assert cue(shown) != cue(taught(SUNE_CASE))


def test_a_book_without_the_case_leaves_the_standard_algorithm():
    other = prove_algorithm("R U R' U' R' F R F'")
    assert taught(SUNE_CASE, Book([other])) == taught(SUNE_CASE)
