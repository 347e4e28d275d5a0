"""A club's research export, and who has a part in it: how many, never who."""

from dataclasses import dataclass
from datetime import datetime
from tempfile import TemporaryFile
from typing import IO

from clubsite.accounts.models import User
from logs.errors import ConflictError, LogsError
from logs.people.sight import ClubView, club_sight
from logs.research.figures import COLUMNS, MIN_MEMBERS, Column, export_write
from logs.research.selectors import research_memberships, research_rows
from logs.research.services import research_export_note

PARQUET = "application/vnd.apache.parquet"
"""The export's media type, as registered with IANA, from memory."""


@dataclass(frozen=True, slots=True)
class ResearchReport:
    """What the page of the research export shows.

    Attributes:
        view: The club as its coach sees it.
        is_open: Whether enough members agreed for an export to be made.
        n_least: How many members that takes.
        columns: What each column of the export holds.
    """

    view: ClubView
    is_open: bool
    n_least: int
    columns: tuple[Column, ...]


def research_report(*, actor: User, slug: str) -> ResearchReport:
    """The research export of a club that ``actor`` coaches.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    _, memberships = research_memberships(actor=actor, slug=slug)
    return ResearchReport(
        view=club_sight(actor=actor, slug=slug),
        is_open=len(memberships) >= MIN_MEMBERS,
        n_least=MIN_MEMBERS,
        columns=COLUMNS,
    )


REFUSAL = (
    f"No export is made: fewer than {MIN_MEMBERS} members with solves agreed and show you their log."
    " With so few, names left out hide nobody: whoever knows the club can guess whose rows are whose."
)


def research_export(
    *,
    actor: User,
    slug: str,
    file: IO[bytes],
    key: bytes,
    address: str,
    now: datetime,
    origin: str = "",
) -> int:
    """Write the club's research export as Parquet, and note that it was taken; how many rows.

    Args:
        actor: A coach of the club.
        slug: The club's.
        file: Where to.
        key: Random, of this export alone; whoever has it could tell the members.
        address: Where the request comes from.
        now: When.
        origin: The actor's network.

    Raises:
        NotFoundError: The club is not the actor's to coach.
        ConflictError: Too few members agreed.
        TooManyTriesError: Copies were taken too often lately.
    """
    club, memberships = research_memberships(actor=actor, slug=slug)
    if len(memberships) < MIN_MEMBERS:
        raise ConflictError(REFUSAL)
    research_export_note(
        actor=actor,
        club=club,
        membership_ids=[one.pk for one in memberships],
        address=address,
        now=now,
        origin=origin,
    )
    members = ((one.user_id, research_rows(actor=actor, membership=one)) for one in memberships)
    return export_write(file, members, key=key)


def research_file(
    *, actor: User, slug: str, key: bytes, address: str, now: datetime, origin: str = ""
) -> IO[bytes]:
    """The club's research export in a file without a name, which is gone once it is closed.

    Raises:
        LogsError: As `research_export`.
    """
    file = TemporaryFile()  # noqa: SIM115 - closed here where it fails, else by who reads it
    try:
        research_export(
            actor=actor, slug=slug, file=file, key=key, address=address, now=now, origin=origin
        )
    except LogsError:
        file.close()
        raise
    file.seek(0)
    return file
