"""What an algorithm that is entered for a case does: it solves it, or this is what it does instead.

Nothing here touches the database.
"""

from datetime import datetime
from itertools import takewhile

from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from cubecore.algorithms import Algorithm, prove_algorithm
from cubecore.book import Book, default_book
from cubecore.cases import CASES, SKIP, Case, CaseId, EdgeStep, PermutationStep, Stage, label
from cubecore.cube import SOLVED, after_turns
from cubecore.errors import AlgorithmError, NotationError
from cubecore.notation import format_tokens, parse_script, parse_tokens
from cubecore.turns import Face, inverse, joined, layer_turn
from logs.algorithms.figures import BEFORE, CoachHold, is_fitting, left_from, turn_from
from logs.algorithms.models import BookAlgorithm, CaseWords, TriggerName
from logs.algorithms.selectors import club_book_get
from logs.errors import AlgorithmRefusedError, ConflictError, NotFoundError
from logs.people.locks import lock_club
from logs.people.models import Club
from logs.people.sight import coached_club_get

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
    aufs = [layer_turn(Face.U, quarter_turns) for quarter_turns in range(4)]
    left = [label(after_turns(position, joined(auf, turns))) for auf in aufs]
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


MAX_ALGORITHMS = 12
"""Algorithms of one case in one book."""


MAX_TRIGGERS = 60
"""Names that a club gives."""


TRIGGER_TURNS = (2, 12)
"""The fewest and the most turns that may have a name."""


@transaction.atomic
def algorithm_add(
    *, actor: User, slug: str, case: CaseId, text: str, note: str = "", now: datetime
) -> BookAlgorithm:
    """Add an algorithm to the book of a club that ``actor`` coaches, behind those of its case.

    Raises:
        NotFoundError: The club is not theirs to coach, or there is no such case.
        AlgorithmRefusedError: It does not solve the case; the message says what it does.
        ConflictError: The book has it already, if spelled otherwise, or has as many as it can.
        ValidationError: The note is too long.
    """
    club = _locked_club(actor, slug, case)
    book = club_book_get(actor=actor, slug=slug).book
    proved = entry_prove(text, case, book)
    known = book.find(proved.turns)
    if known is not None:
        spelled = "" if known.text == proved.text else f", spelled {known.text}"
        raise ConflictError(f"The book has this algorithm already{spelled}.")
    if len(book.algorithms(case)) >= MAX_ALGORITHMS:
        raise ConflictError(f"A case has at most {MAX_ALGORITHMS} algorithms: take one out first.")
    _write_out(club, now)
    added = BookAlgorithm(
        club=club,
        stage=case.stage.value,
        case=str(case.number),
        text=proved.text,
        place=len(book.algorithms(case)) + 1,
        note=note.strip(),
        added_by=actor,
        added_at=now,
    )
    added.full_clean(exclude=["added_by", "retired_at"])
    added.save()
    return added


@transaction.atomic
def algorithm_retire(
    *, actor: User, slug: str, case: CaseId, text: str, now: datetime
) -> BookAlgorithm:
    """Take an algorithm out of the book; it stays on record.

    Raises:
        NotFoundError: The club is not the actor's to coach, or there is no such case.
        ConflictError: It is the last one of its case, or the book has no such algorithm.
    """
    club = _locked_club(actor, slug, case)
    _write_out(club, now)
    rows = _rows(club, case)
    retired = _named(rows, text)
    if len(rows) == 1:
        raise ConflictError("It is the only one for this case: add another before taking it out.")
    retired.retired_at = now
    retired.save(update_fields=["retired_at"])
    _number([row for row in rows if row is not retired])
    return retired


@transaction.atomic
def algorithm_move(
    *, actor: User, slug: str, case: CaseId, text: str, place: int, now: datetime
) -> BookAlgorithm:
    """Move an algorithm to a place among those of its case; the first is the one taught.

    Raises:
        NotFoundError: The club is not the actor's to coach, or there is no such case.
        ConflictError: The book has no such algorithm.
        ValidationError: There is no such place.
    """
    club = _locked_club(actor, slug, case)
    _write_out(club, now)
    rows = _rows(club, case)
    moved = _named(rows, text)
    if not 1 <= place <= len(rows):
        raise ValidationError({"place": f"The places are 1 to {len(rows)}, not {place}."})
    others = [row for row in rows if row is not moved]
    _number([*others[: place - 1], moved, *others[place - 1 :]])
    return moved


@transaction.atomic
def trigger_add(*, actor: User, slug: str, name: str, turns: str) -> TriggerName:
    """Give a run of turns a name in the club's book.

    Raises:
        NotFoundError: The club is not the actor's to coach.
        AlgorithmRefusedError: The turns are not notation, or too few or too many.
        ConflictError: The club has the name, or a name for these turns, or as many as it can.
        ValidationError: The name is empty or too long.
    """
    club = coached_club_get(actor=actor, slug=slug)
    try:
        tokens = parse_tokens(turns)
    except NotationError as error:
        raise AlgorithmRefusedError(error.message, field="turns") from error
    fewest, most = TRIGGER_TURNS
    if not fewest <= len(tokens) <= most:
        raise AlgorithmRefusedError(
            f"A named run has {fewest} to {most} turns; this has {len(tokens)}.", field="turns"
        )
    lock_club(club.pk)
    trigger = TriggerName(club=club, name=" ".join(name.split()), turns=format_tokens(tokens))
    trigger.full_clean(validate_constraints=False)
    known = TriggerName.objects.filter(club=club)
    if known.filter(name=trigger.name).exists():
        raise ConflictError(f"The club has a run of turns called {trigger.name} already.")
    same = known.filter(turns=trigger.turns).first()
    if same is not None:
        raise ConflictError(f"These turns are called {same.name} already.")
    if known.count() >= MAX_TRIGGERS:
        raise ConflictError(f"A club gives at most {MAX_TRIGGERS} names.")
    trigger.save()
    return trigger


