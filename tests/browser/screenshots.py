"""``python -m tests.browser.screenshots``: the pictures of README made anew, of a fresh demo club."""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "fixtures" / "screenshots"
CHROMIUM = "/usr/bin/chromium"
PASSWORD = "turn the last layer"
WIDTH, HEIGHT = 1280, 800
PAGES = {
    "progress": ("juno", "/progress/"),
    "next-up": ("juno", "/next-up/"),
    "case": ("juno", "/cases/oll/27/"),
    "solve": ("marlow", "/solves/"),  # the newest of the list
    "club": ("marlow", "/clubs/riverside-turners/"),
}


def sign_in(page: Page, address: str, name: str) -> None:
    page.goto(f"{address}/sign-in/")
    page.fill("main input[name=username]", name)
    page.fill("main input[name=password]", PASSWORD)
    page.click("main button[type=submit]")
    page.wait_for_url(lambda url: "sign-in" not in url)


def take(page: Page, address: str, name: str, path: str) -> None:
    page.goto(address + path)
    if name == "solve":
        page.click("main a[href^='/solves/']")
    page.wait_for_load_state("networkidle")
    page.screenshot(path=str(FOLDER / f"{name}.png"))
    print(FOLDER / f"{name}.png")  # noqa: T201 - a command says what it wrote


def main() -> None:
    """Make the club in a folder of its own, serve it, and take each picture."""
    with tempfile.TemporaryDirectory() as data, sync_playwright() as playwright:
        environment = os.environ | {"CLUBSITE_DATA": data}
        manage = [sys.executable, str(ROOT / "manage.py")]
        subprocess.run([*manage, "demo", "--no-serve"], env=environment, check=True)
        site = subprocess.Popen(
            [*manage, "serve", "--port", "0", "--no-worker"],
            env=environment,
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            assert site.stdout is not None
            address = re.search(r"http://[\d.:]+", site.stdout.readline())
            assert address is not None
            browser = playwright.chromium.launch(
                executable_path=CHROMIUM, args=["--no-sandbox", "--disable-background-networking"]
            )
            for name, (member, path) in PAGES.items():
                context = browser.new_context(viewport={"width": WIDTH, "height": HEIGHT})
                page = context.new_page()
                sign_in(page, address[0], member)
                take(page, address[0], name, path)
                context.close()
            browser.close()
        finally:
            site.terminate()
            site.wait(10)


if __name__ == "__main__":
    main()
