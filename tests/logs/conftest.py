"""What tests of the app's edges may ask for: a world of two clubs, built once for a module."""

from collections.abc import Iterator

import pytest
from pytest_django import DjangoDbBlocker

from tests.kept_rows import rows_kept
from tests.logs.web.access_table import ROUTES  # noqa: F401 - brings what the world is built of
from tests.logs.web.access_world import World


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    """Two clubs and everybody in and out of them."""
    with rows_kept(django_db_blocker):
        yield World()
