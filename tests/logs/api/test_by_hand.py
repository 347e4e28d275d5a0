"""A program in no language but the shell's: curl and jq upload a log and read back its cases."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from django.utils import timezone

from logs.people.services.tokens import token_make
from tests.factories import make_club, make_csv, make_membership, make_rows

SCRIPT = """
set -euo pipefail
ask() { curl --silent --show-error --max-time 60 -H "Authorization: Bearer $TOKEN" "$@"; }

# Sent twice, as after a lost answer: the first adds the rows, the second adds nothing.
ask --form file=@log.csv "$API/uploads" | jq -c '[.is_repeat, .report.upload.n_taken]'
ask --form file=@log.csv "$API/uploads" | jq -c '[.is_repeat, .report.upload.n_taken]'

# One solve, as a timer's program would send it.
ask --json '{"scramble": "F R", "time": 3.21, "solution": "R'"'"' F'"'"'"}' "$API/solves" | jq -c .is_doubled

# The cases met, most met first, and the solves behind one of them.
ask "$API/cases" | jq -c '[.stages[].cases[] | select(.n > 0) | [.stage, .number, .n]]'
ask "$API/cases/oll/27" | jq -c '[.sightings[] | .n_looks]'
ask "$API/solves?case=oll-27&page=2" | jq -c '[.n, .n_pages, (.lines | length)]'

# Refused: no token, no such page.
curl --silent --output /dev/null --write-out '%{http_code}\\n' "$API/log"
ask "$API/solves/999999999" | jq -r .error.code
"""


@pytest.fixture(autouse=True)
def _programs() -> None:
    """What the script calls. Where it is not installed the test is skipped, but not in CI."""
    missing = [name for name in ("bash", "curl", "jq") if shutil.which(name) is None]
    if missing:
        reason = f"not installed: {', '.join(missing)} (apt-get install curl jq)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)


@pytest.mark.django_db(transaction=True)
def test_a_shell_script_uploads_a_log_and_reads_back_its_cases(live_server, tmp_path: Path):
    member = make_membership(make_club()).user
    _, token = token_make(
        actor=member, name="script", scopes=["read", "upload"], days=1, now=timezone.now()
    )
    (tmp_path / "log.csv").write_bytes(make_csv(make_rows(60)))
    ran = subprocess.run(
        ["/bin/bash", "-c", SCRIPT],
        env={**os.environ, "API": f"{live_server.url}/api/v1", "TOKEN": token},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.stderr == ""
    assert ran.stdout.splitlines() == [
        "[false,60]",
        "[true,60]",
        "false",
        '[["oll","27",60],["pll","T",60]]',
        str([1] * 50).replace(" ", ""),
        "[60,2,10]",
        "401",
        "not_found",
    ]
