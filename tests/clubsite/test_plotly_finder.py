"""plotly.js comes out of the installed package, whichever way static files are asked for."""

from pathlib import Path

import plotly
import pytest
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.test import Client

from clubsite.plotly_finder import PlotlyFinder

PACKAGED = Path(plotly.__file__).parent / "package_data" / "plotly.min.js"


def test_the_file_found_is_the_package_s():
    found = finders.find("vendor/plotly.min.js")
    assert found is not None
    assert Path(found).samefile(PACKAGED)


@pytest.mark.parametrize("path", ["plotly.min.js", "vendor/other.js", "vendor/../plotly.min.js"])
def test_no_other_path_is_answered(path: str):
    assert not PlotlyFinder().find(path)
    assert PlotlyFinder().find(path, find_all=True) == []


def test_the_site_serves_it_without_collecting_first():
    response = Client().get("/static/vendor/plotly.min.js")
    assert response.status_code == 200
    assert b"".join(response) == PACKAGED.read_bytes()


def test_it_is_collected_with_the_rest(tmp_path: Path, settings):
    settings.STATIC_ROOT = str(tmp_path)
    call_command("collectstatic", interactive=False, verbosity=0)
    assert (tmp_path / "vendor" / "plotly.min.js").read_bytes() == PACKAGED.read_bytes()
    assert (tmp_path / "site" / "tokens.css").exists()
