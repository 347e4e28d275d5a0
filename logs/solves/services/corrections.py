"""A solve deleted, put back or corrected by its member, and their choice between two rows."""

from collections.abc import Mapping
from datetime import datetime
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from clubsite.accounts.models import User
from cubecore.book import Book
from cubecore.errors import CubeError
from cubecore.rows import format_time_exactly, parse_mark_ms, parse_turn_ms
from logs.algorithms.selectors import book_of_member
from logs.errors import ConflictError, RowProblem, UploadRejectedError
from logs.intake.rows import Clock, ReadRow, check_characters, problem_of, read_row
from logs.people.locks import lock_log
from logs.people.models import Verb
from logs.people.services.trail import event_write
from logs.solves.models.kept_rows import Change, Fate, KeptRow, SolveChange
from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.selectors.undo import deleted_get, on_hold_get, on_hold_list, own_solve_get
from logs.solves.services.deciding import Arrival
from logs.solves.services.draws import written_note
from logs.solves.services.labels import Labelled, label_rows
from logs.solves.services.rows import COUNT_FIELDS, count_fates, refold, store_rows
from logs.solves.services.sent import (
    ATTEMPT,
    NAMES,
    Sent,
    edited,
    first_sent,
    place_of,
    read_of,
    sent_from_json,
    sent_of,
    sent_of_read,
    sent_to_json,
)
from logs.solves.services.tallies import tallies_following

VERBS = {
    Change.CORRECTED: Verb.SOLVE_CORRECT,
    Change.DELETED: Verb.SOLVE_DELETE,
    Change.PUT_BACK: Verb.SOLVE_PUT_BACK,
    Change.DECIDED: Verb.SOLVE_DECIDE,
}


class Choice(StrEnum):
    """What a member decides of a row that contradicts a solve.

    ``log`` leaves the solve as it is, ``row`` has the row be right, ``both`` has them be two solves.
    """

    LOG = "log"
    ROW = "row"
    BOTH = "both"


@transaction.atomic
def solve_delete(*, actor: User, solve_id: int, now: datetime, origin: str = "") -> None:
    """Take a solve out of the log; sent again it stays out, until it is put back.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    lock_log(actor.pk)
    solve = own_solve_get(actor=actor, solve_id=solve_id)
    sent = first_sent(solve)
    row = KeptRow(
        upload=solve.upload,
        line=solve.line,
        member=actor,
        fate=Fate.DELETED,
        solve_number=solve.pk,
        key=solve.key,
        place=place_of(sent),
        sent=sent_to_json(sent),
        correction=solve.correction,
        decided_at=now,
    )
    with tallies_following({actor.pk: [solve.pk]}):
        Sighting.objects.filter(solve=solve).delete()
        Solve.objects.filter(pk=solve.pk).delete()
    row.save()
    _count(row.upload_id, {Fate.TAKEN: -1, Fate.DELETED: 1})
    _note(actor, solve_id, Change.DELETED, now=now, origin=origin)


@transaction.atomic
def solve_put_back(*, actor: User, solve_id: int, now: datetime, origin: str = "") -> Solve:
    """Put a solve back into the log that its member deleted.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    lock_log(actor.pk)
    row = deleted_get(actor=actor, solve_number=solve_id)
    book = book_of_member(member=actor)
    arrival = _arrival(row, book)
    upload = row.upload
    row.delete()
    _store(upload, arrival, book, leaves=Fate.DELETED)
    with tallies_following({actor.pk: [solve_id]}):
        refold(actor.pk, [solve_id], book)
    _note(actor, solve_id, Change.PUT_BACK, now=now, origin=origin)
    return Solve.objects.get(member=actor, key=arrival.key)


def _arrival(row: KeptRow, book: Book) -> Arrival:
    """A kept row on its way into the log."""
    sent = sent_from_json(row.sent)
    (labelled,) = _labelled([read_of(row.line, edited(sent, row.correction))], book)
    return Arrival(row.line, row.key, sent, labelled, row.solve_number, row.correction)


