"""The coach's pages in words and forms."""

from datetime import date

import pytest
from django.utils import timezone

from logs.homework.models import Homework
from logs.homework.services import cases_mark_shown
from logs.lessons.models import Lesson
from logs.next_up.models import Override
from logs.people.models import Visibility
from tests.desk import CASE_27, CASE_40, make_homework, make_lesson, make_team, solves
from tests.factories import make_client, make_upload

pytestmark = pytest.mark.django_db


def words(response, status: int = 200) -> str:
    assert response.status_code == status
    return " ".join(response.content.decode().replace("\u00a0", " ").split())


@pytest.fixture
def team():
    club, coach, members = make_team(3)
    return club, make_client(coach), coach, members


def new_url(club) -> str:
    return f"/clubs/{club.slug}/homework/new/"


def test_homework_is_set_from_the_form(team):
    club, desk, _, members = team
    sent = {
        "member": [member.pk for member in members],
        "case": ["oll-27", "oll-40"],
        "goal": "both",
        "target": "1.25",
        "note": "Slowly.",
        "step": "set",
    }
    answer = desk.post(new_url(club), sent, follow=True)
    page = words(answer)
    assert "Homework is set" in page
    homework = Homework.objects.get()
    assert (homework.goal, homework.recognition_target_ms) == ("both", 1250)
    assert [case.case for case in homework.cases.order_by("place")] == ["27", "40"]
    assert "one look, and seen within 1.25 s, in real solves" in page


def test_a_date_is_taken_whatever_chance_says(team):
    club, desk, _, members = team
    sent = {
        "member": [members[0].pk],
        "case": ["oll-40"],
        "way": "practice",
        "n_wanted": "4",
        "due_on": "2026-03-08",
    }
    page = words(desk.post(new_url(club), sent, follow=True))
    assert (
        "told right and held right on the practice page, 4 of 4 running, by 8 Mar 2026,"
        " which has passed; what is done still counts" in page
    )
    assert Homework.objects.get().n_wanted == 4


def test_homework_is_changed_by_its_form(team):
    _, desk, coach, members = team
    homework = make_homework(coach, members[:2])
    url = f"/homework/{homework.pk}/edit/"
    form = words(desk.get(url))
    assert 'id="case-oll-40" checked' in form
    assert f'id="member-{members[0].pk}" checked' in form
    assert f'id="member-{members[2].pk}" checked' not in form
    assert "Choose at least one case." in words(desk.post(url, {"member": [members[0].pk]}), 422)
    sent = {"member": [members[2].pk], "case": ["pll-T"], "due_on": "2026-12-24", "note": "Cheer."}
    page = words(desk.post(url, sent, follow=True))
    for piece in ("PLL T", "by 24 Dec 2026", "Cheer.", members[2].display_name):
        assert piece in page
    assert members[0].display_name not in page


def test_homework_is_taken_back_by_its_page(team):
    club, desk, coach, members = team
    old = make_homework(coach, members[:1])
    url = f"/homework/{old.pk}/"
    assert "Take this homework back" not in words(desk.get(url))
    assert "more than a day ago" in words(desk.post(url + "take-back/", follow=True))
    new = make_homework(coach, members[:1], now=timezone.now())
    url = f"/homework/{new.pk}/"
    assert "Take this homework back" in words(desk.get(url))
    assert "is taken back" in words(desk.post(url + "take-back/", follow=True))
    assert desk.get(url).status_code == 404
    assert list(Homework.objects.filter(club=club)) == [old]


def test_the_coach_keeps_what_was_shown(team):
    _, desk, coach, members = team
    homework = make_homework(coach, members)
    part = f"/homework/{homework.pk}/members/{members[0].pk}/"
    assert "Shown to me" in words(desk.get(part))
    page = words(desk.post(part + "shown/", {"case": "oll-40", "is_shown": "1"}, follow=True))
    assert ": shown" in page
    assert "Shown to the coach on" in words(desk.get(part))
    assert "Shown to the coach on" in words(
        make_client(members[0]).get(f"/homework/{homework.pk}/")
    )
    assert ": shown" not in words(desk.post(part + "shown/", {"case": "oll-40"}, follow=True))
    assert "Choose a case" in words(desk.post(part + "shown/", {"case": "x"}, follow=True))
    assert "no part of this" in words(desk.post(part + "shown/", {"case": "pll-T"}, follow=True))


