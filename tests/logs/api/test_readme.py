"""The examples of README do what it says of them, against a site that is served."""

import os
import re
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest
from django.utils import timezone

from logs.people.services.tokens import token_make
from tests.factories import make_club, make_csv, make_membership, make_rows, make_upload
from tests.logs.api.test_by_hand import _programs  # noqa: F401 - the shell's programs are there

README = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
PROGRAMS = README.partition("## From your own programs")[2].partition("\n## ")[0]
EXAMPLES = dict(re.findall(r"```(\w+)\n(.*?)```", PROGRAMS, re.DOTALL))

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def member():
    return make_membership(make_club()).user


def said_by(command: list[str], member, live_server, folder: Path) -> list[str]:
    """What an example writes, line by line; it must not complain."""
    scopes = ["read", "upload"]
    _, token = token_make(actor=member, name="me", scopes=scopes, days=1, now=timezone.now())
    ran = subprocess.run(
        command,
        env={**os.environ, "SITE": live_server.url, "TOKEN": token},
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    return ran.stdout.splitlines()


def test_the_shell_s_example_sends_a_log_and_reads_it_back(member, live_server, tmp_path: Path):
    rows = make_rows(3)
    (tmp_path / "my-log.csv").write_bytes(make_csv(rows))
    lines = said_by(["/bin/bash", "-c", EXAMPLES["sh"]], member, live_server, tmp_path)
    newest = f'["2026-03-01T12:02:00Z",{rows[2].time_ms},"solved"]'  # a minute after the one before
    assert lines[:4] == [
        '{"n_rows":3,"n_taken":3,"n_doubled":0,"n_set_aside":0}',
        '["oll","27",3]',
        '["pll","T",3]',
        newest,
    ]
    assert lines[-2:] == ["200", "304"]
    assert '"n":3' in (tmp_path / "solves.json").read_text()


def test_the_notebook_s_example_makes_a_frame_of_a_log(member, live_server, tmp_path: Path):
    rows = make_rows(60)  # more than a page
    make_upload(member, rows)
    frame = said_by([sys.executable, "-c", EXAMPLES["python"]], member, live_server, tmp_path)
    name, n, middle = frame[-1].rsplit(maxsplit=2)
    assert (name, int(n)) == ("OLL 27 Sune", 60)
    assert float(middle) == median(row.time_ms for row in rows)
    assert len([line for line in EXAMPLES["python"].splitlines() if line]) <= 10
