"""What tests are built from: plain functions, one for each noun. Rows are made by really turning."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from itertools import count
from zoneinfo import ZoneInfo

from django.contrib.auth import get_user_model
from django.test import Client

from clubsite.accounts.models import User
from cubecore.notation import format_turns, parse_script
from cubecore.rows import (
    FIELDS,
    MARK_FIELDS,
    Penalty,
    Row,
    format_mark_ms,
    format_time_exactly,
    format_turn_ms,
)
from cubecore.turns import inverse
from logs.intake.formats import PLAIN_FIELDS, format_csv_line
from logs.intake.source import SourceFile
from logs.people.models import Club, Membership, Role, Visibility
from logs.people.services.memberships import club_create, membership_add
from logs.solves.models.solves import Upload
from logs.solves.services.uploads import upload_import

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
SENT_AT = datetime(2027, 1, 1, 12, 0, tzinfo=UTC)
"""When logs are sent: after all that tests put into them, for dates ahead are put on hold."""
LAST_PAIR = "R U R'"  # from three pairs home to F2L: what makes a row a solve and not a drill
SUNE = "R U R' U R U2 R'"  # OLL 27
# OLL 27 too, though not in the standard book; common practice, no source.
CORNER_CYCLE = "R U' L' U R' U' L"
T_PERM = "R U R' U' R' F R2 U' R' U' R U R' F'"
_numbers = count(1)


def make_user(username: str = "", *, is_active: bool = True) -> User:
    """A person who signs in; named anew each time."""
    name = username or f"person{next(_numbers)}"
    return get_user_model().objects.create(username=name, is_active=is_active)


def make_club(name: str = "", *, time_zone: str = "UTC") -> Club:
    """A club; named anew each time."""
    number = next(_numbers)
    return club_create(name=name or f"Club {number}", slug=f"club-{number}", time_zone=time_zone)


def make_membership(
    club: Club,
    user: User | None = None,
    *,
    role: Role = Role.MEMBER,
    visibility: Visibility = Visibility.ONLY_ME,
) -> Membership:
    """A person in ``club``; a new one when ``user`` is None."""
    user = user or make_user()
    return membership_add(
        club=club, user=user, display_name=user.username, role=role, visibility=visibility
    )


def make_client(person: User | Membership) -> Client:
    """A browser in which they are signed in."""
    client = Client()
    client.force_login(person.user if isinstance(person, Membership) else person)
    return client


def make_row(
    *parts: str,
    gap_ms: int = 150,
    is_timed: bool = True,
    done_at: datetime | None = NOW,
    penalty: Penalty = Penalty.NONE,
    note: str = "",
) -> Row:
    """A row whose solution is ``parts`` one after another and whose scramble is their inverse.

    Each part begins after a pause of ten gaps; turns inside it are a gap apart.
    """
    parts = parts or (LAST_PAIR, SUNE, T_PERM)
    solution = " ".join(parts)
    turn_ms: list[int] = []
    clock = 0
    for part in parts:
        n_turns = parse_script(part).n_layer_tokens
        turn_ms += [clock + gap_ms * (10 + i) for i in range(n_turns)]
        clock = turn_ms[-1] if turn_ms else 0
    return Row(
        scramble=format_turns(inverse(parse_script(solution).turns)),
        time_ms=clock + 20,
        penalty=penalty,
        solution=solution,
        turn_ms=tuple(turn_ms) if is_timed else None,
        done_at=None if done_at is None else done_at.isoformat(),
        note=note,
    )


def make_rows(n_rows: int, *parts: str) -> list[Row]:
    """Rows a minute apart, the first at ``NOW``."""
    return [make_row(*parts, done_at=NOW + timedelta(minutes=i)) for i in range(n_rows)]


def make_csv(rows: Iterable[Row]) -> bytes:
    """The rows as a CSV log: a header and one record for each, CRLF at their ends (RFC 4180).

    Columns of marks and instruments stand in it where a row has any.
    """
    cells = [
        {
            "done_at": row.done_at or "",
            "scramble": row.scramble,
            "time": format_time_exactly(row.time_ms),
            "penalty": str(row.penalty),
            "solution": row.solution or "",
            "turn_ms": format_turn_ms(row.turn_ms),
            "mark_ms": format_mark_ms(row.mark_ms),
            "timed_by": str(row.timed_by or ""),
            "step_ms": str(row.step_ms or ""),
            "note": row.note,
        }
        for row in rows
    ]
    has_marks = any(record[name] for record in cells for name in MARK_FIELDS)
    names = FIELDS if has_marks else PLAIN_FIELDS
    records = [[record[name] for name in names] for record in cells]
    return "".join(map(format_csv_line, [names, *records])).encode()


def make_upload(
    member: User,
    rows: Sequence[Row] | None = None,
    *,
    content: bytes | None = None,
    file_name: str = "log.csv",
    time_zone: str = "UTC",
    now: datetime = SENT_AT,
) -> Upload:
    """A stored upload of ``content``, or else of ``rows``, or else of one row."""
    rows = [make_row()] if rows is None else rows
    return upload_import(
        member=member,
        source=SourceFile(make_csv(rows) if content is None else content),
        file_name=file_name,
        time_zone=ZoneInfo(time_zone),
        now=now,
    )
