"""A page looked over in a real browser: accessible and narrow enough, in both colour schemes."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

Rules = dict[str, str | list[str]]

WCAG_AA: Rules = {
    "type": "tag",
    "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"],
}
OF_COLOUR: Rules = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
"""The only rules of axe-core for WCAG A and AA that the colour scheme has a part in."""


def opened(page: Page, address: str) -> None:
    page.goto(address)
    charts_drawn(page)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")


def charts_drawn(page: Page) -> None:
    page.wait_for_function(
        "[...document.querySelectorAll('.chart')].every(c => c.querySelector('.main-svg'))"
    )


def violations(page: Page, rules: Rules = WCAG_AA) -> list[str]:
    """What axe-core finds on the page as it stands: the rule's name and the element."""
    page.evaluate(Axe().axe_script)
    found = page.evaluate(
        "options => axe.run(options).then(results => results.violations)",
        {"runOnly": rules, "resultTypes": ["violations"]},
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


def look_over(page: Page) -> None:
    """Hold that the page as it stands is accessible and fits, wide and narrow, light and dark."""
    in_scheme(page, "light")
    assert violations(page) == []
    in_scheme(page, "dark")
    assert violations(page, OF_COLOUR) == []
    narrow(page)
    assert violations(page) == []
    in_scheme(page, "light")
    assert violations(page, OF_COLOUR) == []


def in_scheme(page: Page, scheme: str) -> None:
    """Have the device ask for a colour scheme; the charts draw themselves anew for it."""
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    charts_drawn(page)