def test_the_form_counts_what_is_still_to_learn_and_not_what_is_learnt(team):
    club, desk, coach, members = team
    members[1].visibility = Visibility.ONLY_ME
    members[1].save()
    homework = make_homework(coach, members, (CASE_27, CASE_40))
    assert words(desk.get(new_url(club))).count("2 cases still to learn") == 3
    for member in members[:2]:
        cases_mark_shown(
            actor=coach.user,
            homework_id=homework.pk,
            membership_id=member.pk,
            cases=[CASE_27],
            is_shown=True,
            now=timezone.now(),
        )
    page = words(desk.get(new_url(club)))
    assert page.count("1 case still to learn") == 2
    assert page.count("2 cases still to learn") == 1


def test_for_a_member_who_hides_the_coach_sees_that_it_is_set_and_no_more(team):
    _, desk, coach, members = team
    hider = members[0]
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    homework = make_homework(coach, [hider])
    make_upload(hider.user, solves("111"))
    url = f"/homework/{homework.pk}/"
    page = words(desk.get(url))
    assert f"{hider.display_name}: set" in page
    assert "verified, 3 of 3" not in page
    assert "1 case of 1" not in page
    assert desk.get(f"{url}members/{hider.pk}/").status_code == 404
    assert "1 of 1 case learnt, 1 verified in solves" in words(make_client(hider).get(url))
    page = words(
        desk.post(
            f"{url}members/{hider.pk}/shown/", {"case": "oll-40", "is_shown": "1"}, follow=True
        )
    )
    assert "OLL 40 Big lightning shown" in page


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"member": []}, "Choose at least one member."),
        ({"case": []}, "Choose at least one case."),
        ({"goal": "recognition"}, "This goal needs a target in seconds, such as 1.20."),
        ({"case": ["oll-99"]}, "oll-99 is not one of the available choices"),
        ({"due_on": "next week"}, "Enter a valid date."),
    ],
)
def test_what_is_missing_is_said_by_its_field(team, changes, message):
    club, desk, _, members = team
    sent = {"member": [members[0].pk], "case": ["oll-40"], "goal": "one_look", "step": "set"}
    assert message in words(desk.post(new_url(club), sent | changes), 422)
    assert not Homework.objects.exists()


def test_the_coach_sees_what_is_verified_and_the_solves_behind_it(team):
    _, desk, coach, members = team
    homework = make_homework(coach, members)
    upload = make_upload(members[1].user, solves("111"))
    page = words(desk.get(f"/homework/{homework.pk}/"))
    assert page.count("verified, 3 of 3") == 1
    assert page.count("open, 0 of 5") == 2
    part = words(desk.get(f"/homework/{homework.pk}/members/{members[1].pk}/"))
    assert "Verified on 2 Mar 2026: in one look 3 of 3 times." in part
    for solve in upload.solves.all():
        assert f'href="/solves/{solve.pk}/"' in part
        assert desk.get(f"/solves/{solve.pk}/").status_code == 200


def test_a_member_sees_what_is_asked_how_to_hold_it_and_how_far(team):
    _, _, coach, members = team
    make_homework(coach, members, note="Hold it <b>right</b>.")
    make_upload(members[0].user, solves("10"))
    page = words(make_client(members[0]).get("/homework/"))
    assert "OLL 40" in page
    assert "1 case to learn." in page
    assert "open, 0 of 5; in solves 1 of 2" in page
    assert "&lt;b&gt;right&lt;/b&gt;" in page
    assert "Mind your hands: homework never asks for more time" in page
    homework = Homework.objects.get()
    part = words(make_client(members[0]).get(f"/homework/{homework.pk}/"))
    assert "Big lightning" in part
    assert "R&#x27; F R U R&#x27; U&#x27; F&#x27; U R" in part
    assert (
        "It came up in 2 solves since: in one look 1 of 2 times. At least 4 more as asked verify it."
        in part
    )
    assert "Comes up within 38 solves" in part
    assert "Excuse from" not in part
    assert members[1].display_name not in part


