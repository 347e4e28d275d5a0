"""Rows that stand for many tests, each of which is undone by itself."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from pytest_django import DjangoDbBlocker


@contextmanager
def rows_kept(blocker: DjangoDbBlocker) -> Iterator[None]:
    """A transaction around a fixture's rows and the tests that read them; nothing of it is kept.

    The tests are marked ``django_db``, so what one does is undone at its end. A request's end must
    not close the connection meanwhile, as the framework's own client sees to.
    """
    signals = [
        signal
        for signal in (request_started, request_finished)
        if signal.disconnect(close_old_connections)
    ]
    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)
    for signal in signals:
        signal.connect(close_old_connections)
