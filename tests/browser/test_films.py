"""A solve timed from the member's own video: by keyboard at three rates, by thumb on a small phone.

The videos are made here and every frame shows its number, so the truth is known: a turn ends at the
frame whose number was chosen for it. The tests find a frame by looking, as a member does.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from cubecore.rows import parse_turn_ms
from logs.intake.formats import format_json_line
from logs.people.models import Membership
from logs.solves.models.solves import Solve
from logs.solves.services.labels import stored_row
from logs.writeups.models import Writeup
from logs.writeups.services import writeup_begin_for
from tests.browser.conftest import SignIn
from tests.browser.films import frame_shown, make_film
from tests.browser.looked_over import look_over
from tests.factories import NOW, SUNE, T_PERM, make_club, make_membership, make_row, make_upload

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
VIDEO = "[data-film-picture]"
WRITTEN = f"R U R' {SUNE} {T_PERM}"
N_TURNS = len(WRITTEN.split())
START = 3  # the frame where the hands start


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


def begun(member: Membership, time_ms: int) -> Writeup:
    row = make_row()._replace(turn_ms=None, solution=None, time_ms=time_ms)
    make_upload(member.user, [row])
    return writeup_begin_for(actor=member.user, solve_id=Solve.objects.get().pk, now=NOW)


def opened(page: Page, rate: int, n_frames: int) -> bytes:
    """The page with a video open; what the video holds."""
    film = make_film(page, rate, n_frames)
    page.get_by_text("Time it from your own video").click()
    page.get_by_label("A video of this solve").set_input_files(
        {"name": "solve.webm", "mimeType": "video/webm", "buffer": film}
    )
    expect(page.get_by_label("Frames a second")).to_have_value(str(rate))
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    at_frame(page, 0)
    return film


def at_frame(page: Page, number: int) -> None:
    expect(page.locator("[data-film-now]")).to_have_text(re.compile(rf"frame {number}\b"))
    assert frame_shown(page, VIDEO) == number


def go(page: Page, key: str, number: int) -> None:
    """Frame by frame to the frame that shows ``number``."""
    n = abs(number - frame_shown(page, VIDEO))
    for _ in range(n):
        page.keyboard.press(key)
    at_frame(page, number)


@pytest.mark.parametrize("rate", [25, 30, 60])
def test_turn_times_are_within_a_frame_of_the_truth(page: Page, sign_in: SignIn, member, rate):
    ends = [START + 2 + n for n in range(N_TURNS)]  # the frame in which each turn has ended
    truth = [round(1000 * (end - START) / rate) for end in ends]
    own = begun(member, truth[-1] + 30)
    sign_in(page, member.user)
    page.goto(f"/write/{own.pk}/")
    bodies: list[bytes] = []
    page.on("request", lambda request: bodies.append(request.post_data_buffer or b""))
    film = opened(page, rate, ends[-1] + 5)
    text = page.get_by_label("The turns of the solve")
    text.focus()
    go(page, ".", START + 1)
    go(page, ",", START)
    page.keyboard.press("h")
    for token, end in zip(WRITTEN.split(), ends, strict=True):
        go(page, ".", end)
        page.keyboard.type(f"{token} ")
    expect(page.locator("[data-write-timing]")).to_contain_text(
        f"All {N_TURNS} turns have their time"
    )
    expect(page.locator("[data-write-doubt]")).to_be_hidden()
    page.get_by_role("button", name="Put it into my log").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Written down: your log has its solution now.")).to_be_visible()
    solve = Solve.objects.get()
    times = parse_turn_ms(solve.turn_ms)
    assert times is not None
    assert max(abs(time - true) for time, true in zip(times, truth, strict=True)) <= 1000 / rate
    assert (solve.timed_by, solve.step_ms) == ("video", -(-1000 // rate))
    row = format_json_line(stored_row(solve))
    assert len(bodies) > 5
    assert max(map(len, bodies)) <= len(row) < len(film)
    assert not any(film[200:260] in body for body in bodies)


def slide(page: Page, number: int, rate: int) -> None:
    page.get_by_label("Place in the video").fill(str(round(1000 * number / rate)))
    at_frame(page, number)


def stamps(page: Page) -> list[str]:
    value: str = page.evaluate("document.querySelector('[name=turn_ms]').value")
    return value.split()


def test_turns_are_stamped_moved_and_mended_by_thumb(phone: Page, sign_in: SignIn, member):
    rate = 30
    own = begun(member, 60_000)
    Writeup.objects.update(solution=WRITTEN)
    sign_in(phone, member.user)
    phone.goto(f"/write/{own.pk}/")
    opened(phone, rate, 60)
    keys = phone.get_by_role("group", name="Stamps")
    pad = phone.get_by_role("group", name="Turns", exact=True)

    def tap(name: str) -> None:
        phone.get_by_role("button", name=name, exact=True).tap()

    expect(phone.locator(".film-stamp")).to_be_disabled()  # before the hands start
    slide(phone, 6, rate)
    tap("Hands start here")
    for number, token in ((12, "1 of 24: R"), (18, "2 of 24: U"), (24, "3 of 24: R'")):
        slide(phone, number, rate)
        keys.get_by_role("button", name=f"{token} ends here", exact=True).tap()
    assert stamps(phone) == ["200", "400", "600", *["-"] * 21]
    # a phone has all in one view: the video, what is stamped, the pad
    phone.evaluate("document.querySelector('[data-write-pad]').scrollIntoView({block: 'end'})")
    for seen in (phone.locator(VIDEO), phone.locator(".film-stamp"), pad):
        box = seen.bounding_box()
        assert box is not None
        assert box["y"] >= 0
        assert box["y"] + box["height"] <= 740
        assert box["height"] >= 44  # WCAG 2.2, 2.5.5: 44 by 44 px
    tap("A frame later")
    tap("A frame later")
    assert stamps(phone)[2] == "667"
    at_frame(phone, 26)
    # the second turn was another one: mended, the others keep their stamps, and so does it
    tokens = phone.get_by_label("Turns so far: go to one of them")
    tokens.get_by_role("button").nth(1).tap()
    at_frame(phone, 18)
    slide(phone, 40, rate)  # wherever the video stands
    tap("Take one out")
    assert stamps(phone)[:3] == ["200", "667", "-"]
    pad.get_by_role("button", name="F", exact=True).tap()
    assert stamps(phone)[:4] == ["200", "400", "667", "-"]
    tap("Counter-clockwise: the turn before")
    assert stamps(phone)[:4] == ["200", "400", "667", "-"]
    # taken off and stamped again
    tokens.get_by_role("button").nth(1).tap()
    tap("Take off")
    slide(phone, 19, rate)
    keys.get_by_role("button", name="2 of 24: F' ends here", exact=True).tap()
    assert stamps(phone)[:4] == ["200", "433", "667", "-"]
    # the hands started a frame later: every stamp follows
    slide(phone, 7, rate)
    with phone.expect_response(lambda kept: "start_ms=233" in (kept.request.post_data or "")):
        tap("Hands start here")
    kept = ["167", "400", "634"]
    assert stamps(phone)[:3] == kept
    expect(phone.locator("[data-write-timing]")).to_have_text("3 of 24 turns have their time.")
    assert phone.evaluate("document.documentElement.scrollWidth") == 360
    phone.reload()
    assert stamps(phone)[:3] == kept
    assert Writeup.objects.get().start_ms == 233


def test_five_marks_alone_are_stamped(page: Page, sign_in: SignIn, member):
    rate = 30
    own = begun(member, 2_000)
    sign_in(page, member.user)
    page.goto(f"/write/{own.pk}/")
    opened(page, rate, 70)
    page.get_by_label("Stamp", exact=True).select_option("marks")
    slide(page, 3, rate)
    page.get_by_role("button", name="Hands start here").press("Enter")
    for number in (12, 18, 27, 36, 60):
        slide(page, number, rate)
        page.locator(".film-stamp").press("Enter")
    expect(page.get_by_label("OLL done")).to_have_value("0.800")
    page.get_by_role("button", name="Back a frame").press("<")  # nudged by a key, the last one
    expect(page.get_by_label("PLL done")).to_have_value("1.867")
    expect(page.locator("[data-write-timing]")).to_have_text(
        "5 of 5 marks, from a video, in steps of 34 ms."
    )
    page.get_by_label("The turns of the solve").fill(WRITTEN)
    expect(page.locator("[data-write-now]")).to_contain_text("Solved.")
    look_over(page)
    page.get_by_role("button", name="Put it into my log").click()
    expect(page.get_by_text("Written down: your log has its solution now.")).to_be_visible()
    solve = Solve.objects.get()
    assert (solve.mark_ms, solve.timed_by, solve.step_ms) == ("300 500 800 1100 1867", "video", 34)
    assert set(solve.sightings.values_list("recognition_ms", "execution_ms")) == {
        (200, 300),
        (300, 767),
    }
    expect(page.get_by_text("Timed from a video, in steps of 34 ms.")).to_be_visible()


def test_a_file_that_cannot_be_played_is_said(page: Page, sign_in: SignIn, member):
    own = begun(member, 2_000)
    sign_in(page, member.user)
    page.goto(f"/write/{own.pk}/")
    page.get_by_text("Time it from your own video").click()
    page.get_by_label("A video of this solve").set_input_files(
        {"name": "solve.webm", "mimeType": "video/webm", "buffer": b"no video"}
    )
    expect(page.get_by_role("alert").first).to_contain_text("cannot play that file")
    expect(page.locator(VIDEO)).to_be_hidden()
