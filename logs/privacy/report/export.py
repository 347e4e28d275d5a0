"""Everything about a person, for themselves: their log as a log, the rest as one object.

Other people are named nowhere in it but by what their club calls them, and there only as those who
looked or changed something.
"""

import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any, NamedTuple

from django.db.models import Model

from clubsite.accounts.models import User
from logs.algorithms.models import BookAlgorithm, CaseWords
from logs.case_map.models import KnownByWord
from logs.case_map.selectors import known_by_word_list
from logs.homework.models import Assignment, AssignmentCase, DrillAnswer, Excuse, HomeworkCase
from logs.intake.formats import format_json_line
from logs.intake.rows import Format, format_done_at
from logs.intake.source import SourceFile
from logs.lessons.models import LessonCase
from logs.next_up.models import Override
from logs.people.models import AuditEvent
from logs.people.selectors import (
    changes_about,
    contacts_written,
    events_made,
    looks_at,
    own_memberships,
    token_list,
)
from logs.practice.models import PracticeAnswer
from logs.practice.selectors import answer_list
from logs.privacy import selectors as own_data
from logs.privacy.report.privacy import event_lines
from logs.privacy.services import export_note
from logs.privacy.words import event_by, event_words
from logs.progress.selectors import time_mark_list
from logs.solves.models.solves import Upload
from logs.solves.services.labels import stored_row
from logs.wall.selectors import own_seats

JSON = "application/json"


KINDS = {
    "csv": "text/csv",
    "jsonl": "application/x-ndjson",
    "json": JSON,
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "ods": "application/vnd.oasis.opendocument.spreadsheet",
    "xls": "application/vnd.ms-excel",
}
"""Media types of logs (IANA's registry), by the suffix of their names."""


class CopiedFile(NamedTuple):
    """A file for its member: a name of ours, its media type and its bytes."""

    name: str
    kind: str
    content: bytes

    @property
    def headers(self) -> dict[str, str]:
        """What an answer says of it."""
        return {
            "Content-Type": f"{self.kind}; charset=utf-8",
            "Content-Disposition": f'attachment; filename="{self.name}"',
        }


def log_file(*, actor: User, address: str, now: datetime, origin: str = "") -> CopiedFile:
    """The actor's log as a file that can be uploaded anywhere; that it was taken is noted.

    Raises:
        TooManyTriesError: Copies were taken too often lately.
    """
    export_note(actor=actor, what="log", address=address, now=now, origin=origin)
    content = "".join(log_lines(actor=actor)).encode()
    return CopiedFile("my-log.jsonl", KINDS[Format.JSON_LINES.suffix], content)


def account_file(*, actor: User, address: str, now: datetime, origin: str = "") -> CopiedFile:
    """All else that is kept about the actor, as a file; that it was taken is noted.

    Raises:
        TooManyTriesError: Copies were taken too often lately.
    """
    export_note(actor=actor, what="account", address=address, now=now, origin=origin)
    text = json.dumps(account_copy(actor=actor), ensure_ascii=False, indent=2) + "\n"
    return CopiedFile("about-me.json", JSON, text.encode())


def log_lines(*, actor: User) -> Iterator[str]:
    """The actor's solves as the lines of a JSON Lines log, which can be uploaded anywhere."""
    for solve in own_data.own_solves(actor=actor):
        done_at = None if solve.done_at is None else format_done_at(solve.done_at)
        yield format_json_line(stored_row(solve)._replace(done_at=done_at))


