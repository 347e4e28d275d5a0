"""The task engine as it is really run: Celery's processes on a database of a real Redis of their own.

``REDIS_URL`` names the Redis (redis://127.0.0.1:6379/15 without it). The number in it is not used:
a test takes the highest one that is empty, so that it disturbs nothing and runs beside itself.
"""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest
import redis

from tests.kill.site import ROOT, environment, wait_for

CLAIM = "held by tests/kill"
CLAIM_S = 600
QUEUE = "celery"
"""Celery's list of the numbers that no worker has been given yet."""
UNACKED = "unacked"
"""Celery's hash of those that a worker was given and has not answered for."""


class Broker:
    """A database of Redis that is nobody else's.

    Attributes:
        url: Its address, as in ``CLUBSITE_BROKER``.
    """

    def __init__(self, url: str) -> None:
        self.url = url
        self._redis = redis.Redis.from_url(url, socket_timeout=5)

    def claim(self) -> bool:
        """Take the database, if it is empty."""
        if not self._redis.set(CLAIM, os.getpid(), nx=True, ex=CLAIM_S):
            return False
        if self._redis.dbsize() == 1:
            return True
        self._redis.delete(CLAIM)
        return False

    def release(self) -> None:
        """Leave the database empty."""
        self._redis.flushdb()
        self._redis.close()

    def lose_everything(self) -> None:
        """FLUSHDB; the claim alone is set again with it."""
        with self._redis.pipeline(transaction=True) as both:
            both.flushdb()
            both.set(CLAIM, os.getpid(), ex=CLAIM_S)
            both.execute()

    def n_waiting(self) -> int:
        """Numbers that no worker has been given yet."""
        return int(self._redis.llen(QUEUE))

    def n_given(self) -> int:
        """Numbers that a worker was given and has not answered for."""
        return int(self._redis.hlen(UNACKED))


@contextmanager
def claimed_broker() -> Iterator[Broker]:
    """A database of the Redis; without a Redis the test is skipped, but not in CI."""
    parts = urlsplit(os.environ.get("REDIS_URL", "redis://127.0.0.1:6379/15"))
    for number in range(15, 0, -1):
        broker = Broker(urlunsplit(parts._replace(path=f"/{number}")))
        try:
            claimed = broker.claim()
        except redis.ConnectionError:
            reason = f"no Redis answers at {parts.hostname}:{parts.port} (REDIS_URL)"
            if os.environ.get("CI"):
                pytest.fail(reason)
            pytest.skip(reason)
        if claimed:
            try:
                yield broker
            finally:
                broker.release()
            return
    raise AssertionError("no database of the Redis is empty")


@dataclass
class Engine:
    """Celery's processes, each with its children in a group of its own.

    Attributes:
        data: The directory of their data and logs.
        url: The broker's address.
        processes: By name: the workers', and ``beat``.
    """

    data: Path
    url: str
    processes: dict[str, "subprocess.Popen[bytes]"] = field(default_factory=dict)

    def start(self, *workers: str) -> None:
        """Begin the workers and one beat, as DEVELOPERS.md says."""
        for name in workers:
            self._run(name, "worker", "-n", f"{name}@%h", "-c", "1", "--without-gossip")
        self._run("beat", "beat", "-s", str(self.data / "beat"))

    def wait_until_ready(self) -> None:
        """Wait until all that was started is at its work."""
        for name in self.processes:
            self._wait_until_said(name, "beat: Starting" if name == "beat" else " ready.")

    def log(self, name: str) -> str:
        """What a process has written."""
        return (self.data / f"{name}.log").read_text()

    def n_received(self, name: str, task: str) -> int:
        """How many numbers a worker was given."""
        return len(re.findall(rf"Task {re.escape(task)}\[\S+\] received", self.log(name)))

    def kill(self, name: str) -> None:
        """``kill -9`` a process with its children, as when its host goes down."""
        process = self.processes.pop(name)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def kill_child(self, name: str) -> None:
        """``kill -9`` the process that does a worker's tasks, as when its memory is wanted."""
        pid = self.processes[name].pid
        (child,) = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
        os.kill(int(child), signal.SIGKILL)
        wait_for(lambda: not Path(f"/proc/{child}").exists())

    def stop(self) -> None:
        """End what still runs, at once: what it is at is of no use any more."""
        for name in list(self.processes):
            self.kill(name)

    def _wait_until_said(self, name: str, words: str) -> None:
        wait_for(lambda: words in self.log(name), 120)

    def _run(self, name: str, *command: str) -> None:
        with (self.data / f"{name}.log").open("wb") as file:
            self.processes[name] = subprocess.Popen(
                [sys.executable, "-m", "celery", "-A", "clubsite.broker", *command, "-l", "INFO"],
                cwd=ROOT,
                env=environment(self.data, self.url),
                stdout=file,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
