"""A club's book, changed: proved on entry, kept in order, never lost."""

import pytest
from django.core.exceptions import ValidationError

from cubecore.book import default_book
from cubecore.cases import CaseId, Stage
from cubecore.notation import parse_script
from logs.algorithms.models import BookAlgorithm
from logs.algorithms.selectors import (
    book_of_member,
    books_of_members,
    club_book_get,
    triggers_of_member,
)
from logs.algorithms.services import (
    algorithm_add,
    algorithm_move,
    algorithm_retire,
    trigger_add,
    trigger_remove,
)
from logs.errors import AlgorithmRefusedError, ConflictError, NotFoundError
from logs.people.models import Membership, Role
from tests.factories import CORNER_CYCLE, NOW, SUNE, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db

OLL_27 = CaseId(Stage.OLL, 27)


def texts(member: Membership, case: CaseId = OLL_27) -> list[str]:
    book = club_book_get(actor=member.user, slug=member.club.slug).book
    return [algorithm.text for algorithm in book.algorithms(case)]


def add(coach: Membership, text: str, case: CaseId = OLL_27, note: str = "") -> BookAlgorithm:
    return algorithm_add(
        actor=coach.user, slug=coach.club.slug, case=case, text=text, note=note, now=NOW
    )


def test_a_new_club_has_the_standard_book(coach):
    read = club_book_get(actor=coach.user, slug=coach.club.slug)
    assert read.is_standard
    assert read.book.version == default_book().version
    assert not BookAlgorithm.objects.exists()


def test_an_algorithm_is_added_behind_those_of_its_case_in_its_normal_spelling(coach):
    before = texts(coach)
    added = add(coach, f"({CORNER_CYCLE.replace(chr(39), chr(8217))})  ", note="  for lefties ")
    assert added.text == CORNER_CYCLE
    assert (added.place, added.note, added.added_by) == (len(before) + 1, "for lefties", coach.user)
    assert texts(coach) == [*before, added.text]


def test_the_first_change_copies_the_standard_book_and_changes_nothing_else(coach):
    add(coach, CORNER_CYCLE)
    read = club_book_get(actor=coach.user, slug=coach.club.slug)
    assert not read.is_standard
    assert read.book.version != default_book().version
    for case in (CaseId(Stage.OLL, 1), CaseId(Stage.PLL, "T")):
        assert read.book.algorithms(case) == default_book().algorithms(case)
    algorithm_retire(
        actor=coach.user, slug=coach.club.slug, case=OLL_27, text=CORNER_CYCLE, now=NOW
    )
    # A copy that nothing was changed in is the standard book, and so are labels made with it.
    back = club_book_get(actor=coach.user, slug=coach.club.slug)
    assert not back.is_standard
    assert back.book.version == default_book().version


@pytest.mark.parametrize(
    ("case", "text", "said"),
    [
        (OLL_27, "R U R' Q", "Q"),
        (OLL_27, "R U R'", "does not bring the first two layers back: from turn 1 on"),
        (OLL_27, "U2", "only turns the last layer"),
        (OLL_27, "R U2 R' U' R U' R'", "solves OLL 26 Antisune, not OLL 27 Sune: enter it there."),
        (
            CaseId(Stage.OLL, 33),
            "F R U R' U' F'",
            "it orients the edges alone and leaves two looks.",
        ),
        (CaseId(Stage.PLL, "Ga"), SUNE, "Done to PLL Ga in its hold it leaves OLL 26 Antisune."),
        (
            CaseId(Stage.PLL, "F"),
            "R U R' U' R' F R2 U' R' U' R U R' F'",
            "it permutes the corners alone and leaves two looks.",
        ),
        (
            OLL_27,
            "R U R' U R U R'",
            f"It follows {SUNE} for 5 turns; at turn 6 that has U2 and this has U.",
        ),
        (OLL_27, "R U R' U R U2", "for 6 turns; at turn 7 that has R' and this is at its end."),
        (OLL_27, "R U R' U' " * 11, "at most 40 turns"),
    ],
)
def test_what_does_not_solve_the_case_is_refused_with_what_it_does(coach, case, text, said):
    with pytest.raises(AlgorithmRefusedError) as refused:
        add(coach, text, case)
    assert said in refused.value.message
    assert not BookAlgorithm.objects.exists()


def test_another_spelling_of_the_same_turns_is_known(coach):
    with pytest.raises(ConflictError, match=f"has this algorithm already, spelled {SUNE}"):
        add(coach, "U y' F U F' U F U2 F' U'")
    with pytest.raises(ConflictError, match=r"already\."):
        add(coach, SUNE)


def test_a_case_has_so_many_algorithms_and_no_more(coach, monkeypatch):
    monkeypatch.setattr("logs.algorithms.services.MAX_ALGORITHMS", len(texts(coach)) + 1)
    add(coach, CORNER_CYCLE)
    with pytest.raises(ConflictError, match="at most"):
        add(coach, f"M2 U M2 U2 M2 U M2 {SUNE}")


def test_a_note_that_is_too_long_is_refused(coach):
    with pytest.raises(ValidationError, match="note"):
        add(coach, CORNER_CYCLE, note="x" * 301)


def test_one_taken_out_stays_on_record_and_may_come_back(coach):
    add(coach, CORNER_CYCLE)
    retired = algorithm_retire(
        actor=coach.user, slug=coach.club.slug, case=OLL_27, text=SUNE, now=NOW
    )
    assert texts(coach)[0] != SUNE
    assert BookAlgorithm.objects.get(pk=retired.pk).retired_at == NOW
    again = add(coach, SUNE)
    assert texts(coach)[-1] == SUNE
    assert again.place == len(texts(coach))


