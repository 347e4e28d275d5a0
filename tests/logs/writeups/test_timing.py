"""Times of a solve that is written down: five marks typed, or stamps of its turns that the page's script sends.

The turns and their times are those of `factories.make_row`: 3 of the last pair, 7 of OLL 27, 14 of
the T permutation.
"""

import pytest
from django.test import Client

from logs.people.models import Membership
from logs.solves.models.solves import Sighting, Solve
from logs.writeups.models import Writeup
from tests.factories import make_client, make_club, make_membership, make_row, make_upload

pytestmark = pytest.mark.django_db
LOG = make_row()
assert LOG.turn_ms is not None
AT = LOG.turn_ms
FIVE = [f"{AT[n] / 1000:.3f}" for n in (2, 3, 9, 10, 23)]
STAMPS = " ".join(map(str, AT))
VIDEO = {"turn_ms": STAMPS, "start_ms": "1234", "step_ms": "34"}


def typed(five: list[str]) -> dict[str, str]:
    return {f"mark_{n}": mark for n, mark in enumerate(five, start=1)}


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


@pytest.fixture
def mine(member: Membership) -> Client:
    return make_client(member)


@pytest.fixture
def own(mine: Client) -> Writeup:
    sent = {"scramble": LOG.scramble, "time": str(LOG.time_ms / 1000), "done_at": LOG.done_at or ""}
    mine.post("/write/", sent)
    return Writeup.objects.get()


def send(mine: Client, own: Writeup, then: str = "send", **times: str):
    sent = {"solution": LOG.solution or "", "turn_ms": "", "then": then, **times}
    return mine.post(f"/write/{own.pk}/", sent)


def read(mine: Client, own: Writeup, **sent: str):
    sent = {"solution": LOG.solution or "", "edition": "1", **sent}
    return mine.post(f"/write/{own.pk}/read/", sent).json()


def splits() -> list[tuple[int | None, ...]]:
    return list(Sighting.objects.order_by("stage").values_list("recognition_ms", "execution_ms"))


def of_the_log() -> list[tuple[int | None, ...]]:
    """What the same solve gives by the times of its turns, in a log of somebody else's."""
    make_upload(make_membership(make_club()).user, [LOG])
    expected = splits()
    Solve.objects.all().delete()
    return expected


def test_five_marks_are_typed_without_script(mine, own):
    expected = of_the_log()
    page = mine.get(f"/write/{own.pk}/").content.decode()
    assert page.count('name="mark_') == 5
    response = send(mine, own, timed_by="hand", step_ms="10", **typed(FIVE))
    solve = Solve.objects.get()
    assert response["Location"] == f"/solves/{solve.pk}/"
    assert solve.mark_ms == " ".join(str(AT[n]) for n in (2, 3, 9, 10, 23))
    assert (solve.turn_ms, solve.timed_by, solve.step_ms) == ("", "hand", 10)
    assert splits() == expected
    assert None not in expected[0]


def test_a_mark_that_is_no_time_is_named_and_kept(mine, own):
    response = send(mine, own, **typed(["soon", "", "", "", ""]))
    assert response.status_code == 422
    page = response.content.decode()
    assert "mark 1, the end of the first two layers, is &#x27;soon&#x27;" in page
    assert 'value="soon"' in page
    assert not Solve.objects.exists()


def test_marks_that_contradict_the_turns_say_the_mend(mine, own):
    response = send(mine, own, **typed([FIVE[0], "", "", FIVE[3], FIVE[4]]))
    assert response.status_code == 422
    assert "the marks pass over the OLL" in response.content.decode()


def test_every_turn_stamped_is_a_row_from_a_video(mine, own):
    expected = of_the_log()
    assert read(mine, own, **VIDEO)["timing"] == (
        "All 24 turns have their time, from a video, in steps of 34 ms."
    )
    send(mine, own, **VIDEO)
    solve = Solve.objects.get()
    assert (solve.turn_ms, solve.timed_by, solve.step_ms) == (STAMPS, "video", 34)
    assert splits() == expected


def test_a_draft_keeps_its_stamps(mine, own):
    stamps = STAMPS.replace(str(AT[5]), "-")
    answer = read(mine, own, **(VIDEO | {"turn_ms": stamps}), **typed(FIVE))
    assert (answer["timing"], answer["hasTimes"]) == ("23 of 24 turns have their time.", True)
    page = mine.get(f"/write/{own.pk}/").content.decode()
    assert f'name="turn_ms" value="{stamps}"' in page
    assert 'name="start_ms" value="1234"' in page
    assert f'name="mark_5" value="{FIVE[4]}"' in page
    # an older page that knows no times leaves them
    read(mine, own, edition="2")
    own.refresh_from_db()
    assert (own.turn_ms, own.start_ms, own.step_ms) == (stamps, 1234, 34)


