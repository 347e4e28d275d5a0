"""Thirty phones in front of a wall, on the site as it is really run; and what others notice of it.

Pages of somebody else are timed on the quiet site, then while the phones ask every second and a half
and answer each question. ``WALL_MINUTES`` says how long they do (a half without it; ten for a note).
"""

import os
import threading
import time
import urllib.error
import urllib.request
from statistics import quantiles
from urllib.parse import urlencode

import pytest

from cubecore.cases import CASES
from logs.wall.models import Wall, WallSeat
from tests.desk import make_lesson, make_team
from tests.kill.client import Client
from tests.kill.site import serving

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

PHONES = 30
EVERY_S = 1.5  # as seat.js
TURN_S = 10.0
PASSWORD = "barn-quilt-seven-otter"
PAGES = ("/cases/", "/log/", "/homework/", "/practice/", "/cases/oll/27/")
MOST_TIMES = 2.0


class Caller(Client):
    """A signed-in client that asks again with a tag, and posts forms."""

    def now(self, path: str, tag: str) -> tuple[int, str]:
        headers = {"If-None-Match": tag} if tag else {}
        try:
            with self._opener.open(
                urllib.request.Request(self._address + path, headers=headers), timeout=60
            ) as answer:
                return answer.status, answer.headers["ETag"]
        except urllib.error.HTTPError as error:
            return error.code, tag

    def post(self, path: str, **fields: object) -> int:
        body = urlencode({**fields, "csrfmiddlewaretoken": self._token()}).encode()
        return self._post(path, body, "application/x-www-form-urlencoded")[0]


class Phone(threading.Thread):
    """One phone: joins, asks, answers what it has not answered; the statuses it met."""

    def __init__(self, caller: Caller, code: str, ends: threading.Event, wait_s: float) -> None:
        super().__init__()
        self.caller, self.code, self.ends, self.wait_s = caller, code, ends, wait_s
        self.statuses: list[int] = []
        self.now_ms: list[float] = []

    def run(self) -> None:
        self.ends.wait(self.wait_s)
        self.statuses.append(self.caller.post("/wall/", code=self.code))
        tag = ""
        while not self.ends.wait(EVERY_S):
            begin = time.perf_counter()
            status, fresh = self.caller.now(f"/wall/{self.code}/now/", tag)
            self.now_ms.append(1000 * (time.perf_counter() - begin))
            self.statuses.append(status)
            if fresh == tag:
                continue
            tag = fresh
            status, page = self.caller.get(f"/wall/{self.code}/")
            self.statuses.append(status)
            if "data-seat-form" in page:
                asked = page.split('name="asked" value="')[1].split('"')[0]
                answer = page.split('name="answer" value="')[1].split('"')[0]
                self.statuses.append(
                    self.caller.post(f"/wall/{self.code}/answer/", asked=asked, answer=answer)
                )


def time_pages(visitor: Caller, seconds: float) -> list[float]:
    """Milliseconds of pages asked one after another for so long, by somebody who reads them."""
    times = []
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        for page in PAGES:
            begin = time.perf_counter()
            assert visitor.get(page)[0] == 200
            times.append(1000 * (time.perf_counter() - begin))
            time.sleep(0.2)
    return times


def p95(times: list[float]) -> float:
    return quantiles(times, n=20)[-1]


def test_thirty_phones_answer_without_an_error_and_others_hardly_notice(tmp_path, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]  # the site's
    seconds = 60 * float(os.environ.get("WALL_MINUTES", "0.5"))
    _, coach, members = make_team(PHONES + 1)
    for one in (coach, *members):
        one.user.set_password(PASSWORD)
        one.user.save()
    lesson = make_lesson(coach, members, list(CASES)[:10])
    with serving(tmp_path) as site:
        teacher, visitor, *rest = (
            Caller(site.address, one.user.username, PASSWORD) for one in (coach, *members)
        )
        assert teacher.post(f"/lessons/{lesson.pk}/wall/") == 200
        wall = Wall.objects.get()
        time_pages(visitor, 5)  # what is read once is read now
        quiet = time_pages(visitor, min(seconds, 60))
        ends = threading.Event()
        phones = [
            Phone(caller, wall.code, ends, EVERY_S * n / PHONES) for n, caller in enumerate(rest)
        ]
        busy: list[float] = []
        reader = threading.Thread(target=lambda: busy.extend(time_pages(visitor, seconds)))
        for thread in (*phones, reader):
            thread.start()
        n_asked, ends_at = 0, time.monotonic() + seconds
        shown = []
        while time.monotonic() < ends_at:
            for is_told in (0, 1):
                asked = n_asked % len(wall.questions)
                shown.append(
                    teacher.post(f"/lessons/{lesson.pk}/wall/show/", asked=asked, is_told=is_told)
                )
                shown.append(teacher.get(f"/lessons/{lesson.pk}/wall/counts/")[0])
                time.sleep(TURN_S / 2)
            n_asked += 1
        ends.set()
        for thread in (*phones, reader):
            thread.join()
    statuses = [status for phone in phones for status in phone.statuses]
    now_ms = [ms for phone in phones for ms in phone.now_ms]
    ratio = p95(busy) / p95(quiet)
    answered = [len(seat.answers) for seat in WallSeat.objects.all()]
    print(
        f"\n{PHONES} phones, {seconds:.0f} s, {n_asked} questions: {len(statuses)} answers,"
        f" {statuses.count(304)} of them 304; asking again p95 {p95(now_ms):.0f} ms;"
        f" pages p95 quiet {p95(quiet):.0f} ms (n {len(quiet)}), with phones {p95(busy):.0f} ms"
        f" (n {len(busy)}): {ratio:.2f} times"
    )
    assert set(statuses) <= {200, 304}
    assert set(shown) <= {200, 204}
    assert len(answered) == PHONES
    assert min(answered) >= min(n_asked, len(wall.questions)) - 1
    assert ratio <= MOST_TIMES
