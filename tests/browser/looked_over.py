"""A page looked over in a real browser: accessible and narrow enough, in both colour schemes."""

from typing import Literal

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WCAG_AA = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
AXE = Axe().axe_script
SCHEMES: tuple[Literal["light"], Literal["dark"]] = ("light", "dark")


def opened(page: Page, address: str) -> None:
    """Open a page and all its folds, but for the menu, which would lie over what is below it."""
    page.goto(address)
    page.evaluate("document.querySelectorAll('main details').forEach(d => { d.open = true; })")
    page.wait_for_function(  # a chart in a fold is drawn when that opens
        "[...document.querySelectorAll('.chart')].every(c => c.querySelector('.main-svg'))"
    )


def violations(page: Page) -> list[str]:
    """What axe-core finds on the page as it stands: the rule's name and the element."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    found = page.evaluate(
        "options => axe.run(options).then(results => results.violations)",
        {"runOnly": {"type": "tag", "values": WCAG_AA}, "resultTypes": ["violations"]},
    )
    return [f"{one['id']}: {node['html']}" for one in found for node in one["nodes"]]


def narrow(page: Page, width: int = 320) -> None:
    """Make the window narrow, and hold that nothing scrolls sideways once charts have followed.

    WCAG 2.2, 1.4.10: at 320 px nothing scrolls sideways but what needs two dimensions.
    """
    page.set_viewport_size({"width": width, "height": 800})
    wide = 0
    for _ in range(50):
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide == width:
            break
        page.wait_for_timeout(100)
    page.wait_for_timeout(100)
    assert wide == page.evaluate("document.documentElement.scrollWidth") == width


def look_over(page: Page, width: int = 320) -> None:
    """Hold that the page as it stands is accessible and fits, wide and narrow, light and dark."""
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        narrow(page, width)
        assert violations(page) == []
