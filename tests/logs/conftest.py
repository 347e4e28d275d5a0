"""What tests of the app's edges may ask for: a world of two clubs, built once for a module."""

from collections.abc import Iterator

import pytest
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from pytest_django import DjangoDbBlocker

from tests.logs.web.access_table import ROUTES  # noqa: F401 - brings what the world is built of
from tests.logs.web.access_world import World


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    """Two clubs and everybody in and out of them, in a transaction that ends with the module.

    The tests are marked ``django_db``, so what one does is undone at its end. A request's end must
    not close the connection meanwhile, as the framework's own client sees to.
    """
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    with django_db_blocker.unblock(), transaction.atomic():
        yield World()
        transaction.set_rollback(True)
    for signal in signals:
        signal.connect(close_old_connections)