def test_closing_and_excusing_leave_their_reasons(team):
    _, desk, coach, members = team
    homework = make_homework(coach, members, (CASE_40, CASE_27))
    part = f"/homework/{homework.pk}/members/{members[0].pk}/"
    assert "Say why." in words(desk.post(part + "excuse/", {"case": ["oll-40"]}), 422)
    page = words(
        desk.post(part + "excuse/", {"case": ["oll-40"], "reason": "Sore wrist."}, follow=True)
    )
    assert ": Sore wrist." in page
    assert "Say why." in words(desk.post(f"/homework/{homework.pk}/close/", {}), 422)
    page = words(desk.post(f"/homework/{homework.pk}/close/", {"reason": "Spring."}, follow=True))
    assert ": Spring." in page
    assert "Close this homework" not in page
    again = desk.post(f"/homework/{homework.pk}/close/", {"reason": "x"}, follow=True)
    assert "closed already" in words(again)
    assert ": Spring." in words(make_client(members[1]).get(f"/homework/{homework.pk}/"))


def test_a_lesson_goes_from_who_comes_to_homework(team):
    club, desk, _, members = team
    for member in members[:2]:
        make_upload(member.user, solves("0000"))
    start = words(desk.get(f"/clubs/{club.slug}/lessons/new/"))
    assert "Proposed cases" not in start
    chosen = f"?member={members[0].pk}&member={members[1].pk}"
    page = words(desk.get(f"/clubs/{club.slug}/lessons/new/{chosen}"))
    assert page.count('name="place-') == 10
    sent = {
        "member": [members[0].pk, members[1].pk],
        "case": ["oll-27", "oll-40"],
        "place-oll-27": "2",
        "place-oll-40": "1",
        "reason-oll-40": "2 of 2 do not do it in one look yet",
        "title": "Tuesday",
        "on": "2026-03-05",
    }
    page = words(desk.post(f"/clubs/{club.slug}/lessons/new/", sent, follow=True))
    assert page.index("1. OLL 40") < page.index("2. OLL 27")
    lesson = Lesson.objects.get()
    form = words(desk.get(f"/lessons/{lesson.pk}/homework/"))
    assert 'id="case-oll-40" checked' in form
    assert f'id="member-{members[0].pk}" checked' in form
    assert f'id="member-{members[2].pk}" checked' not in form
    desk.post(
        f"/lessons/{lesson.pk}/homework/",
        {
            "member": [members[0].pk],
            "case": ["oll-40"],
            "goal": "one_look",
            "step": "set",
        },
    )
    lesson.refresh_from_db()
    assert lesson.homework == Homework.objects.get()
    assert "Its homework" in words(desk.get(f"/lessons/{lesson.pk}/"))


def test_a_lesson_is_changed_and_what_is_missing_is_said(team):
    _, desk, coach, members = team
    lesson = make_lesson(coach, members)
    url = f"/lessons/{lesson.pk}/edit/"
    page = words(
        desk.post(url, {"member": [members[0].pk], "case": [], "title": "", "on": ""}), 422
    )
    for message in (
        "Choose at least one case.",
        "Give the lesson a title.",
        "Choose the day of the lesson.",
    ):
        assert message in page
    sent = {"member": [members[0].pk], "case": ["pll-T"], "title": "New", "on": "2026-04-01"}
    desk.post(url, sent)
    lesson.refresh_from_db()
    assert (lesson.title, lesson.on) == ("New", date(2026, 4, 1))


