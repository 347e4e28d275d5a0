"""Static files: an address for what stands in them, kept for a year, sent packed."""

import gzip
from hashlib import sha256
from pathlib import Path

import pytest
from django.conf import settings as site_settings
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.templatetags.static import static
from django.test import Client

CHARTS = "vendor/plotly-basic.min.js"


def place(name: str) -> Path:
    found = finders.find(name)
    assert isinstance(found, str)
    return Path(found)


@pytest.mark.parametrize("name", [CHARTS, "site/site.css", "logs/logs.css"])
def test_an_address_holds_the_digest_of_the_file(name: str):
    digest = sha256(place(name).read_bytes()).hexdigest()
    assert static(name) == f"/static/{name}?v={digest[:12]}"


def test_an_unknown_file_has_an_address_without_a_digest():
    assert static("site/nothing.css") == "/static/site/nothing.css"


def test_a_browser_may_keep_a_file_for_a_year():
    response = Client().get(static("site/site.css"))
    assert b"".join(response) == place("site/site.css").read_bytes()
    assert response.headers["Cache-Control"] == f"max-age={365 * 24 * 3600}, public"
    assert site_settings.DEBUG is False


def test_the_chart_library_arrives_packed_and_whole():
    response = Client().get(static(CHARTS), headers={"Accept-Encoding": "gzip"})
    packed = b"".join(response)
    assert gzip.decompress(packed) == place(CHARTS).read_bytes()
    assert len(packed) < 450_000
    assert "Accept-Encoding" in response.headers["Vary"]


def test_a_page_arrives_packed():
    response = Client().get("/sign-in/", headers={"Accept-Encoding": "gzip"})
    assert b"<h1>Sign in</h1>" in gzip.decompress(response.content)


def test_files_can_be_collected_too(tmp_path: Path, settings):
    settings.STATIC_ROOT = str(tmp_path)
    call_command("collectstatic", interactive=False, verbosity=0)
    assert (tmp_path / "vendor" / "plotly-basic.min.js").exists()
    assert (tmp_path / "site" / "tokens.css").exists()
