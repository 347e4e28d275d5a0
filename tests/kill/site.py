"""The site as it is really run, on the database of the tests, in processes that can be killed."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from django.db import connection

T = TypeVar("T")
ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Site:
    """A running site.

    Attributes:
        address: Where it answers.
        process: ``manage.py serve``.
        log: What it and its worker write.
    """

    address: str
    process: "subprocess.Popen[bytes]"
    log: Path

    def worker(self) -> int | None:
        """The process id of its worker, when there is one."""
        found = subprocess.run(
            ["pgrep", "-f", f"manage.py worker --parent {self.process.pid} "],
            capture_output=True,
            text=True,
            check=False,
        )
        return int(found.stdout.split()[0]) if found.stdout else None


def environment(data: Path, broker: str = "") -> dict[str, str]:
    """The variables of a site on the database that this process is connected to."""
    settings = connection.settings_dict
    kept = {key: value for key, value in os.environ.items() if not key.startswith("CLUBSITE_")}
    if connection.vendor == "sqlite":
        url = f"sqlite:///{settings['NAME']}"
    else:
        who = settings["USER"] + (f":{settings['PASSWORD']}" if settings["PASSWORD"] else "")
        url = f"postgres://{who}@{settings['HOST']}:{settings['PORT'] or 5432}/{settings['NAME']}"
    return {
        **kept,
        "CLUBSITE_BROKER": broker,
        "CLUBSITE_DATA": str(data),
        "DATABASE_URL": url,
        "PYTHONUNBUFFERED": "1",
    }


@contextmanager
def serving(data: Path, *options: str, broker: str = "") -> Iterator[Site]:
    """``manage.py serve`` on a free port, until the block ends."""
    log = data / "serve.log"
    with log.open("wb") as file:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "serve", "--port", "0", *options],
            cwd=ROOT,
            env=environment(data, broker),
            stdout=file,
            stderr=subprocess.STDOUT,
        )
    try:
        said = wait_for(lambda: re.search(r"http://[\d.:]+", log.read_text()))
        yield Site(said.group(), process, log)
    finally:
        process.terminate()
        process.wait(30)


def wait_for(look: Callable[[], T | None], seconds: float = 60) -> T:
    """What ``look`` finds, looked for until it is there."""
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if found := look():
            return found
        time.sleep(0.1)
    raise AssertionError(f"not there after {seconds} s: {look}")