def test_turns_without_a_stamp_are_counted_or_left_out_by_choice(mine, own):
    some = VIDEO | {"turn_ms": STAMPS.replace(f"{AT[4]} {AT[5]}", "- -")}
    response = send(mine, own, **some)
    assert response.status_code == 422
    assert "2 of 24 turns have no stamp" in response.content.decode()
    send(mine, own, then="send-untimed", **some)
    solve = Solve.objects.get()
    assert (solve.turn_ms, solve.timed_by, solve.step_ms) == ("", "", None)


def test_stamps_of_another_number_of_turns_count_for_none(mine, own):
    answer = read(mine, own, **(VIDEO | {"turn_ms": "100 200"}))
    assert not answer["hasTimes"]
    assert read(mine, own, edition="2", turn_ms="no numbers", step_ms="9999")["doubt"] == ""


def test_rotations_have_no_stamp(mine, own):
    sent = VIDEO | {"solution": f"{LOG.solution} y"}
    assert read(mine, own, **sent)["timing"].startswith("All 24 turns")


@pytest.mark.parametrize(("shift_ms", "is_said"), [(0, False), (-180, False), (-185, True)])
def test_more_than_two_tenths_from_the_timer_is_said(mine, own, shift_ms, is_said):
    # the factory's timer stops 20 ms after the last turn
    stamps = " ".join(str(at + shift_ms) for at in AT)
    doubt = read(mine, own, **(VIDEO | {"turn_ms": stamps}))["doubt"]
    assert ("0.2 s from what the timer read" in doubt) is is_said
    assert bool(doubt) is is_said


def test_a_stamp_before_the_one_before_it_is_said_and_refused(mine, own):
    stamps = STAMPS.replace(str(AT[6]), "7")
    assert read(mine, own, **(VIDEO | {"turn_ms": stamps}))["doubt"].startswith(
        "Turn 7 ends before"
    )
    response = send(mine, own, **(VIDEO | {"turn_ms": stamps}))
    assert response.status_code == 422
    assert "times never fall" in response.content.decode()


def test_an_end_two_frames_late_is_taken(mine, own):
    # start and end are each read to a frame: the documented slack of 50 ms, and two frames
    late = 20 + 50 + 2 * 34
    for shift_ms, n_taken in ((late + 1, 0), (late, 1)):
        send(mine, own, **(VIDEO | {"turn_ms": " ".join(str(at + shift_ms) for at in AT)}))
        assert Solve.objects.count() == n_taken


def test_a_solve_of_the_log_gets_its_times_with_its_solution(mine, member):
    make_upload(member.user, [LOG._replace(turn_ms=None, solution=None)])
    mine.post("/write/", {"solve": str(Solve.objects.get().pk)})
    send(mine, Writeup.objects.get(), **VIDEO)
    solve = Solve.objects.get()
    assert (solve.turn_ms, solve.timed_by, solve.step_ms) == (STAMPS, "video", 34)


@pytest.mark.parametrize("times", [VIDEO, typed(FIVE) | {"timed_by": "hand", "step_ms": "10"}])
def test_a_written_row_exported_and_sent_elsewhere_is_the_same(mine, own, times):
    send(mine, own, **times)
    names = ("solution", "turn_ms", "mark_ms", "timed_by", "step_ms", "f2l_ms", "status")
    here, expected = Solve.objects.values_list(*names).get(), splits()
    labels = list(Sighting.objects.order_by("stage").values_list("stage", "case", "n_looks"))
    exported = b"".join(mine.get("/privacy/my-log.jsonl"))
    Solve.objects.all().delete()
    make_upload(make_membership(make_club()).user, content=exported)
    assert Solve.objects.values_list(*names).get() == here
    assert splits() == expected
    assert (
        list(Sighting.objects.order_by("stage").values_list("stage", "case", "n_looks")) == labels
    )


def test_only_the_page_of_a_writeup_plays_what_the_device_holds(mine, own):
    assert "media-src blob:" in mine.get(f"/write/{own.pk}/")["Content-Security-Policy"]
    for address in ("/write/", "/log/", "/home/"):
        assert "media-src" not in mine.get(address)["Content-Security-Policy"]


def test_the_file_field_is_no_part_of_the_form(mine, own):
    page = mine.get(f"/write/{own.pk}/").content.decode()
    field = page[page.index('<input type="file"') :].split(">")[0]
    assert "name=" not in field
    writeup = page[page.index('<form class="writeup"') :].split("</form>")[0]
    assert 'type="file"' not in writeup
    assert "nothing of it is sent" in page


def test_the_template_file_has_a_solve_by_a_stopwatch(mine, member):
    content = mine.get("/log-template.csv").content
    make_upload(member.user, content=content)
    by_hand = Solve.objects.exclude(mark_ms="").get()
    assert (by_hand.timed_by, by_hand.step_ms) == ("hand", 10)


def test_a_video_in_slow_motion_is_doubted(mine, own):
    stamps = " ".join(str(8 * at) for at in AT)
    assert "Is it slow motion" in read(mine, own, **(VIDEO | {"turn_ms": stamps}))["doubt"]