def account_copy(*, actor: User) -> dict[str, Any]:
    """All else that is kept about the actor, ready for JSON; instants in UTC."""
    return {
        "account": {
            "user_name": actor.get_username(),
            "email": actor.email,
            "made_at": _instant(actor.date_joined),
            "last_sign_in_at": _instant(actor.last_login),
        },
        "sign_ins": [
            _plain(place, "browser", "signed_in_at", "used_at")
            for place in own_data.own_sign_ins(actor=actor)
        ],
        "calendar": [_plain(feed, "made_at") for feed in own_data.own_calendar(actor=actor)],
        "clubs": [
            {
                "club": own.club.name,
                "role": own.role,
                "display_name": own.display_name,
                "visibility": own.visibility,
                "is_in_research": own.is_in_research,
                "groups": sorted(group.name for group in own.groups.all()),
            }
            for own in own_memberships(actor=actor)
        ],
        "uploads": [_upload(upload) for upload in own_data.own_uploads(actor=actor)],
        "solves_changed": [
            _plain(one, "solve_number", "change", "at", "before", "after")
            for one in own_data.own_changes(actor=actor)
        ],
        "jobs": [
            _plain(job, "kind", "status", "made_at", "started_at", "ended_at")
            | _plain(job, "n_total", "n_read", "error_message")
            for job in own_data.own_jobs(actor=actor)
        ],
        "files_waiting": [
            _plain(draft, "file_name", "made_at", "sha256", "mapping")
            for draft in own_data.own_drafts(actor=actor)
        ],
        "solves_being_written": [
            _plain(one, "scramble", "time", "penalty", "done_at", "solution")
            | _plain(one, "turn_ms", "start_ms", "marks", "timed_by", "step_ms")
            | _plain(one, "begun_at", "changed_at", "solve_id")
            for one in own_data.own_writeups(actor=actor)
        ],
        "draws": [
            _plain(draw, "drawn_at", "since", "zone", "seed", "n_solves", "n_parts", "n_rounds")
            | {
                "solves": [
                    _plain(place, "solve_number", "part", "n_in_part", "round")
                    for place in draw.places.all()
                ]
            }
            for draw in own_data.own_draws(actor=actor)
        ],
        "solves_written_down": [
            _plain(one, "solve_number", "at") for one in own_data.own_written(actor=actor)
        ],
        "kept_mappings": [
            {"club": None if kept.club is None else kept.club.name}
            | _plain(kept, "name", "changed_at", "mapping")
            for kept in own_data.mappings_made(actor=actor)
        ],
        "homework": [_assignment(asked) for asked in own_data.own_assignments(actor=actor)],
        "next_up_words": [_override(word) for word in own_data.own_overrides(actor=actor)],
        "lessons": [
            {
                "club": planned.lesson.club.name,
                "on": planned.lesson.on.isoformat(),
                "title": planned.lesson.title,
            }
            for planned in own_data.own_lessons(actor=actor)
        ],
        "practice": [
            {"case": _case(answer)}
            | _plain(answer, "at", "task", "angle", "answered", "answered_side", "is_right")
            | _plain(answer, "recognition_ms", "is_turned")
            for answer in answer_list(actor=actor)
        ],
        "wall_seats": [
            {"club": seat.wall.lesson.club.name, "lesson": seat.wall.lesson.title}
            | {"opened_at": _instant(seat.wall.opened_at), "answers": seat.answers}
            for seat in own_seats(actor=actor)
        ],
        "drills_told": [
            {"case": _case(answer), **_plain(answer, "at", "scramble", "word", "time_ms")}
            for answer in own_data.own_drill_answers(actor=actor)
        ],
        "known_by_word": [
            {"case": _case(said)} | _plain(said, "said_at")
            for said in known_by_word_list(actor=actor)
        ],
        "time_marks": [
            {"day": mark.day.isoformat(), "word": mark.word}
            for mark in time_mark_list(actor=actor, member=actor)
        ],
        "tokens": [
            _plain(token, "name", "scopes", "made_at", "expires_at", "last_used_at")
            for token in token_list(actor=actor)
        ],
        "as_coach": _as_coach(actor),
        "events": _events(actor),
    }


def _as_coach(actor: User) -> dict[str, Any]:
    """What the actor made for others, without saying for whom."""
    return {
        "weekly_letters": [
            {"club": wanted.membership.club.name, **_plain(wanted, "week_on", "since_at")}
            for wanted in own_data.own_letters(actor=actor)
        ],
        "desk_visits": [
            {"club": visit.membership.club.name, **_plain(visit, "seen_at", "since_at")}
            for visit in own_data.own_desk_visits(actor=actor)
        ],
        "homework": [
            {"club": made.club.name, **_plain(made, "set_at", "due_on", "way", "n_wanted")}
            | _plain(made, "goal", "note")
            | {"closed_at": _instant(made.closed_at), "close_reason": made.close_reason}
            | {"cases": _cases(made.cases.all())}
            for made in own_data.homework_made(actor=actor)
        ],
        "lessons": [
            {"club": made.club.name, **_plain(made, "on", "title", "note", "guests")}
            | {"cases": _cases(made.cases.all())}
            for made in own_data.lessons_made(actor=actor)
        ],
        "next_up_words": [_override(word) for word in own_data.overrides_made(actor=actor)],
        "cases_shown": [
            {"club": made.assignment.homework.club.name, "case": _case(made)}
            | _plain(made, "shown_at")
            for made in own_data.cases_shown_to(actor=actor)
        ],
        "excuses": [
            {"club": made.assignment.homework.club.name, "case": _case(made)}
            | _plain(made, "at", "reason")
            for made in own_data.excuses_made(actor=actor)
        ],
        "invitations": [
            {"club": made.club.name}
            | _plain(made, "role", "created_at", "expires_at", "max_uses", "n_uses")
            for made in own_data.invitations_made(actor=actor)
        ],
        "contacts": [
            {"club": club.name, "name": club.contact_name, "reach": club.contact_reach}
            for club in contacts_written(actor=actor)
        ],
        "algorithms": [
            {"club": added.club.name, "case": _case(added)}
            | _plain(added, "text", "note", "added_at", "retired_at")
            for added in own_data.algorithms_added(actor=actor)
        ],
        "case_words": [
            {"club": written.club.name, "case": _case(written)}
            | _plain(written, "text", "hold_angle", "hold_before", "written_at")
            for written in own_data.case_words_written(actor=actor)
        ],
    }


