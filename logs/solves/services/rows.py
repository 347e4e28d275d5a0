"""Rows into the log, and what a solve is that several rows tell of.

A solve stands as its first row, completed by what others add in the order they came, corrected by
rows that its member chose instead, and last by hand.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from cubecore.book import Book
from logs.errors import RowProblem
from logs.solves.models.kept_rows import Fate, KeptRow
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from logs.solves.services.deciding import Arrival, Decision, decide, known_numbers
from logs.solves.services.labels import (
    LABEL_FIELDS,
    TEXT_FIELDS,
    TURN_FIELDS,
    Labelled,
    build_sightings,
    label_rows,
    raw_fields,
    solve_labels,
    turn_fields,
)
from logs.solves.services.relabel import update_rows
from logs.solves.services.sent import (
    NAMES,
    Sent,
    completed,
    corrected,
    edited,
    first_sent,
    read_of,
    sent_from_json,
    sent_to_json,
)
from logs.solves.services.tallies import tallies_following, tally_add

CHUNK = 500
"""Rows of a transaction, and of a statement."""


def store_rows(
    upload: Upload, arrivals: Sequence[Arrival], book: Book, *, is_new: bool = False
) -> Counter[Fate]:
    """Take rows of an upload into the log, each once, in a transaction that holds the log's lock.

    Args:
        upload: Whose rows they are; none of their lines stands in a table yet.
        arrivals: The rows, in the order of the file.
        book: The algorithms to name looks by.
        is_new: Whether its member said that they are no other solve's.

    Returns:
        How many met which fate; the caller adds them to the upload's counts.
    """
    decisions = decide(upload, arrivals, is_new=is_new)
    fresh = [one.arrival for one in decisions if one.fate is Fate.TAKEN]
    numbers = _create(upload, fresh, book)
    kept = [one for one in decisions if one.fate is not Fate.TAKEN]
    for one in kept:
        if one.number is None:
            one.number = numbers.get(one.arrival.key, one.arrival.number)
    KeptRow.objects.bulk_create([_kept(upload, one) for one in kept], batch_size=CHUNK)
    changing = (Fate.COMPLETES, Fate.CORRECTS)
    changed = [one.number for one in kept if one.fate in changing and one.number is not None]
    if changed:
        with tallies_following({upload.member_id: changed}):
            refold(upload.member_id, changed, book)
    tally_add(member_id=upload.member_id, solve_ids=list(numbers.values()))
    return Counter(one.fate for one in decisions)


def _kept(upload: Upload, one: Decision) -> KeptRow:
    arrival = one.arrival
    assert one.number is not None
    row = KeptRow(
        upload=upload,
        line=arrival.line,
        member_id=upload.member_id,
        fate=one.fate,
        solve_number=one.number,
        decided_at=arrival.decided_at if one.is_decided else None,
        correction=arrival.correction if one.fate is Fate.DELETED else None,
    )
    if not one.is_same:
        row.key, row.place, row.sent = arrival.key, arrival.place, sent_to_json(arrival.sent)
    return row


def _create(upload: Upload, arrivals: Sequence[Arrival], book: Book) -> dict[str, int]:
    """Store new solves with their sightings; their numbers by key."""
    wanted = {one.number for one in arrivals if one.number is not None}
    held = known_numbers(upload.member_id, wanted) if wanted else set()
    solves = [_solve(upload, one, book) for one in arrivals]
    for solve in solves:
        if solve.pk in held:
            solve.pk = None
    Solve.objects.bulk_create(solves, batch_size=CHUNK)
    sightings = [
        sighting
        for solve, one in zip(solves, arrivals, strict=True)
        for sighting in build_sightings(solve, one.labelled.replay)
    ]
    Sighting.objects.bulk_create(sightings, batch_size=CHUNK)
    return {solve.key: solve.pk for solve in solves}


def _solve(upload: Upload, one: Arrival, book: Book) -> Solve:
    read = one.labelled.read
    return Solve(
        pk=one.number,
        member_id=upload.member_id,
        upload=upload,
        line=one.line,
        key=one.key,
        done_at=read.done_at,
        as_sent=sent_to_json(one.sent) if one.correction else None,
        correction=one.correction,
        **raw_fields(read.row),
        **turn_fields(one.labelled.compact),
        **solve_labels(one.labelled.replay, book),
    )


_CHANGING = (*TEXT_FIELDS, *TURN_FIELDS, *LABEL_FIELDS, "done_at", "as_sent")


def refold(member_id: int, numbers: Collection[int], book: Book) -> None:
    """Make solves anew from their rows, within ``tallies_following``; labels with them.

    What would be no row that the engine takes leaves its solve as its first row has it.
    """
    rows = _changing_rows(member_id, numbers)
    solves = list(Solve.objects.filter(member=member_id, pk__in=set(numbers)))
    whole = {solve.pk: _folded(solve, rows.get(solve.pk, ())) for solve in solves}
    labelled = _labelled(whole, book)
    refused = {solve.pk: first_sent(solve) for solve in solves if solve.pk not in labelled}
    labelled |= _labelled(refused, book)
    whole |= refused
    for solve in solves:
        _set(solve, whole[solve.pk], labelled[solve.pk], book)
    if solves:
        update_rows(solves, _CHANGING)
    Sighting.objects.filter(solve__in=[solve.pk for solve in solves]).delete()
    sightings = [s for solve in solves for s in build_sightings(solve, labelled[solve.pk].replay)]
    Sighting.objects.bulk_create(sightings, batch_size=CHUNK)


def _changing_rows(member_id: int, numbers: Collection[int]) -> dict[int, list[KeptRow]]:
    """The rows that complete or correct solves, in the order that they count in."""
    rows = (
        KeptRow.objects.filter(
            member=member_id,
            solve_number__in=set(numbers),
            fate__in=(Fate.COMPLETES, Fate.CORRECTS),
            is_away=False,
        )
        .select_related("upload")
        .defer("upload__content")
    )
    by_solve: dict[int, list[KeptRow]] = defaultdict(list)
    for row in rows:
        by_solve[row.solve_number].append(row)
    for of_solve in by_solve.values():
        of_solve.sort(key=order_of)
    return by_solve


def order_of(row: KeptRow) -> tuple[Any, ...]:
    """Rows that complete in the order they came, then those that correct in the order of decisions."""
    at = row.decided_at if row.fate == Fate.CORRECTS else row.upload.received_at
    return row.fate == Fate.CORRECTS, at, row.upload_id, row.line


def _folded(solve: Solve, rows: Iterable[KeptRow]) -> Sent:
    sent = first_sent(solve)
    for row in rows:
        add = corrected if row.fate == Fate.CORRECTS else completed
        sent = add(sent, sent_from_json(row.sent))
    return edited(sent, solve.correction)


def _labelled(sent: Mapping[int, Sent], book: Book) -> dict[int, Labelled]:
    """The labels of rows, by their number; those that the engine does not take are left out."""
    reads = [read_of(number, one) for number, one in sent.items()]
    return {one.read.line: one for one in label_rows(reads, book=book).rows}


def _set(solve: Solve, sent: Sent, labelled: Labelled, book: Book) -> None:
    """Have a solve say ``sent``, with its labels."""
    first = first_sent(solve)
    solve.as_sent = None if first == sent else sent_to_json(first)
    values = {name: getattr(sent, name) for name in NAMES}
    values |= turn_fields(labelled.compact) | solve_labels(labelled.replay, book)
    for name, value in values.items():
        setattr(solve, name, value)


COUNTS: Mapping[Fate, str] = {
    Fate.TAKEN: "n_taken",
    Fate.DOUBLED: "n_doubled",
    Fate.COMPLETES: "n_completed",
    Fate.CORRECTS: "n_completed",
    Fate.ON_HOLD: "n_on_hold",
    Fate.DELETED: "n_deleted",
}
"""The count of an upload that rows of each fate are in."""


COUNT_FIELDS = ("n_rows", "n_set_aside", *dict.fromkeys(COUNTS.values()))


def count_fates(upload: Upload, fates: Mapping[Fate, int]) -> None:
    """Add rows to the counts of an upload, or take them out where they are negative; not saved."""
    for fate, n in fates.items():
        setattr(upload, COUNTS[fate], getattr(upload, COUNTS[fate]) + n)


def store_problem(upload: Upload, problem: RowProblem) -> None:
    """Set a row aside, one that was mended before too."""
    SetAsideRow.objects.update_or_create(
        upload=upload,
        line=problem.line,
        defaults={
            "code": problem.code,
            "field": problem.field,
            "message": problem.message,
            "text": problem.text,
            "mended_at": None,
        },
    )
