"""What was taken out of a log and can be put back, rows that contradict it, a solve's history."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator

from clubsite.accounts.models import User
from cubecore.endings import STATUS_OF_PENALTY, Status
from cubecore.rows import Penalty, TimedBy, parse_timed_by
from logs.people.sight import time_zone_of
from logs.solves.models.kept_rows import Change, Fate, KeptRow
from logs.solves.models.solves import Upload
from logs.solves.selectors.solves import upload_get
from logs.solves.selectors.undo import (
    KEPT_FOR,
    changes_of,
    deleted_list,
    on_hold_list,
    own_solve_get,
    rows_telling,
    solves_by_number,
    taken_back_list,
)
from logs.solves.services.sent import (
    Sent,
    contradictions,
    edited,
    first_sent,
    sent_from_json,
    sent_of,
)

PAGE_SIZE = 50


@dataclass(frozen=True, slots=True)
class RowSays:
    """What a row says, in the fields of a log.

    Attributes:
        scramble: The scramble.
        time_ms: The timer's reading, ms.
        penalty: Empty, ``+2`` or ``DNF``.
        status: How it ended, which the penalty says.
        solution: The turns; empty where it has none.
        turn_ms: The end of each turn, ms, as the log writes them; empty where it has none.
        mark_ms: Its five marks, ms, as the log writes them; empty where it has none.
        timed_by: What these were taken with; null where that is not said.
        step_ms: How fine they are, ms; null where that is not said.
        done_at: When; null where it has no date.
        note: The member's own words.
    """

    scramble: str
    time_ms: int
    penalty: str
    status: Status
    solution: str
    turn_ms: str
    mark_ms: str
    timed_by: TimedBy | None
    step_ms: int | None
    done_at: datetime | None
    note: str


def row_says(sent: Sent) -> RowSays:
    """What a row says, for a page or an answer."""
    return RowSays(
        scramble=sent.scramble,
        time_ms=sent.time_ms,
        penalty=sent.penalty,
        status=STATUS_OF_PENALTY[Penalty(sent.penalty)],
        solution=sent.solution,
        turn_ms=sent.turn_ms,
        mark_ms=sent.mark_ms,
        timed_by=parse_timed_by(sent.timed_by),
        step_ms=sent.step_ms,
        done_at=sent.done_at,
        note=sent.note,
    )


@dataclass(frozen=True, slots=True)
class TakenBack:
    """An upload that was taken back.

    Attributes:
        id: Its number.
        file_name: Name of its file.
        received_at: When it was sent.
        taken_back_at: When it was taken back.
        gone_at: When it is gone with its bytes; until then it can be put back.
        n_rows: Rows of it that had been read.
        n_taken: Those that were solves.
    """

    id: int
    file_name: str
    received_at: datetime
    taken_back_at: datetime
    gone_at: datetime
    n_rows: int
    n_taken: int


@dataclass(frozen=True, slots=True)
class DeletedSolve:
    """A solve that its member deleted.

    Attributes:
        id: Its number, which it has again when it is put back.
        deleted_at: When it was deleted; null where that is not known.
        upload_id: The upload that it came in; with that it goes.
        says: What it was.
    """

    id: int
    deleted_at: datetime | None
    upload_id: int
    says: RowSays


@dataclass(frozen=True, slots=True)
class TakenOutReport:
    """What was taken out of a log and can be put back.

    Attributes:
        uploads: Uploads that were taken back, the last first.
        solves: Solves of this page that were deleted, the last first.
        n_solves: How many there are over all pages.
        page: Number of this page, from 1.
        n_pages: How many pages there are.
        zone: Time zone that the member's log is read in, an IANA name.
    """

    uploads: tuple[TakenBack, ...]
    solves: tuple[DeletedSolve, ...]
    n_solves: int
    page: int
    n_pages: int
    zone: ZoneInfo


def taken_out_report(*, actor: User, now: datetime, page: int = 1) -> TakenOutReport:
    """What the actor took out of their log; of deleted solves a page, past the end the last one."""
    deleted = Paginator(deleted_list(actor=actor), PAGE_SIZE).get_page(page)
    return TakenOutReport(
        uploads=tuple(map(_taken_back, taken_back_list(actor=actor, now=now))),
        solves=tuple(map(_deleted, deleted)),
        n_solves=deleted.paginator.count,
        page=deleted.number,
        n_pages=deleted.paginator.num_pages,
        zone=time_zone_of(actor=actor),
    )


def _taken_back(upload: Upload) -> TakenBack:
    assert upload.taken_back_at is not None
    return TakenBack(
        id=upload.pk,
        file_name=upload.file_name,
        received_at=upload.received_at,
        taken_back_at=upload.taken_back_at,
        gone_at=upload.taken_back_at + KEPT_FOR,
        n_rows=upload.n_rows,
        n_taken=upload.n_taken,
    )


def _deleted(row: KeptRow) -> DeletedSolve:
    says = row_says(edited(sent_from_json(row.sent), row.correction))
    return DeletedSolve(row.solve_number, row.decided_at, row.upload_id, says)


@dataclass(frozen=True, slots=True)
class HeldRow:
    """A row that contradicts a solve of the log and waits for a decision.

    Attributes:
        id: Its number.
        line: Where it stands in its file.
        solve_id: The solve that it contradicts; null where that is in the log no more.
        fields: Names of the fields in which the two differ; empty where there is no solve.
        in_log: What the solve says; null where it is in the log no more.
        in_row: What the row says.
    """

    id: int
    line: int
    solve_id: int | None
    fields: tuple[str, ...]
    in_log: RowSays | None
    in_row: RowSays


@dataclass(frozen=True, slots=True)
class HeldReport:
    """Rows of an upload that contradict the log.

    Attributes:
        upload_id: Which upload.
        file_name: Name of its file.
        rows: Those of this page, in the order of the file.
        n_rows: How many there are over all pages.
        page: Number of this page, from 1.
        n_pages: How many pages there are.
        zone: Time zone that the member's log is read in, an IANA name.
    """

    upload_id: int
    file_name: str
    rows: tuple[HeldRow, ...]
    n_rows: int
    page: int
    n_pages: int
    zone: ZoneInfo


def held_report(*, actor: User, upload_id: int, page: int = 1) -> HeldReport:
    """Rows of one of the actor's uploads that are on hold; past the end the last page.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    rows = Paginator(on_hold_list(actor=actor, upload_id=upload_id), PAGE_SIZE).get_page(page)
    solves = solves_by_number(actor=actor, numbers={row.solve_number for row in rows})
    return HeldReport(
        upload_id=upload.pk,
        file_name=upload.file_name,
        rows=tuple(
            _held(row, None if (solve := solves.get(row.solve_number)) is None else sent_of(solve))
            for row in rows
        ),
        n_rows=rows.paginator.count,
        page=rows.number,
        n_pages=rows.paginator.num_pages,
        zone=time_zone_of(actor=actor),
    )


