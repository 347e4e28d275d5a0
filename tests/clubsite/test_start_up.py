"""The site as it is really started: in a process of its own, with an environment of its own."""

import json
import os
import re
import socket
import stat
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SECRET = "k3J9s-vQ2xLw8ZrTn5YbHc0dFgPm7AeUiOo4XtRzSyWqVu1NpM"
PUBLIC = {"CLUBSITE_HOSTS": "cubes.example.org", "CLUBSITE_SECRET_KEY": SECRET}

# Asks for four pages of different kinds and prints their headers and cookies.
ASK = """
import json, django
django.setup()
from django.core.management import call_command
from django.test import Client
call_command("migrate", verbosity=0)
client = Client(headers={"host": "cubes.example.org"})
answers = {}
for path in ["/sign-in/", "/password/", "/nowhere/", "/static/site/site.css"]:
    response = client.get(path, secure=True)
    answers[path] = {"status": response.status_code, "headers": dict(response.items())}
answers["cookies"] = {
    name: {key: morsel[key] for key in ("path", "domain", "secure", "httponly", "samesite")}
    for name, morsel in client.cookies.items()
}
plain = client.get("/sign-in/")
answers["plain"] = {"status": plain.status_code, "headers": dict(plain.items())}
print(json.dumps(answers))
"""


def start(*arguments: str, data: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    inherited = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith("CLUBSITE_") and name != "DATABASE_URL"
    }
    environment = {
        **inherited,
        "CLUBSITE_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "clubsite.settings",
        **variables,
    }
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def test_the_deployment_check_finds_nothing_on_a_public_site(tmp_path: Path):
    done = start(
        "manage.py", "check", "--deploy", "--fail-level", "WARNING", data=tmp_path, **PUBLIC
    )
    assert done.returncode == 0, done.stderr
    assert "no issues (0 silenced)" in done.stdout


@pytest.mark.parametrize(
    ("changes", "variable"),
    [
        ({"CLUBSITE_DEBUG": "1"}, "CLUBSITE_DEBUG"),
        ({"CLUBSITE_SECRET_KEY": ""}, "CLUBSITE_SECRET_KEY"),
        ({"CLUBSITE_HOSTS": "*"}, "CLUBSITE_HOSTS"),
    ],
)
def test_an_unsafe_public_site_does_not_start(
    tmp_path: Path, changes: dict[str, str], variable: str
):
    done = start("manage.py", "check", data=tmp_path, **{**PUBLIC, **changes})
    assert done.returncode == 1
    (line,) = done.stderr.splitlines()
    assert line.startswith(f"The site does not start. {variable}: ")


@pytest.mark.parametrize("command", ["club", "serve", "migrate"])
def test_a_secret_that_is_too_short_is_told_in_one_line(tmp_path: Path, command: str):
    words = ["club", "Fernside"] if command == "club" else [command]
    done = start("manage.py", *words, data=tmp_path, **{**PUBLIC, "CLUBSITE_SECRET_KEY": "short"})
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "The site does not start. CLUBSITE_SECRET_KEY: is too easy to guess: "
        "at least 50 random characters are needed."
    ]


def test_a_club_before_there_are_tables_is_told_in_one_line_what_to_do(tmp_path: Path):
    done = start("manage.py", "club", "Fernside", data=tmp_path)
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "CommandError: The database has no tables yet: run manage.py migrate first."
    ]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The data of a site; it has tables once ``answers`` were asked for."""
    return tmp_path_factory.mktemp("site") / "var"


@pytest.fixture(scope="module")
def answers(site: Path):
    done = start("-c", ASK, data=site, **PUBLIC)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_site_is_not_served_on_the_tables_of_another_version(tmp_path: Path):
    done = start("manage.py", "serve", "--port", "0", data=tmp_path)
    assert done.returncode == 1
    (line,) = done.stderr.splitlines()
    assert "The tables are not those of this version: run manage.py migrate first." in line


def test_nobody_else_on_the_machine_reads_the_data(answers, site: Path):
    files = {path.name: stat.filemode(path.stat().st_mode) for path in [site, *site.iterdir()]}
    assert files["var"] == "drwx------"
    assert "club.sqlite3" in files
    assert {mode for name, mode in files.items() if name != "var"} == {"-rw-------"}


def test_data_that_others_may_read_is_closed_to_them(answers, site: Path):
    database = site / "club.sqlite3"
    site.chmod(0o755)
    database.chmod(0o644)
    done = start("manage.py", "migrate", "--check", data=site)
    assert done.returncode == 0, done.stderr
    modes = [stat.filemode(path.stat().st_mode) for path in (site, database)]
    assert modes == ["drwx------", "-rw-------"]


@pytest.mark.parametrize(
    ("path", "status"),
    [("/sign-in/", 200), ("/password/", 302), ("/nowhere/", 404), ("/static/site/site.css", 200)],
)
def test_every_kind_of_answer_carries_the_security_headers(answers, path: str, status: int):
    assert answers[path]["status"] == status
    headers = answers[path]["headers"]
    # OWASP ASVS 5.0, 3.4: HSTS for at least a year, a content security policy, nosniff, a
    # referrer policy.
    hsts = re.fullmatch(
        r"max-age=(\d+); includeSubDomains; preload", headers["Strict-Transport-Security"]
    )
    assert hsts is not None
    assert int(hsts[1]) >= 365 * 24 * 3600
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    policy = dict(
        directive.strip().split(" ", 1)
        for directive in headers["Content-Security-Policy"].split(";")
    )
    assert policy["default-src"] == "'self'"
    assert policy["object-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    assert policy["form-action"] == "'self'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert "http" not in headers["Content-Security-Policy"]


def test_pages_are_kept_out_of_caches(answers):
    for path in ("/sign-in/", "/password/", "/nowhere/"):
        assert "no-store" in answers[path]["headers"]["Cache-Control"]
    assert "no-store" not in answers["/static/site/site.css"]["headers"]["Cache-Control"]


def test_cookies_are_bound_to_the_host_and_to_https(answers):
    # RFC 6265bis, 4.1.3.2: a __Host- cookie is Secure, has path / and no domain.
    assert answers["cookies"] == {
        "__Host-csrf": {
            "path": "/",
            "domain": "",
            "secure": True,
            "httponly": True,
            "samesite": "Lax",
        }
    }


def test_plain_http_is_sent_on_to_https(answers):
    assert answers["plain"]["status"] == 301
    assert answers["plain"]["headers"]["Location"] == "https://cubes.example.org/sign-in/"


def test_serve_says_where_and_answers_there(answers, site: Path):
    environment = {
        **os.environ,
        "CLUBSITE_DATA": str(site),
        "DATABASE_URL": "",
        "PYTHONUNBUFFERED": "1",
    }
    with subprocess.Popen(
        [sys.executable, "manage.py", "serve", "--port", "0"],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:
        try:
            assert server.stdout is not None
            said = server.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:\d+/", said)
            assert found is not None, said
            with urllib.request.urlopen(f"{found[0]}sign-in/", timeout=20) as response:
                assert response.status == 200
                assert "Server" not in response.headers
                assert b"Sign in" in response.read()
        finally:
            server.terminate()


def test_serve_names_the_port_that_is_taken(tmp_path: Path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        done = start("manage.py", "serve", "--port", port, data=tmp_path)
    assert done.returncode == 1
    assert f"127.0.0.1:{port}" in done.stderr
    assert "--port" in done.stderr