def test_the_last_of_a_case_cannot_be_taken_out(coach):
    for text in texts(coach)[1:]:
        algorithm_retire(actor=coach.user, slug=coach.club.slug, case=OLL_27, text=text, now=NOW)
    with pytest.raises(ConflictError, match="the only one for this case"):
        algorithm_retire(actor=coach.user, slug=coach.club.slug, case=OLL_27, text=SUNE, now=NOW)


def test_the_taught_one_is_the_one_moved_to_the_first_place(coach):
    add(coach, CORNER_CYCLE)
    before = texts(coach)
    algorithm_move(
        actor=coach.user, slug=coach.club.slug, case=OLL_27, text=CORNER_CYCLE, place=1, now=NOW
    )
    assert texts(coach) == [CORNER_CYCLE, *before[:-1]]
    assert list(
        BookAlgorithm.objects.filter(club=coach.club, stage="oll", case="27")
        .order_by("place")
        .values_list("place", flat=True)
    ) == list(range(1, len(before) + 1))
    with pytest.raises(ValidationError, match="places are 1 to"):
        algorithm_move(
            actor=coach.user, slug=coach.club.slug, case=OLL_27, text=CORNER_CYCLE, place=0, now=NOW
        )


def test_only_a_coach_changes_the_book_and_only_members_read_it(coach):
    member, outsider = make_membership(coach.club), make_membership(make_club(), role=Role.COACH)
    assert texts(member) == texts(coach)
    for other in (member, outsider):
        asked = {"actor": other.user, "slug": coach.club.slug}
        with pytest.raises(NotFoundError):
            algorithm_add(**asked, case=OLL_27, text=CORNER_CYCLE, now=NOW)
        with pytest.raises(NotFoundError):
            algorithm_retire(**asked, case=OLL_27, text=SUNE, now=NOW)
        with pytest.raises(NotFoundError):
            algorithm_move(**asked, case=OLL_27, text=SUNE, place=1, now=NOW)
        with pytest.raises(NotFoundError):
            trigger_add(**asked, name="dip", turns="R U R'")
    with pytest.raises(NotFoundError):
        club_book_get(actor=outsider.user, slug=coach.club.slug)


def test_what_is_not_in_the_book_is_refused_with_what_is(coach):
    known = ", or ".join(texts(coach))
    with pytest.raises(ConflictError) as refused:
        algorithm_retire(actor=coach.user, slug=coach.club.slug, case=OLL_27, text="R", now=NOW)
    assert refused.value.message == (
        f"The book has no such algorithm for this case. It has {known}."
    )
    with pytest.raises(NotFoundError):
        add(coach, SUNE, CaseId(Stage.OLL, 58))
    assert not BookAlgorithm.objects.exists()


def test_a_member_of_two_clubs_has_both_books(coach):
    other = make_membership(make_club(), role=Role.COACH)
    add(coach, CORNER_CYCLE)
    algorithm_retire(actor=other.user, slug=other.club.slug, case=OLL_27, text=SUNE, now=NOW)
    both = make_membership(coach.club)
    make_membership(other.club, both.user)
    cycle, sune = parse_script(CORNER_CYCLE).turns, parse_script(SUNE).turns
    book = book_of_member(member=both.user)
    assert book.find(cycle) is not None
    assert book.find(sune) is not None
    assert book_of_member(member=other.user).find(cycle) is None
    assert book_of_member(member=other.user).find(sune) is None


def test_somebody_in_no_club_has_the_standard_book(coach):
    alone = make_user()
    books = books_of_members(member_ids=[alone.pk, coach.user.pk])
    assert {book.version for book in books.values()} == {default_book().version}


def test_a_club_names_runs_of_turns_and_its_names_win(coach):
    asked = {"actor": coach.user, "slug": coach.club.slug}
    trigger_add(**asked, name=" the   dip ", turns="R' F R F'")
    trigger_add(**asked, name="Sune", turns="R U R' U")
    read = club_book_get(**asked)
    assert read.own_triggers == {"Sune": ("R", "U", "R'", "U"), "the dip": ("R'", "F", "R", "F'")}
    assert read.triggers["the dip"] == ("R'", "F", "R", "F'")
    assert "sledgehammer" not in read.triggers  # the same turns under the club's own name
    assert read.triggers["Sune"] == ("R", "U", "R'", "U")
    assert triggers_of_member(member=coach.user) == read.triggers
    trigger_remove(**asked, name="the dip")
    assert "sledgehammer" in club_book_get(**asked).triggers
    with pytest.raises(ConflictError, match="given no such name"):
        trigger_remove(**asked, name="the dip")


@pytest.mark.parametrize(
    ("name", "turns", "error", "said"),
    [
        ("dip", "R", AlgorithmRefusedError, "2 to 12 turns; this has 1"),
        ("dip", "R U " * 7, AlgorithmRefusedError, "this has 14"),
        ("dip", "R ?", AlgorithmRefusedError, r"\?"),
        ("", "R U R'", ValidationError, "name"),
        ("Known", "R U R'", ConflictError, "called Known already"),
        ("new", "F R F'", ConflictError, "These turns are called Known already"),
    ],
)
def test_a_name_that_cannot_be_is_refused(coach, name, turns, error, said):
    asked = {"actor": coach.user, "slug": coach.club.slug}
    trigger_add(**asked, name="Known", turns="F R F'")
    with pytest.raises(error, match=said):
        trigger_add(**asked, name=name, turns=turns)