def test_a_coach_s_word_goes_in_and_out_by_the_page(team):
    _, desk, _, members = team
    make_upload(members[0].user, solves("0000"))
    url = f"/members/{members[0].pk}/next-up/"
    sent = {"case": "oll-40", "kind": "move", "reason": "After the exam."}
    assert "A move needs the place" in words(desk.post(url + "words/", sent), 422)
    page = words(desk.post(url + "words/", sent | {"place": "2"}, follow=True))
    assert "moved to place 2, because “After the exam.”" in page
    own = words(make_client(members[0]).get("/next-up/"))
    assert "After the exam." in own
    assert "Take that back" not in own
    assert "Change the list" not in own
    word = Override.objects.get()
    page = words(desk.post(f"{url}words/{word.pk}/withdraw/", follow=True))
    assert "After the exam." not in page


def test_empty_pages_say_what_will_fill_them(team):
    club, desk, _, members = team
    member = make_client(members[0])
    assert "Nothing is asked of you now" in words(member.get("/homework/"))
    assert "There are none yet" in words(member.get("/next-up/"))
    assert "No homework is open" in words(desk.get(f"/clubs/{club.slug}/homework/"))
    assert "No lesson is planned yet" in words(desk.get(f"/clubs/{club.slug}/lessons/"))


def test_a_member_who_hides_later_leaves_nothing_behind_but_that_it_is_set(team):
    _, desk, coach, members = team
    homework = make_homework(coach, members)
    make_upload(members[0].user, solves("111"))
    url = f"/homework/{homework.pk}/"
    assert "verified, 3 of 3" in words(desk.get(url))
    members[0].visibility = Visibility.ONLY_ME
    members[0].save()
    page = words(desk.get(url))
    assert "verified, 3 of 3" not in page
    assert f"{members[0].display_name}: set" in page


def test_no_page_judges_counts_days_or_asks_for_hours(team):
    club, desk, coach, members = team
    homework = make_homework(coach, members)
    make_upload(members[0].user, solves("000000"))
    pages = [
        desk.get(f"/homework/{homework.pk}/"),
        desk.get(f"/clubs/{club.slug}/homework/"),
        make_client(members[0]).get("/homework/"),
        make_client(members[0]).get("/next-up/"),
    ]
    for page in map(words, pages):
        for word in (
            "streak",
            "failed",
            "failure",
            "overdue",
            "missed",
            "late!",
            "well done",
            "days in a row",
            "rank ",
        ):
            assert word not in page.lower()


def test_the_pages_have_no_script_or_style_of_their_own(team):
    club, desk, coach, members = team
    homework = make_homework(coach, members)
    lesson = make_lesson(coach, members)
    for address in (
        "/homework/",
        f"/homework/{homework.pk}/",
        new_url(club),
        f"/members/{members[0].pk}/next-up/",
        f"/lessons/{lesson.pk}/",
        f"/lessons/{lesson.pk}/edit/",
    ):
        page = words(desk.get(address))
        assert " style=" not in page
        assert "<style" not in page


def test_what_is_learnt_stands_apart_from_what_there_is_to_do(team):
    _, _, coach, members = team
    homework = make_homework(coach, members, (CASE_40, CASE_27))
    cases_mark_shown(
        actor=coach.user,
        homework_id=homework.pk,
        membership_id=members[0].pk,
        cases=[CASE_27],
        is_shown=True,
        now=timezone.now(),
    )
    page = words(make_client(members[0]).get("/homework/"))
    to_do, learnt = page.split("<h2>Learnt</h2>")
    assert "1 case to learn. 1 is learnt." in to_do
    assert ("OLL 40" in to_do, "OLL 27" in to_do) == (True, False)
    assert ("OLL 40" in learnt, "OLL 27" in learnt) == (False, True)
    assert "When that is, is chance." in learnt
    make_upload(members[0].user, solves("111"))
    page = words(make_client(members[0]).get("/homework/"))
    assert "Nothing to learn. 2 are learnt, 1 of them verified in solves." in page
