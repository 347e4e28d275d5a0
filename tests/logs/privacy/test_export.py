"""A copy of everything: the log as a log that gives the same solves, the rest as one object."""

import json
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from cubecore.jsonlines import parse_line
from cubecore.rows import MAX_STEP_MS, MAX_TIME_MS, Penalty, Row, TimedBy, parse_row
from logs.algorithms.models import BookAlgorithm
from logs.home.models import CalendarFeed, DeskVisit, WeeklyLetter
from logs.home.services import feed_make
from logs.homework.models import (
    Assignment,
    AssignmentCase,
    DrillAnswer,
    Excuse,
    Homework,
    HomeworkCase,
)
from logs.intake.formats import format_json_line
from logs.lessons.models import Lesson, LessonMember
from logs.next_up.models import Override
from logs.people.models import Group, Role, Visibility
from logs.people.services.memberships import role_change, visibility_change
from logs.people.services.trail import look_note
from logs.privacy.report.export import account_copy, file_as_sent, log_lines
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services.corrections import solve_correct
from logs.solves.services.draws import draw_add
from logs.solves.services.labels import LABEL_FIELDS
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
    make_user,
)

BAD_LINE = b"2026-03-01T13:00:00Z,R U,,,,,mend me\r\n"
texts = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=20).map(str.strip)


@given(
    st.builds(
        Row,
        scramble=texts.filter(bool),
        time_ms=st.integers(1, MAX_TIME_MS - 1),
        penalty=st.sampled_from(Penalty),
        solution=st.none() | texts.filter(bool),
        turn_ms=st.none(),
        mark_ms=st.none(),
        timed_by=st.none() | st.sampled_from(TimedBy),
        step_ms=st.none() | st.integers(1, MAX_STEP_MS),
        done_at=st.none() | texts.filter(bool),
        note=texts,
    )
)
def test_a_line_reads_back_as_its_row(row: Row):
    assert parse_row(parse_line(format_json_line(row))) == row


@pytest.mark.django_db
def test_the_log_gives_a_fresh_account_the_same_solves_to_the_millisecond():
    rows = [
        *make_rows(3),
        make_row(penalty=Penalty.PLUS_TWO, done_at=NOW + timedelta(hours=1)),
        make_row(penalty=Penalty.DNF, done_at=NOW + timedelta(hours=2), note='=1+1, "quoted"\té'),
        make_row(SUNE, done_at=None),
        make_row(SUNE, done_at=None),
        make_row(LAST_PAIR, SUNE, is_timed=False, done_at=None),
        Row(scramble="R U F", time_ms=12_345),
    ]
    user, fresh = make_user(), make_user()
    make_upload(user, rows[:5])
    make_upload(user, rows[4:], file_name="more.csv")
    make_upload(
        fresh,
        content="".join(log_lines(actor=user)).encode(),
        file_name="my-log.jsonl",
        time_zone="Asia/Tokyo",
    )

    def solves(member) -> list[dict[str, object]]:
        names = ("key", "time_ms", "penalty", "turn_ms", "done_at", "note", *LABEL_FIELDS)
        return list(Solve.objects.filter(member=member).order_by("key").values(*names))

    def sightings(member) -> list[dict[str, object]]:
        own = Sighting.objects.filter(member=member).order_by("solve__key", "stage")
        return [
            {k: v for k, v in row.items() if k not in {"id", "solve_id", "member_id"}}
            for row in own.values()
        ]

    assert len(solves(user)) == 9
    assert solves(fresh) == solves(user)
    assert sightings(fresh) == sightings(user)
    assert len(sightings(user)) > 9