_LOG_NAMES = {"time_ms": "time"}
"""Names of a log's fields, where a table's column has another."""


def _named(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(_LOG_NAMES.get(name, name) for name in names)


def _held(row: KeptRow, in_log: Sent | None) -> HeldRow:
    in_row = sent_from_json(row.sent)
    return HeldRow(
        id=row.pk,
        line=row.line,
        solve_id=None if in_log is None else row.solve_number,
        fields=() if in_log is None else _named(contradictions(in_log, in_row)),
        in_log=None if in_log is None else row_says(in_log),
        in_row=row_says(in_row),
    )


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field of a solve that was changed.

    Attributes:
        field: Its name, as in a log.
        before: What it said, as text; empty for nothing.
        after: What it says, as text; empty for nothing.
    """

    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class SolveChanged:
    """A change of a solve by hand.

    Attributes:
        change: What was done.
        at: When.
        fields: The fields that were changed by it.
    """

    change: Change
    at: datetime
    fields: tuple[FieldChange, ...]


@dataclass(frozen=True, slots=True)
class TellingRow:
    """A row of another file that tells of a solve.

    Attributes:
        fate: Whether it said nothing new, completed the solve, or was chosen to correct it.
        upload_id: The upload that it came in.
        file_name: Name of its file.
        line: Where it stands there.
    """

    fate: Fate
    upload_id: int
    file_name: str
    line: int


@dataclass(frozen=True, slots=True)
class HistoryReport:
    """Where a solve comes from and what became of it.

    Attributes:
        solve_id: Which solve.
        upload_id: The upload of its first row.
        file_name: Name of that file.
        line: Where the row stands there.
        says: What the solve says now.
        first: What its first row said, where the solve says something else now; else null.
        rows: Rows of other files that tell of it, in the order of uploads.
        changes: What its member changed by hand, the oldest first.
        zone: Time zone that the member's log is read in, an IANA name.
    """

    solve_id: int
    upload_id: int
    file_name: str
    line: int
    says: RowSays
    first: RowSays | None
    rows: tuple[TellingRow, ...]
    changes: tuple[SolveChanged, ...]
    zone: ZoneInfo


def history_report(*, actor: User, solve_id: int) -> HistoryReport:
    """The history of one of the actor's solves.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    solve = own_solve_get(actor=actor, solve_id=solve_id)
    return HistoryReport(
        solve_id=solve.pk,
        upload_id=solve.upload_id,
        file_name=solve.upload.file_name,
        line=solve.line,
        says=row_says(sent_of(solve)),
        first=None if solve.as_sent is None else row_says(first_sent(solve)),
        rows=tuple(
            TellingRow(Fate(row.fate), row.upload_id, row.upload.file_name, row.line)
            for row in rows_telling(actor=actor, solve_number=solve.pk)
        ),
        changes=tuple(
            SolveChanged(Change(one.change), one.at, _fields(one.before, one.after))
            for one in changes_of(actor=actor, solve_number=solve.pk)
        ),
        zone=time_zone_of(actor=actor),
    )


def _fields(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[FieldChange, ...]:
    names = [name for name in after if name in before]
    return tuple(
        FieldChange(_LOG_NAMES.get(name, name), _text(before[name]), _text(after[name]))
        for name in names
    )


def _text(value: object) -> str:
    return "" if value is None else str(value)
