"""What every test in a browser may ask for: the browser, a page of it, a signed-in session."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.test import Client
from playwright.sync_api import Browser, Page, expect, sync_playwright
from pytest_django.live_server_helper import LiveServer

from clubsite.accounts.models import User

pytest.register_assert_rewrite("tests.browser.looked_over")  # so that a failure names what it saw
CHROMIUM = Path("/usr/bin/chromium")
CHROMIUM_ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

expect.set_options(timeout=30_000)  # as all else in a browser waits; a busy machine needs it

SignIn = Callable[[Page, User], None]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium. Where it is not installed, tests that need it are skipped, but not in CI."""
    if not CHROMIUM.exists():
        reason = f"{CHROMIUM} is not installed (apt-get install chromium)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    # Playwright's event loop runs in this thread, where the tests reach the database too.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def phone(chromium: Browser, live_server: LiveServer) -> Iterator[Page]:
    """A page of 360 px that is touched."""
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": 360, "height": 740},
        has_touch=True,
        reduced_motion="reduce",
    )
    yield context.new_page()
    context.close()


@pytest.fixture
def page(chromium: Browser, live_server: LiveServer) -> Iterator[Page]:
    """A fresh page of 1280 px on the running site.

    After the test it must hold that no script failed, that nothing broke the site's content
    security policy, and that nothing was asked of another host.
    """
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": 1280, "height": 900},
        locale="en-GB",
        reduced_motion="reduce",  # else a test sees colours half-way from one to the other
    )
    context.set_default_navigation_timeout(90_000)  # a busy machine's first page takes its time
    faults: list[str] = []
    fresh = context.new_page()
    fresh.on("pageerror", lambda error: faults.append(f"script error: {error}"))
    fresh.on(
        "console",
        lambda message: (
            faults.append(message.text) if "Content Security Policy" in message.text else None
        ),
    )
    home = urlsplit(live_server.url).netloc
    fresh.on(
        "request",
        lambda request: (
            faults.append(f"asked of another host: {request.url}")
            if urlsplit(request.url).netloc not in {home, ""}
            else None
        ),
    )
    yield fresh
    context.close()
    assert faults == []


@pytest.fixture
def sign_in(live_server: LiveServer, settings) -> SignIn:
    """A function that puts a signed-in session of a user into a page's browser."""

    def put_session(page: Page, user: User) -> None:
        client = Client()
        client.force_login(user)
        page.context.add_cookies(
            [
                {
                    "name": settings.SESSION_COOKIE_NAME,
                    "value": client.cookies[settings.SESSION_COOKIE_NAME].value,
                    "url": live_server.url,
                }
            ]
        )

    return put_session