@pytest.mark.django_db
def test_the_object_holds_what_was_drawn_and_what_was_written_down():
    user, row = make_user(), make_row(done_at=None, is_timed=False)
    number = make_upload(user, [row._replace(solution=None)]).solves.get().pk
    zone = ZoneInfo("UTC")
    draw_add(actor=user, n_wanted=1, since=None, zone=zone, seed=9, now=NOW)
    values = {"solution": row.solution}
    solve_correct(actor=user, solve_id=number, values=values, time_zone=zone, now=NOW)
    copy = account_copy(actor=user)
    assert copy["draws"] == [
        {
            "drawn_at": "2026-03-01T12:00:00Z",
            "since": None,
            "zone": "UTC",
            "seed": 9,
            "n_solves": 1,
            "n_parts": 1,
            "n_rounds": 1,
            "solves": [{"solve_number": number, "part": 1, "n_in_part": 1, "round": 1}],
        }
    ]
    assert copy["solves_written_down"] == [{"solve_number": number, "at": "2026-03-01T12:00:00Z"}]


@pytest.mark.django_db
def test_the_object_holds_all_else_and_names_no_other_member():
    club = make_club("Riverbank")
    owner = make_membership(club, role=Role.OWNER)
    own = make_membership(club, visibility=Visibility.COACH)
    clubmate = make_membership(club, visibility=Visibility.CLUB)
    content = make_csv(make_rows(2)) + BAD_LINE
    upload = make_upload(own.user, content=content, file_name="mine.csv")
    case = {"stage": "oll", "case": "27"}
    homework = Homework.objects.create(
        club=club,
        set_by=owner.user,
        set_at=NOW,
        goal="one_look",
        due_on=date(2026, 4, 1),
        note="Slowly.",
    )
    HomeworkCase.objects.create(homework=homework, place=1, **case)
    for member in (own, clubmate):
        asked = Assignment.objects.create(homework=homework, member=member.user)
        AssignmentCase.objects.create(assignment=asked, asked_at=NOW, **case)
        DrillAnswer.objects.create(
            member=member.user, drill="x", at=NOW, scramble="R U", word="clean", **case
        )
        Excuse.objects.create(
            assignment=asked, by=owner.user, at=NOW, reason=f"why {member.pk}", **case
        )
        Override.objects.create(
            club=club, member=member.user, kind="pin", reason="now", by=owner.user, at=NOW, **case
        )
    lesson = Lesson.objects.create(club=club, on=date(2026, 3, 2), title="Dots", by=owner.user)
    LessonMember.objects.create(lesson=lesson, member=own.user)
    look_note(actor=owner.user, membership_ids=[own.pk, clubmate.pk], page="solves", now=NOW)
    look_note(actor=own.user, membership_ids=[clubmate.pk], page="solves", now=NOW)
    visibility_change(actor=own.user, slug=club.slug, visibility="only_me", now=NOW)
    role_change(actor=owner.user, slug=club.slug, membership_id=own.pk, role="coach", now=NOW)

    copy = account_copy(actor=own.user)

    assert copy["account"]["user_name"] == own.user.username
    assert copy["clubs"] == [
        {
            "club": "Riverbank",
            "role": "coach",
            "display_name": own.display_name,
            "visibility": "only_me",
            "is_in_research": False,
            "groups": [],
        }
    ]
    assert [row["text"] for row in copy["uploads"][0]["set_aside_rows"]] == [
        BAD_LINE.decode().rstrip("\r\n")
    ]
    assert [(job["kind"], job["status"], job["n_read"]) for job in copy["jobs"]] == [
        ("upload", "done", copy["uploads"][0]["n_rows"])
    ]
    assert copy["homework"] == [
        {
            "club": "Riverbank",
            "set_at": "2026-03-01T12:00:00Z",
            "due_on": "2026-04-01",
            "way": "drills",
            "n_wanted": 5,
            "goal": "one_look",
            "recognition_target_ms": None,
            "note": "Slowly.",
            "cases": [{"case": "OLL 27", "asked_at": "2026-03-01T12:00:00Z", "shown_at": None}],
            "excused": [
                {"case": "OLL 27", "at": "2026-03-01T12:00:00Z", "reason": f"why {own.pk}"}
            ],
        }
    ]
    assert copy["drills_told"] == [
        {
            "case": "OLL 27",
            "at": "2026-03-01T12:00:00Z",
            "scramble": "R U",
            "word": "clean",
            "time_ms": None,
        }
    ]
    assert [word["reason"] for word in copy["next_up_words"]] == ["now"]
    assert copy["lessons"] == [{"club": "Riverbank", "on": "2026-03-02", "title": "Dots"}]
    told = [(event["by"], event["verb"]) for event in copy["events"]]
    assert told == [
        (owner.display_name, "look"),
        ("you", "visibility"),
        (owner.display_name, "role"),
        ("you", "look"),
    ]
    text = json.dumps(copy)
    assert clubmate.display_name not in text
    assert f"why {clubmate.pk}" not in text
    assert file_as_sent(actor=own.user, upload_id=upload.pk) == (
        f"sent-{upload.pk}.csv",
        "text/csv",
        content,
    )