def _events(actor: User) -> list[dict[str, Any]]:
    about = [*changes_about(actor=actor, limit=None), *looks_at(actor=actor, limit=None)]
    about.sort(key=lambda event: (event.at, event.pk))
    lines = zip(about, event_lines(actor=actor, events=about), strict=True)
    return [
        _event(event) | {"by": event_by(line), "what": event_words(line)} for event, line in lines
    ] + [_event(event) | {"by": "you"} for event in events_made(actor=actor)]


def _event(event: AuditEvent) -> dict[str, Any]:
    club = None if event.club is None else event.club.name
    return {"club": club, **_plain(event, "at", "verb", "page", "detail")}


def _upload(upload: Upload) -> dict[str, Any]:
    counts = ("n_rows", "n_taken", "n_doubled", "n_completed", "n_on_hold", "n_deleted")
    return {
        **_plain(upload, "file_name", "received_at", "format", "time_zone", "sha256", *counts),
        **_plain(upload, "n_set_aside", "taken_back_at"),
        "mapping": upload.mapping,
        "set_aside_rows": [
            _plain(row, "line", "code", "message", "text", "mended_at", "left_out_at")
            for row in upload.set_aside_rows.all()
        ],
        "rows_beside_the_log": [
            _plain(row, "line", "fate", "is_away", "sent", "correction", "decided_at")
            for row in getattr(upload, "rows_beside", ())
        ],
    }


def _assignment(asked: Assignment) -> dict[str, Any]:
    homework = asked.homework
    return {
        "club": homework.club.name,
        **_plain(homework, "set_at", "due_on", "way", "n_wanted", "goal"),
        **_plain(homework, "recognition_target_ms", "note"),
        "cases": [
            {"case": _case(case), **_plain(case, "asked_at", "shown_at")}
            for case in asked.cases.all()
        ],
        "excused": [
            {"case": _case(excuse), **_plain(excuse, "at", "reason")}
            for excuse in asked.excuses.all()
        ],
    }


def _override(word: Override) -> dict[str, Any]:
    return {"club": word.club.name, "case": _case(word)} | _plain(
        word, "kind", "place", "reason", "at", "withdrawn_at"
    )


def _cases(cases: Iterable[HomeworkCase | LessonCase]) -> list[str]:
    return [_case(one) for one in sorted(cases, key=lambda one: one.place)]


def _case(
    named: (
        HomeworkCase
        | LessonCase
        | AssignmentCase
        | DrillAnswer
        | Excuse
        | Override
        | BookAlgorithm
        | CaseWords
        | KnownByWord
        | PracticeAnswer
    ),
) -> str:
    return f"{named.stage.upper()} {named.case}"


def _plain(row: Model, *names: str) -> dict[str, Any]:
    """The fields as JSON takes them: instants and days as text, the rest as they are."""
    return {name: _json(getattr(row, name)) for name in names}


def _json(value: object) -> object:
    if isinstance(value, datetime):
        return format_done_at(value)
    return value.isoformat() if isinstance(value, date) else value


def _instant(value: datetime | None) -> str | None:
    return None if value is None else format_done_at(value)


def file_as_sent(*, actor: User, upload_id: int) -> CopiedFile:
    """One of the actor's uploads, byte for byte as it was sent.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = own_data.own_file(actor=actor, upload_id=upload_id)
    content = bytes(upload.content)
    format = Format(upload.format)
    suffix = SourceFile(content).suffix if format is Format.MAPPED else format.suffix
    return CopiedFile(f"sent-{upload.pk}.{suffix}", KINDS[suffix], content)
