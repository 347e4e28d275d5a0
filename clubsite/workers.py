"""The worker beside ``manage.py serve``: a child process, started again whenever it ends."""

import logging
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import DatabaseError, connection

from logs.jobs.services import jobs_let_go

MANAGE = Path(__file__).resolve().parent.parent / "manage.py"
STOP_S = 10
"""How long a worker may take to end what it is at when the site is stopped."""
PAUSE_S = 1.0
"""Before a worker that has ended is started again."""

logger = logging.getLogger(__name__)


@contextmanager
def worker_beside() -> Iterator[None]:
    """Keep one worker running as a child of this process, and stop it at the end.

    It is a process and not a thread, so that labelling takes no time from pages. It dies with this
    process, even when that is killed (on Linux at once, elsewhere between two chunks).
    """
    keeper = _Keeper()
    keeper.start()
    try:
        yield
    finally:
        keeper.stop()


class _Keeper(threading.Thread):
    """The thread that waits for the child: Linux ends a child with the thread that started it."""

    def __init__(self) -> None:
        super().__init__(name="worker-keeper", daemon=True)
        self._is_stopping = threading.Event()
        self._child: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()

    def run(self) -> None:
        number = 0
        while not self._is_stopping.is_set():
            number += 1
            name = f"{socket.gethostname()[:50]}-{os.getpid()}-{number}"
            with self._lock:
                if self._is_stopping.is_set():
                    return
                self._child = self._begin(name)
            code = self._child.wait()
            if self._is_stopping.is_set():
                return
            logger.warning("the worker ended (%s); another is started", code)
            self._let_go(name)
            time.sleep(PAUSE_S)

    def stop(self) -> None:
        """Have the child end after its chunk, or else end it."""
        self._is_stopping.set()
        with self._lock:
            child = self._child
        if child is None:
            return
        child.terminate()
        try:
            child.wait(STOP_S)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()

    @staticmethod
    def _begin(name: str) -> "subprocess.Popen[bytes]":
        command = [sys.executable, str(MANAGE), "worker"]
        return subprocess.Popen(  # noqa: S603 - our own program, no word of it from outside
            [*command, "--parent", str(os.getpid()), "--name", name]
        )

    @staticmethod
    def _let_go(name: str) -> None:
        """Free the job it held at once: it is known to be dead."""
        try:
            jobs_let_go(worker=name)
        except DatabaseError:
            logger.warning("its job waits until its lease ends")
        finally:
            connection.close()
