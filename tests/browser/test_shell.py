"""The shell in a real browser: reach, reading, themes, charts, narrow screens, paper.

The fixture ``page`` asserts after each test that nothing broke the content security policy and
that nothing was asked of another host.
"""

import json

import plotly.graph_objects as go
import pytest
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.template import RequestContext, Template
from django.urls import include, path
from playwright.sync_api import Page, expect

from clubsite.accounts.models import User
from tests.browser.conftest import SignIn
from tests.browser.looked_over import SCHEMES, look_over, violations

pytestmark = [
    pytest.mark.browser,
    pytest.mark.layout,
    pytest.mark.django_db(transaction=True),
]


SPECIMEN = """
{% extends "base.html" %}
{% load static %}
{% block page_title %}Every part{% endblock %}
{% block lead %}One of each.{% endblock %}
{% block scripts %}
  <script src="{% static 'vendor/plotly-basic.min.js' %}" defer></script>
  <script src="{% static 'site/charts.js' %}" defer></script>
  <script src="{% static 'site/drop.js' %}" defer></script>
{% endblock %}
{% block content %}
  <div class="notice is-warning"><h2>One row was set aside</h2><p>Line 17.</p></div>
  <dl class="facts"><div><dt>Mean</dt><dd>18.42 <span class="count">412 times</span></dd></div></dl>
  <section class="section"><h2>A figure</h2>
    <figure class="figure"><figcaption>Where does it go?</figcaption>
      <div class="chart" data-figure="figure" role="group" aria-label="Two bars"></div>
      {{ figure|json_script:"figure" }}
      <details class="disclosure"><summary>The figures as a table</summary><p>1, 2</p></details>
    </figure></section>
  <section class="section"><h2>A table</h2>
    <div class="table-scroll" tabindex="0" role="region" aria-label="A table"><table>
      <thead><tr><th>Case</th><th>Standing</th><th class="num">Times</th><th>Scramble</th></tr></thead>
      <tbody><tr class="is-warning"><th scope="row"><a href="#page">OLL 27</a></th>
        <td><span class="standing" data-standing="fluent">fluent</span></td><td class="num">4</td>
        <td class="moves">R2 U' F2 D B' L2 U2 R F' D2</td></tr></tbody></table></div></section>
  <section class="section"><h2>A form</h2><form class="form">
    <div class="drop-zone" data-drop><label for="log">A log file</label>
      <input id="log" type="file"><p class="help">CSV or JSON Lines.</p></div>
    <div class="field"><label for="text">Or paste rows</label><textarea id="text"></textarea></div>
    <div class="form-actions"><button class="button">Add this log</button>
      <button class="button is-quiet" type="button">Cancel</button>
      <button class="button is-warning" type="button">Delete</button></div></form></section>
  <section class="section"><h2>Cases</h2><ul class="case-grid"><li><a class="case-card" href="#page">
    <svg class="case-picture" viewBox="0 0 9 9" width="72" height="72" role="img" aria-label="x"></svg>
    <span class="case-number">OLL 27</span><span class="case-name">Sune</span></a></li></ul></section>
{% endblock %}
"""


@login_not_required
def specimen(request: HttpRequest) -> HttpResponse:
    figure = go.Figure(go.Bar(x=["a", "b"], y=[1, 2], marker={"color": "var(--ink)"}))
    figure.update_layout(paper_bgcolor="var(--paper)", font_family="var(--font-text)")
    context = RequestContext(request, {"figure": json.loads(figure.to_json())})
    return HttpResponse(Template(SPECIMEN).render(context))


urlpatterns = [path("specimen/", specimen), path("", include("clubsite.urls"))]


@pytest.fixture
def specimen_page(page: Page, settings) -> Page:
    settings.ROOT_URLCONF = __name__
    page.goto("/specimen/")
    page.wait_for_selector(".chart .main-svg")
    return page


def ink_of_bars(page: Page) -> str:
    colour: str = page.evaluate(
        "getComputedStyle(document.querySelector('.chart .bars path')).fill"
    )
    return colour


def background(page: Page) -> str:
    colour: str = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    return colour


def test_every_part_is_accessible(specimen_page: Page):
    look_over(specimen_page, width=360)


def test_an_inaccessible_page_would_be_noticed(specimen_page: Page):
    specimen_page.evaluate("document.querySelector('label[for=text]').remove()")
    assert [found.split(":")[0] for found in violations(specimen_page)] == ["label"]


@pytest.mark.parametrize("address", ["/sign-in/", "/password/", "/nowhere/"])
def test_account_and_error_pages_are_accessible(page: Page, sign_in: SignIn, address: str):
    if address == "/password/":
        sign_in(page, User.objects.create_user("mirre"))
    page.goto(address)
    look_over(page)


def test_the_open_menu_is_accessible(page: Page, sign_in: SignIn):
    sign_in(page, User.objects.create_user("mirre"))
    page.set_viewport_size({"width": 320, "height": 800})
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        page.goto("/privacy/")
        page.get_by_text("More", exact=False).first.click()
        expect(page.get_by_role("link", name="Next up")).to_be_visible()
        # What the menu lies over is no target while it is open.
        assert [one for one in violations(page) if not one.startswith("target-size")] == []


