"""A long log's way in, as its member sees it: the bar moves by itself, stops, goes on."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import FilePayload, Page, expect
from pytest_django.live_server_helper import LiveServer

from clubsite.accounts.models import User
from logs.jobs.models import Job
from logs.solves.services import ingest
from logs.tasks import execute
from tests.browser.conftest import SignIn
from tests.factories import make_csv, make_rows

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def _one_chunk() -> Callable[[], bool]:
    """An answer to whether a worker stops: after one chunk."""
    left = iter([False])
    return lambda: next(left, True)


def test_a_long_log_is_followed_stopped_and_gone_on_with(
    page: Page, live_server: LiveServer, sign_in: SignIn, settings, monkeypatch
):
    settings.INLINE_ROWS = 2
    monkeypatch.setattr(ingest, "CHUNK", 2)
    user = User.objects.create_user("Alder")
    sign_in(page, user)
    page.goto("/log/")
    file = FilePayload(name="long.csv", mimeType="text/csv", buffer=make_csv(make_rows(6)))
    page.set_input_files("#id_file", file)
    page.get_by_role("button", name="Add this log").click()
    expect(page.get_by_role("heading", name="Waiting for its turn")).to_be_visible()
    job = Job.objects.get()
    execute(job.pk, worker="test", is_stopping=_one_chunk())
    expect(page.get_by_text("2 of 6 rows read: 2 taken, 0 doubled, 0 set aside.")).to_be_visible()
    assert page.get_by_role("progressbar").evaluate("bar => bar.value") == 33
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert Axe().run(page).violations_count == 0

    page.get_by_role("button", name="Stop here").click()
    expect(page.get_by_role("heading", name="Stopped")).to_be_visible()
    expect(page.get_by_text("What was taken stays taken")).to_be_visible()
    assert Axe().run(page).violations_count == 0
    page.get_by_role("button", name="Go on from here").click()
    expect(page.get_by_role("heading", name="Waiting for its turn")).to_be_visible()
    assert execute(job.pk, worker="test")
    # The page is loaded anew by itself once the job is done.
    expect(page.get_by_role("heading", name="Waiting for its turn")).to_have_count(0)
    expect(page.locator("dl.facts")).to_contain_text("6of 6 rows")