def _labelled(reads: list[ReadRow], book: Book) -> tuple[Labelled, ...]:
    """The labels of rows.

    Raises:
        UploadRejectedError: The engine does not take one.
    """
    labelled = label_rows(reads, book=book)
    if labelled.problems:
        raise UploadRejectedError(labelled.problems)
    return labelled.rows


def _store(upload: Upload, arrival: Arrival, book: Book, *, leaves: Fate) -> None:
    """Take a row into the log that its upload counted elsewhere, as one that is no other solve's."""
    fates = store_rows(upload, [arrival], book, is_new=True)
    fates[leaves] -= 1
    _count(upload.pk, fates)


def _count(upload_id: int, fates: Mapping[Fate, int]) -> None:
    upload = Upload.objects.defer("content").get(pk=upload_id)
    count_fates(upload, fates)
    upload.save(update_fields=COUNT_FIELDS)


@transaction.atomic
def solve_correct(
    *,
    actor: User,
    solve_id: int,
    values: Mapping[str, object],
    time_zone: ZoneInfo,
    now: datetime,
    origin: str = "",
) -> Solve:
    """Correct a solve by hand; its labels are made anew, and what it said before is kept.

    Args:
        actor: Whose solve it is.
        solve_id: Which.
        values: The fields to change, as a line of a JSON Lines log has them; empty takes one out.
        time_zone: The club's, for a date without an offset.
        now: When.
        origin: The actor's network, for the trail.

    Returns:
        The solve; unchanged where ``values`` say what it says.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
        UploadRejectedError: It would be no row that can be taken; nothing is changed.
        ConflictError: The log has that very solve already.
    """
    lock_log(actor.pk)
    solve = own_solve_get(actor=actor, solve_id=solve_id)
    book = book_of_member(member=actor)
    old = sent_of(solve)
    new, labelled = _read(old, values, Clock(time_zone, now), book)
    differing = [name for name in NAMES if getattr(old, name) != getattr(new, name)]
    if not differing:
        return solve
    like = Solve.objects.filter(member=actor, key=labelled.key).exclude(pk=solve.pk)
    if new.done_at is not None and like.exists():
        raise ConflictError("Your log has that very solve already: delete this one instead.")
    kept = set(differing) | (set(ATTEMPT) if set(differing) & set(ATTEMPT) else set())
    whole = sent_to_json(new)
    with tallies_following({actor.pk: [solve.pk]}):
        if new.solution and not old.solution:
            written_note(member_id=actor.pk, solve_number=solve.pk, now=now)
        solve.correction = (solve.correction or {}) | {name: whole[name] for name in kept}
        solve.save(update_fields=["correction"])
        refold(actor.pk, [solve.pk], book)
    before = sent_to_json(old)
    _note(
        actor,
        solve_id,
        Change.CORRECTED,
        now=now,
        origin=origin,
        before={name: before[name] for name in differing},
        after={name: whole[name] for name in differing},
    )
    solve.refresh_from_db()
    return solve


def _read(
    old: Sent, values: Mapping[str, object], clock: Clock, book: Book
) -> tuple[Sent, Labelled]:
    """A row with other values and its labels; times of turns stay only as long as they fit.

    Raises:
        UploadRejectedError: It is no row that can be taken.
    """
    turn_ms, mark_ms = parse_turn_ms(old.turn_ms), parse_mark_ms(old.mark_ms)
    whole: dict[str, Any] = {
        "scramble": old.scramble,
        "time": format_time_exactly(old.time_ms),
        "penalty": old.penalty,
        "solution": old.solution,
        "turn_ms": None if turn_ms is None else list(turn_ms),
        "mark_ms": None if mark_ms is None else list(mark_ms),
        "timed_by": old.timed_by,
        "step_ms": old.step_ms,
        "done_at": old.done_at and old.done_at.isoformat(),
        "note": old.note,
        **values,
    }
    read = _taken(whole, clock, book)
    kept = [name for name in ("turn_ms", "mark_ms") if name not in values and whole[name]]
    if isinstance(read, RowProblem) and kept:
        without = _taken(whole | dict.fromkeys(kept), clock, book)
        read = read if isinstance(without, RowProblem) else without
    if isinstance(read, RowProblem):
        raise UploadRejectedError([read])
    return sent_of_read(read.read), read


