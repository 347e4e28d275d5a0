"""``manage.py worker``: does the jobs that wait, one at a time, until it is stopped."""

import ctypes
import logging
import os
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import InterfaceError, OperationalError, connection
from django.utils import timezone

from logs.tasks import execute_next, sweep

IDLE_S = 0.5
"""Between two looks for a job when there was none."""
SWEEP_S = 10
PR_SET_PDEATHSIG = 1  # prctl(2)

logger = logging.getLogger(__name__)


class Command(BaseCommand):
    """Look for jobs in the database and do them. Any number of workers may run, on any host."""

    help = "Do the work that waits behind requests. manage.py serve starts one by itself."

    def add_arguments(self, parser: CommandParser) -> None:
        """Whose child it is, and what it is called."""
        parser.add_argument("--parent", type=int, help="end when the process of this id has ended")
        parser.add_argument("--name", default="", help="the name that jobs are held by")

    def handle(self, *args: Any, parent: int | None, name: str, **options: Any) -> None:
        """Work until a signal comes or the parent is gone; a job is let go between two chunks."""
        stopped = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stopped.set())
        if parent is not None:
            _die_with_parent()

        def is_stopping() -> bool:
            return stopped.is_set() or (parent is not None and os.getppid() != parent)

        _work(name or f"{socket.gethostname()[:50]}-{os.getpid()}", is_stopping, stopped)


def _work(worker: str, is_stopping: Callable[[], bool], stopped: threading.Event) -> None:
    swept_at = 0.0
    while not is_stopping():
        try:
            if time.monotonic() - swept_at > SWEEP_S:
                sweep(now=timezone.now())
                swept_at = time.monotonic()
            if not execute_next(worker=worker, is_stopping=is_stopping):
                stopped.wait(IDLE_S)
        except (OperationalError, InterfaceError) as error:
            logger.warning("the database is not to be had (%s); trying again", type(error).__name__)
            connection.close()
            stopped.wait(2 * IDLE_S)


def _die_with_parent() -> None:
    """Have Linux end this process with its parent; elsewhere the loop looks at who that is."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGKILL)
