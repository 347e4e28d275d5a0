"""The limits and terms that we promise: each constant, its value, where it is from, who repeats it.

A constant that changes fails here, like those of figures in `test_promised_numbers`. Where no source
is named the number is our own rule.
"""

from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings

from clubsite.accounts import throttle
from logs import limits
from logs.algorithms import services as algorithm_services
from logs.cases import facts
from logs.home import page as home_page
from logs.home import words as home_words
from logs.home.report import desk, home
from logs.homework import figures as homework
from logs.homework import services as homework_services
from logs.intake import rows
from logs.jobs import services as jobs
from logs.lessons import figures as lessons
from logs.people import models as people
from logs.people import selectors as people_selectors
from logs.people.services import passwords
from logs.practice import models as practice_models
from logs.practice import services as practice
from logs.solves.selectors import solves
from logs.solves.services import drafts, mappings

LOGS = Path(__file__).parents[2] / "logs"
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
LIMITS = [
    # Each line: where, the constant, its value.
    (rows, "MAX_BYTES", 10_485_760),
    (rows, "MAX_ROWS", 50_000),
    (rows, "MAX_AHEAD", DAY),
    (solves, "DRAFT_LIFE", 7 * DAY),
    (drafts, "MAX_DRAFTS", 5),
    (mappings, "MAX_KEPT", 50),
    (limits, "REASON", 300),
    (limits, "NOTE", 1_000),
    (limits, "RECOGNITION_TARGET_MS", (100, 30_000)),
    (limits, "HOMEWORK_CASES", 20),
    (limits, "PROPOSED_CASES", 10),
    (limits, "SHEET_CASES", 20),
    (limits, "INVITATION_USES", (1, 60)),
    (limits, "INVITATION_DAYS", (1, 60)),
    (limits, "TOKEN_DAYS", (1, 366)),
    (limits, "TOKENS", 20),
    (homework, "MOST_WANTED", 20),
    (homework, "HALF", 0.5),
    (homework, "WEEKS_READ", 8),
    (homework_services, "TAKE_BACK_WITHIN", DAY),
    (lessons, "FITS_FROM", 0.6),
    (lessons, "GROUPS_GAIN", 0.15),
    (lessons, "FEWEST_IN_GROUP", 2),
    (facts, "TURNS_AN_HOUR", 10),
    (algorithm_services, "MAX_ALGORITHMS", 12),
    (desk, "DUE_WITHIN", 7 * DAY),
    (desk, "QUIET_AFTER", 21 * DAY),
    (home, "USUAL_FROM", 20),
    (home_page, "SAME_VISIT", HOUR),
    (home_words, "MOST", 6),
    (practice, "ANSWER_WITHIN", HOUR),
    (practice_models, "MAX_RECOGNITION_MS", 120_000),
    (people, "PRACTICE_CAP", 30),
    (people, "MOST_PRACTICE", 200),
    (people_selectors, "N_LETTERS", 12),
    (passwords, "CODE_LIFE", HOUR),
    (jobs, "LEASE", timedelta(seconds=60)),
    (jobs, "MAX_ATTEMPTS", 5),
    (jobs, "REDELIVER_AFTER", timedelta(minutes=2)),
    (settings, "SESSION_COOKIE_AGE", 1_209_600),  # two weeks of seconds
    (settings, "SESSION_ABSOLUTE_AGE", 90 * DAY),
]
SENTENCES = [
    # What it repeats, the file below logs/, the words.
    ("MAX_BYTES", "solves/templates/solves/log.html", "Up to 10 MB."),
    ("DRAFT_LIFE", "privacy/templates/privacy/what_we_keep.html", "After seven days you"),
    ("PASSWORD", "privacy/templates/privacy/what_we_keep.html", "for 15 minutes"),
    ("SESSION_COOKIE_AGE", "privacy/templates/privacy/what_we_keep.html", "Two weeks after you"),
    ("SESSION_ABSOLUTE_AGE", "privacy/templates/privacy/what_we_keep.html", "90 days at most"),
    ("N_LETTERS", "people/templates/people/join_code_form.html", "twelve letters and digits"),
    ("CODE_LIFE", "people/services/passwords.py", "or the code is used up or an hour old."),
    ("PROPOSED_CASES", "lessons/templates/lessons/lessons.html", "up to ten cases"),
    ("TAKE_BACK_WITHIN", "homework/services.py", "This homework was set more than a day ago."),
    ("USUAL_NUMBER", "homework/templates/homework/homework_new.html", "5 drills, or 6 right"),
]


@pytest.mark.parametrize(("where", "name", "value"), LIMITS, ids=[name for _, name, _ in LIMITS])
def test_a_limit_is_what_we_promise(where, name, value):
    assert getattr(where, name) == value


def test_what_a_coach_leaves_empty_is_five_drills_or_six_answers():
    assert homework.USUAL_NUMBER == {homework.Way.DRILLS: 5, homework.Way.PRACTICE: 6}


@pytest.mark.parametrize(
    ("limit", "n_account", "n_address", "window"),
    [
        (throttle.PASSWORD, 10, 100, timedelta(minutes=15)),
        (passwords.INVITATION, 10, 30, timedelta(minutes=15)),
        (passwords.PASSWORD_CODE, 10, 30, timedelta(minutes=15)),
        (passwords.EXPORT, 10, 100, HOUR),
        (passwords.API_WRONG_TOKEN, 30, 30, timedelta(minutes=15)),
        (passwords.API, 600, 3_000, timedelta(minutes=10)),
        (passwords.API_CHANGE, 120, 1_200, timedelta(minutes=10)),
    ],
    ids=lambda value: getattr(value, "scope", None),
)
def test_a_throttle_is_what_we_promise(limit, n_account, n_address, window):
    assert (limit.n_account, limit.n_address, limit.window) == (n_account, n_address, window)


@pytest.mark.parametrize(("name", "path", "words"), SENTENCES, ids=[line[0] for line in SENTENCES])
def test_a_sentence_repeats_the_limit(name, path, words):
    assert name in {constant for _, constant, _ in LIMITS} | {"USUAL_NUMBER", "PASSWORD"}
    assert words in " ".join((LOGS / path).read_text(encoding="utf-8").split())