@transaction.atomic
def trigger_remove(*, actor: User, slug: str, name: str) -> None:
    """Forget a name that the club gave.

    Raises:
        NotFoundError: The club is not the actor's to coach.
        ConflictError: The club has given no such name.
    """
    club = coached_club_get(actor=actor, slug=slug)
    if not TriggerName.objects.filter(club=club, name=name).delete()[0]:
        raise ConflictError("The club has given no such name: its book lists those it has.")


@transaction.atomic
def case_words_write(*, actor: User, slug: str, case: CaseId, text: str, now: datetime) -> str:
    """Write a coach's words beside a case of the book, in place of those there; none take them away.

    Raises:
        NotFoundError: The club is not the actor's to coach, or there is no such case.
        ValidationError: They are too long.
    """
    words = _case_words(_locked_club(actor, slug, case), case)
    words.text = "\n".join(line.rstrip() for line in text.strip().splitlines())
    _keep(words, actor, now)
    return words.text


@transaction.atomic
def case_hold_write(
    *, actor: User, slug: str, case: CaseId, hold: CoachHold | None, now: datetime
) -> CoachHold | None:
    """Teach a case from another hold than the one its algorithm starts from, if it solves it so.

    Args:
        actor: A coach.
        slug: The club.
        case: The case.
        hold: The hold, and what is turned between it and the algorithm. None, or the algorithm's
            own, takes the coach's hold away.
        now: The time.

    Returns:
        The hold as it is kept; None where that is the algorithm's own.

    Raises:
        NotFoundError: The club is not the actor's to coach, or there is no such case.
        AlgorithmRefusedError: From that hold the taught algorithm does something else; the message
            says what, and which turn before it would do.
    """
    club = _locked_club(actor, slug, case)
    book = club_book_get(actor=actor, slug=slug).book
    algorithm = (book.algorithms(case) or default_book().algorithms(case))[0]
    if hold is not None:
        hold = CoachHold(hold.angle % CASES[case].n_angles, hold.before)
        _prove_hold(algorithm, hold)
        if not hold.before:
            hold = None
    words = _case_words(club, case)
    words.hold_angle = None if hold is None else hold.angle
    words.hold_before = "" if hold is None else hold.before
    _keep(words, actor, now)
    return hold


def _prove_hold(algorithm: Algorithm, hold: CoachHold) -> None:
    if hold.before not in BEFORE:
        known = ", ".join(turn for turn in BEFORE if turn)
        raise AlgorithmRefusedError(
            f"Before the algorithm comes nothing, or one of {known}; not {hold.before!r}.",
            field="before",
        )
    if is_fitting(algorithm, hold):
        return
    left = left_from(algorithm, hold)
    done = f"{hold.before} {algorithm.text}".strip()
    turn = turn_from(algorithm, hold.angle)
    mend = (
        f"{turn}, or {turn.replace('U', 'y')}, has to come before it"
        if turn
        else "nothing has to come before it"
    )
    raise AlgorithmRefusedError(
        f"Held so, {done} leaves {_name(left.stage, left.number)}: {mend}.", field="before"
    )


def _case_words(club: Club, case: CaseId) -> CaseWords:
    """What stands beside a case, or a row for it that is not kept yet."""
    kept = CaseWords.objects.filter(club=club, stage=case.stage.value, case=case.text).first()
    return kept or CaseWords(club=club, stage=case.stage.value, case=case.text)


def _keep(words: CaseWords, actor: User, now: datetime) -> None:
    """Keep what stands beside a case; a row that says nothing any more goes."""
    if not words.text and words.hold_angle is None:
        if words.pk is not None:
            words.delete()
        return
    words.written_by, words.written_at = actor, now
    words.full_clean(exclude=["written_by"], validate_constraints=False)
    words.save()


def _locked_club(actor: User, slug: str, case: CaseId) -> Club:
    """The club, held against other changes of its book until the transaction ends."""
    if case not in CASES:
        raise NotFoundError("case")
    club = coached_club_get(actor=actor, slug=slug)
    lock_club(club.pk)
    return club


def _write_out(club: Club, now: datetime) -> None:
    """Copy the standard book into a club's tables, unless it has a book of its own."""
    if BookAlgorithm.objects.filter(club=club).exists():
        return
    BookAlgorithm.objects.bulk_create(
        BookAlgorithm(
            club=club,
            stage=case.stage.value,
            case=str(case.number),
            text=algorithm.text,
            place=place,
            added_at=now,
        )
        for case in CASES
        for place, algorithm in enumerate(default_book().algorithms(case), start=1)
    )


def _rows(club: Club, case: CaseId) -> list[BookAlgorithm]:
    rows = BookAlgorithm.objects.filter(
        club=club, stage=case.stage.value, case=str(case.number), retired_at=None
    )
    return list(rows.order_by("place", "id"))


def _named(rows: list[BookAlgorithm], text: str) -> BookAlgorithm:
    for row in rows:
        if row.text == text:
            return row
    known = ", or ".join(row.text for row in rows)
    raise ConflictError(f"The book has no such algorithm for this case. It has {known}.")


def _number(rows: list[BookAlgorithm]) -> None:
    """Number the algorithms of a case anew, from 1."""
    for place, row in enumerate(rows, start=1):
        row.place = place
    BookAlgorithm.objects.bulk_update(rows, ["place"])