@pytest.mark.parametrize("width", [320, 360, 640])
def test_a_narrow_screen_scrolls_in_one_direction_only(specimen_page: Page, width: int):
    # WCAG 2.2, 1.4.10: no two-way scrolling at 320 px, which is also 1280 px at 400% zoom.
    specimen_page.set_viewport_size({"width": width, "height": 900})
    specimen_page.wait_for_timeout(300)
    assert specimen_page.evaluate("document.documentElement.scrollWidth") == width


def test_a_member_signs_in_and_out_by_keyboard_alone(page: Page):
    User.objects.create_user("mirre", password="plum-anvil-orbit-nine")
    page.goto("/password/")
    page.wait_for_selector("input:focus")
    page.keyboard.type("Mirre")
    page.keyboard.press("Tab")
    page.keyboard.type("plum-anvil-orbit-nine")
    page.keyboard.press("Enter")
    page.wait_for_url("**/password/")
    page.locator(".menu > summary").focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Sign out").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/sign-in/")


def test_the_first_tab_offers_to_skip_to_the_page(specimen_page: Page):
    specimen_page.keyboard.press("Tab")
    link = specimen_page.get_by_role("link", name="Skip to the page")
    box = link.bounding_box()
    assert box is not None
    assert box["height"] > 20
    specimen_page.keyboard.press("Enter")
    assert specimen_page.url.endswith("#page")


def test_the_chosen_theme_is_kept_and_charts_follow_it(specimen_page: Page):
    specimen_page.emulate_media(color_scheme="light")
    light = background(specimen_page), ink_of_bars(specimen_page)
    switch = specimen_page.get_by_role("button", name="Page colours")
    assert switch.inner_text() == "Page colours: as the device"

    switch.click()
    assert switch.inner_text() == "Page colours: light"
    assert (background(specimen_page), ink_of_bars(specimen_page)) == light
    switch.click()
    assert switch.inner_text() == "Page colours: dark"
    dark = background(specimen_page), ink_of_bars(specimen_page)
    assert dark[0] != light[0]
    assert dark[1] != light[1]

    specimen_page.reload()
    specimen_page.wait_for_selector(".chart .main-svg")
    assert (background(specimen_page), ink_of_bars(specimen_page)) == dark
    switch.click()
    assert (background(specimen_page), ink_of_bars(specimen_page)) == light


def test_charts_follow_the_device(specimen_page: Page):
    specimen_page.emulate_media(color_scheme="light")
    light = ink_of_bars(specimen_page)
    specimen_page.emulate_media(color_scheme="dark")
    specimen_page.wait_for_function(
        "old => getComputedStyle(document.querySelector('.chart .bars path')).fill !== old",
        arg=light,
    )


def test_a_chart_has_no_buttons(specimen_page: Page):
    specimen_page.hover(".chart")
    assert specimen_page.locator(".modebar-btn").count() == 0


def test_paper_is_white_with_ink_that_fits_it(specimen_page: Page):
    specimen_page.emulate_media(color_scheme="dark")
    specimen_page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert ink_of_bars(specimen_page) == "rgb(27, 32, 39)"
    # A4 is 210 mm; less two margins of 14 mm that is 182 mm, or 687 px at 96 to the inch.
    width = specimen_page.evaluate("document.querySelector('.chart .main-svg').clientWidth")
    assert 600 <= width <= 687

    specimen_page.emulate_media(media="print", color_scheme="dark")
    assert background(specimen_page) == "rgb(255, 255, 255)"
    assert not specimen_page.get_by_role("button", name="Page colours").is_visible()

    specimen_page.emulate_media(media="screen", color_scheme="dark")
    specimen_page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert ink_of_bars(specimen_page) == "rgb(235, 230, 218)"


def test_a_dropped_file_lands_in_the_field(specimen_page: Page):
    count = specimen_page.evaluate(
        """() => {
          const carried = new DataTransfer();
          carried.items.add(new File(["scramble,time"], "log.csv"));
          const zone = document.querySelector("[data-drop]");
          zone.dispatchEvent(new DragEvent("dragenter", { dataTransfer: carried }));
          const marked = zone.classList.contains("is-over");
          zone.dispatchEvent(new DragEvent("drop", { dataTransfer: carried, cancelable: true }));
          const input = zone.querySelector("input");
          return [marked, zone.classList.contains("is-over"), input.files[0].name];
        }"""
    )
    assert count == [True, False, "log.csv"]


def test_colours_fade_unless_motion_is_to_be_reduced(specimen_page: Page):
    asked = "getComputedStyle(document.querySelector('.button')).transitionDuration"
    specimen_page.emulate_media(reduced_motion="no-preference")
    assert specimen_page.evaluate(asked).startswith("0.12s")
    specimen_page.emulate_media(reduced_motion="reduce")
    assert specimen_page.evaluate(asked) == "0s"
