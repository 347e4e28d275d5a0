"""The demo club with all its logs, as they are: taken in once for all tests of this folder."""

from collections.abc import Iterator
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from pytest_django import DjangoDbBlocker

from logs.intake.source import SourceFile
from logs.people.models import Membership, Role, Visibility
from logs.solves.services.uploads import upload_import
from tests.demo.demo_club import demo_club
from tests.demo.reading import LOGS
from tests.factories import SENT_AT, make_club, make_membership
from tests.kept_rows import rows_kept


def take_in(membership: Membership, path: Path, content: bytes | None = None) -> None:
    """Add a demo log, or what ``content`` has of it, to the member's."""
    upload_import(
        member=membership.user,
        source=SourceFile(path.read_bytes() if content is None else content),
        file_name=path.name,
        time_zone=ZoneInfo(demo_club().zone),
        now=SENT_AT,
    )


@pytest.fixture(scope="package")
def riverside(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[dict[str, Membership]]:
    """The members by their names in lower case, each showing their log to the club."""
    with rows_kept(django_db_blocker):
        club = make_club(time_zone=demo_club().zone)
        members = {}
        for member in demo_club().members:
            membership = make_membership(club, role=Role(member.role), visibility=Visibility.CLUB)
            membership.display_name = member.nickname.lower()
            membership.save()
            members[membership.display_name] = membership
        for path in LOGS:
            take_in(members[path.stem.partition("-")[0]], path)
        yield members
