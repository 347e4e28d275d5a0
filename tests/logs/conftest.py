"""What tests of the app may ask for: a world of two clubs, built once for a module; one person."""

from collections.abc import Iterator

import pytest
from pytest_django import DjangoDbBlocker

from logs.people.models import Membership, Role
from tests.factories import make_club, make_membership
from tests.kept_rows import rows_kept
from tests.logs.web.access_table import ROUTES  # noqa: F401 - brings what the world is built of
from tests.logs.web.access_world import World


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    """Two clubs and everybody in and out of them."""
    with rows_kept(django_db_blocker):
        yield World()


@pytest.fixture
def coach(db: None) -> Membership:
    """The coach of a club of their own."""
    return make_membership(make_club("Riverbank"), role=Role.COACH)


@pytest.fixture
def owner(db: None) -> Membership:
    """The owner of a club of their own."""
    return make_membership(make_club("Riverbank"), role=Role.OWNER)


@pytest.fixture
def member(db: None) -> Membership:
    """The one member of a club."""
    return make_membership(make_club("Riverbank"))