def _taken(values: Mapping[str, object], clock: Clock, book: Book) -> Labelled | RowProblem:
    try:
        check_characters(values)
    except CubeError as error:
        return problem_of(error, 1, "")
    read = read_row(values, 1, "", clock)
    if isinstance(read, RowProblem):
        return read
    labelled = label_rows([read], book=book)
    return labelled.problems[0] if labelled.problems else labelled.rows[0]


@transaction.atomic
def row_decide(
    *, actor: User, row_id: int, choice: Choice, now: datetime, origin: str = ""
) -> Solve | None:
    """Decide what becomes of a row that contradicts a solve; the same row of other files follows.

    Returns:
        The solve that the row tells of now; None where the log has none.

    Raises:
        NotFoundError: No such row of the actor's is on hold.
    """
    lock_log(actor.pk)
    row = on_hold_get(actor=actor, row_id=row_id)
    return _decide(actor, row, choice, now, origin)


@transaction.atomic
def rows_decide(
    *, actor: User, upload_id: int, choice: Choice, now: datetime, origin: str = ""
) -> int:
    """`row_decide` for all rows of an upload that are on hold; how many there were."""
    lock_log(actor.pk)
    n_rows = 0
    while row := on_hold_list(actor=actor, upload_id=upload_id).first():
        _decide(actor, row, choice, now, origin)
        n_rows += 1
    return n_rows


def _decide(actor: User, row: KeptRow, choice: Choice, now: datetime, origin: str) -> Solve | None:
    book = book_of_member(member=actor)
    solve = Solve.objects.filter(member=actor, pk=row.solve_number).first()
    old = None if solve is None else sent_of(solve)
    row.decided_at = now
    if choice is Choice.BOTH or (choice is Choice.ROW and solve is None):
        arrival = _arrival(row, book)
        arrival.number = None
        row.delete()
        _store(row.upload, arrival, book, leaves=Fate.ON_HOLD)
        solve = Solve.objects.filter(member=actor, key=row.key).first()
    elif choice is Choice.ROW:
        _move(row, Fate.CORRECTS)
        with tallies_following({actor.pk: [row.solve_number]}):
            refold(actor.pk, [row.solve_number], book)
        solve = Solve.objects.get(pk=row.solve_number)
    else:
        _move(row, Fate.DOUBLED)
    number = row.solve_number if solve is None else solve.pk
    for like in on_hold_list(actor=actor).filter(key=row.key):
        like.solve_number, like.decided_at = number, now
        _move(like, Fate.DOUBLED)
    _note_decision(actor, row, choice, number, old, solve, now, origin)
    return solve


def _move(row: KeptRow, fate: Fate) -> None:
    """Give a row that is on hold another fate."""
    row.fate = fate
    row.save(update_fields=["fate", "solve_number", "decided_at"])
    _count(row.upload_id, {Fate.ON_HOLD: -1, fate: 1})


def _note_decision(
    actor: User,
    row: KeptRow,
    choice: Choice,
    number: int,
    old: Sent | None,
    solve: Solve | None,
    now: datetime,
    origin: str,
) -> None:
    before, after = {}, {}
    if choice is Choice.ROW and old is not None and solve is not None:
        was, is_now = sent_to_json(old), sent_to_json(sent_of(solve))
        names = [name for name in NAMES if was[name] != is_now[name]]
        before = {name: was[name] for name in names}
        after = {name: is_now[name] for name in names}
    after["choice"] = choice.value
    _note(actor, number, Change.DECIDED, now=now, origin=origin, before=before, after=after)


def _note(
    actor: User,
    solve_number: int,
    change: Change,
    *,
    now: datetime,
    origin: str,
    before: Mapping[str, Any] | None = None,
    after: Mapping[str, Any] | None = None,
) -> None:
    """Keep what was changed, and write that it was into the trail, without what it says."""
    SolveChange.objects.create(
        member=actor,
        solve_number=solve_number,
        change=change,
        at=now,
        before=before or {},
        after=after or {},
    )
    event_write(
        VERBS[change],
        actor=actor,
        member=actor,
        now=now,
        detail={"solve": solve_number},
        origin=origin,
    )