@pytest.mark.django_db
def test_what_a_coach_made_is_in_the_coach_s_copy_without_for_whom():
    club = make_club()
    coach, member = make_membership(club, role=Role.COACH), make_membership(club)
    case = {"stage": "pll", "case": "T"}
    homework = Homework.objects.create(
        club=club, set_by=coach.user, set_at=NOW, goal="one_look", note="By hand."
    )
    HomeworkCase.objects.create(homework=homework, place=1, **case)
    asked = Assignment.objects.create(homework=homework, member=member.user)
    Excuse.objects.create(assignment=asked, by=coach.user, at=NOW, reason="ill", **case)
    Override.objects.create(
        club=club, member=member.user, kind="skip", reason="later", by=coach.user, at=NOW, **case
    )
    Lesson.objects.create(club=club, on=date(2026, 3, 2), title="Evening", by=coach.user)
    BookAlgorithm.objects.create(
        club=club, text="R U R'", place=1, added_by=coach.user, added_at=NOW, **case
    )
    made = account_copy(actor=coach.user)["as_coach"]
    assert [one["note"] for one in made["homework"]] == ["By hand."]
    assert [one["cases"] for one in made["homework"]] == [["PLL T"]]
    assert [one["title"] for one in made["lessons"]] == ["Evening"]
    assert [one["reason"] for one in made["next_up_words"]] == ["later"]
    assert [one["reason"] for one in made["excuses"]] == ["ill"]
    assert [one["text"] for one in made["algorithms"]] == ["R U R'"]
    assert [one["case"] for one in made["algorithms"]] == ["PLL T"]
    assert member.display_name not in json.dumps(made)


@pytest.mark.django_db
def test_somebody_with_nothing_has_a_copy_too():
    copy = account_copy(actor=make_user())
    assert (copy["clubs"], copy["uploads"], copy["events"]) == ([], [], [])
    assert list(log_lines(actor=make_user())) == []


@pytest.mark.django_db
def test_it_tells_of_sign_ins_groups_calendars_letters_and_desks_but_not_what_opens_them():
    coach = make_membership(make_club("Riverbank"), role=Role.COACH)
    Group.objects.create(club=coach.club, name="Tuesday").members.add(coach)
    feed_make(actor=coach.user, now=NOW)
    DeskVisit.objects.create(membership=coach, seen_at=NOW, since_at=NOW)
    WeeklyLetter.objects.create(membership=coach, week_on=NOW.date(), since_at=NOW)
    client = Client(headers={"user-agent": "Mozilla/5.0 (X11; Linux x86_64) Firefox/128.0"})
    client.force_login(coach.user)
    copy = account_copy(actor=coach.user)
    assert copy["clubs"][0]["groups"] == ["Tuesday"]
    assert [list(place) for place in copy["sign_ins"]] == [["browser", "signed_in_at", "used_at"]]
    assert copy["calendar"] == [{"made_at": "2026-03-01T12:00:00Z"}]
    assert [one["club"] for one in copy["as_coach"]["desk_visits"]] == ["Riverbank"]
    assert copy["as_coach"]["weekly_letters"][0]["week_on"] == "2026-03-01"
    secrets = [
        CalendarFeed.objects.get().seed,
        CalendarFeed.objects.get().secret_hash,
        *coach.user.sessions.values_list("session_key", flat=True),
        str(client.session.session_key),
    ]
    assert not [secret for secret in secrets if secret in json.dumps(copy)]
