"""What a demo club did in its last weeks, as ``life.toml`` tells it, lived through the services.

Everything goes through the services that the pages use, each at its own past moment; what would
lie after the present is left out.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from cubecore.cases import CASES, Case, CaseId, find_case
from cubecore.questions import Question, Task, turns_to_hold
from logs.algorithms.figures import CoachHold, with_before
from logs.algorithms.selectors import book_of_member, club_book_get
from logs.algorithms.services import case_hold_write, case_words_write
from logs.homework.figures import USUAL_NUMBER, DrillWord, Way
from logs.homework.models import Goal, Homework
from logs.homework.plan import Plan
from logs.homework.services import (
    assignment_excuse,
    cases_mark_shown,
    drill_answer,
    drill_seal,
    homework_close,
    homework_set,
    homework_take_back,
)
from logs.lessons.services import LessonPlan, lesson_create, lesson_make_homework, missing_mark
from logs.next_up.order import OverrideKind
from logs.next_up.services import override_set
from logs.people.models import Club, Membership, Role
from logs.people.services.invitations import invitation_create
from logs.people.services.memberships import group_keep, visibility_change
from logs.people.services.trail import look_note
from logs.practice.report.drills import one_drill
from logs.practice.services import Given, practice_answer, question_seal
from logs.progress.services import time_mark_add

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
WEEK = timedelta(weeks=1)
Told = Mapping[str, Any]
"""A table of ``life.toml``."""


@transaction.atomic
def live(life: Told, club: Club, people: Mapping[str, Membership], now: datetime) -> int:
    """Let a club have lived what ``life`` tells, up to ``now``; return how many lessons it had.

    Args:
        life: The tables of ``life.toml``.
        club: The club.
        people: Its members by nickname.
        now: Aware; what would come later is left out.
    """
    lived = _Life(life, club, people, now)
    for change in life.get("changes", ()):
        lived.change_sight(change)
    n_lessons = sum(lived.hold_lesson(lesson) for lesson in life.get("lessons", ()))
    for homework in life.get("homework", ()):
        lived.set_homework(homework)
    lived.remember(life)
    return n_lessons


def evening_of(life: Told, zone: ZoneInfo, now: datetime, weeks_ago: int) -> datetime:
    """The evening so many weeks before that of the latest lesson before ``now``."""
    at: time = life["at"]
    today = now.astimezone(zone).date()
    last = today - timedelta(days=(today.weekday() - int(life["weekday"])) % 7)
    if datetime.combine(last, at, zone) >= now:
        last -= WEEK
    return datetime.combine(last - weeks_ago * WEEK, at, zone)


@dataclass(frozen=True, slots=True)
class _Life:
    """A club that lives; each deed that would lie after ``now`` is left out."""

    life: Told
    club: Club
    people: Mapping[str, Membership]
    now: datetime

    def evening(self, told: Told) -> datetime:
        return evening_of(self.life, ZoneInfo(self.club.time_zone), self.now, told["weeks_ago"])

    def ids(self, names: Iterable[str]) -> tuple[int, ...]:
        return tuple(self.people[name].pk for name in names)

    def coach(self, told: Told) -> Membership:
        coaches = [one for one in self.people.values() if one.is_coach]
        return self.people[told["by"]] if "by" in told else coaches[0]

    def change_sight(self, told: Told) -> None:
        member, at = self.people[told["member"]], self.evening(told)
        wanted = member.visibility
        for visibility, moment in ((told["visibility_was"], at - WEEK), (wanted, at)):
            visibility_change(
                actor=member.user, slug=self.club.slug, visibility=visibility, now=moment
            )

    def hold_lesson(self, told: Told) -> bool:
        """Hold a lesson, and do what was done at home after it; return True, to be counted."""
        coach, at = self.coach(told), self.evening(told)
        plan = LessonPlan(
            on=at.date(),
            title=told["title"],
            note=told.get("note", ""),
            membership_ids=self.ids(told["come"]),
            cases=tuple((case, "") for case in case_ids(told["cases"])),
            guests=told.get("guests", ""),
        )
        lesson = lesson_create(actor=coach.user, slug=self.club.slug, plan=plan)
        missing = self.ids(told.get("missing", ()))
        missing_mark(actor=coach.user, lesson_id=lesson.pk, membership_ids=missing)
        asked: Told | None = told.get("homework")
        if asked is not None:
            plan_at_home = self.plan(asked, at.date() + WEEK)
            homework = lesson_make_homework(
                actor=coach.user, lesson_id=lesson.pk, plan=plan_at_home, now=at + HOUR
            )
            self.at_home(coach, homework, asked, at)
        return True

    def set_homework(self, told: Told) -> None:
        coach, at = self.coach(told), self.evening(told)
        plan = self.plan(told, at.date() + WEEK)
        homework = homework_set(actor=coach.user, slug=self.club.slug, plan=plan, now=at + HOUR)
        if told.get("taken_back"):
            homework_take_back(actor=coach.user, homework_id=homework.pk, now=at + 2 * HOUR)
        else:
            self.at_home(coach, homework, told, at)

    def plan(self, told: Told, due_on: date) -> Plan:
        way = Way(told.get("way", Way.DRILLS))
        asks = {name: case_ids(cases) for name, cases in told["asks"].items()}
        return Plan(
            cases=tuple(dict.fromkeys(case for cases in asks.values() for case in cases)),
            membership_ids=self.ids(asks),
            way=way,
            n_wanted=told.get("wanted", USUAL_NUMBER.get(way)),
            goal=told.get("goal", Goal.ONE_LOOK.value),
            recognition_target_ms=told.get("target_ms"),
            due_on=due_on,
            note=told.get("note", ""),
            own_cases={self.people[name].pk: cases for name, cases in asks.items()},
        )

    def at_home(self, coach: Membership, homework: Homework, told: Told, at: datetime) -> None:
        """Drills, practice and cases shown since a homework was set, its excuses, its end."""
        for name, cases in told["asks"].items():
            for n, case in enumerate(case_ids(cases), start=1):
                self.drill(name, CASES[case], told, at + n * DAY)
                self.practise(name, CASES[case], told, at + n * DAY)
        for name, cases in told.get("shown", {}).items():
            if at + WEEK < self.now:
                cases_mark_shown(
                    actor=coach.user,
                    homework_id=homework.pk,
                    membership_id=self.people[name].pk,
                    cases=case_ids(cases),
                    is_shown=True,
                    now=at + WEEK,
                )
        for name, excused in told.get("excused", {}).items():
            assignment_excuse(
                actor=coach.user,
                homework_id=homework.pk,
                membership_id=self.people[name].pk,
                cases=case_ids(excused["cases"]),
                reason=excused["why"],
                now=at + 2 * HOUR,
            )
        if "closed" in told:
            homework_close(
                actor=coach.user,
                homework_id=homework.pk,
                reason=told["closed"]["why"],
                now=at + told["closed"]["after_weeks"] * WEEK,
            )

    def drill(self, name: str, case: Case, told: Told, at: datetime) -> None:
        """Drills that the house deals, and the member's word on each: stumbled first."""
        words = [DrillWord.STUMBLED] * told.get("stumbled", {}).get(name, 0)
        words += [DrillWord.CLEAN] * told.get("clean", {}).get(name, 0)
        user = self.people[name].user
        rng = Random(f"{name} {case} {at.date()}")  # noqa: S311 - the same club lives alike, no secret
        for n, word in enumerate(words):
            moment = at + n * timedelta(minutes=2)
            if moment < self.now:
                dealt, _ = one_drill(actor=user, case=case, rng=rng)
                seal = drill_seal(actor=user, case=case.id, scramble=dealt.scramble)
                drill_answer(actor=user, seal=seal, word=word, n_left=1, now=moment)

    def practise(self, name: str, case: Case, told: Told, at: datetime) -> None:
        """Answers of the practice page, told and held in turn: wrong ones first."""
        answers = [False] * told.get("wrong", {}).get(name, 0)
        answers += [True] * told.get("right", {}).get(name, 0)
        for n, is_right in enumerate(answers):
            for task in Task if case.n_angles > 1 else (Task.CASE,):
                moment = at + n * timedelta(minutes=1) + (task is Task.HOLD) * timedelta(seconds=20)
                if moment < self.now:
                    _answer(self.people[name], case, task, n, moment, is_right=is_right)

    def remember(self, life: Told) -> None:
        """What else is told: pins, words, groups, marks, looks, and a code that is open now."""
        self.write_words(life)
        for pin in life.get("pins", ()):
            override_set(
                actor=self.coach(pin).user,
                membership_id=self.people[pin["member"]].pk,
                case=case_ids([pin["case"]])[0],
                kind=OverrideKind.PIN,
                reason=pin["why"],
                now=self.evening(pin),
            )
        for group in life.get("groups", ()):
            group_keep(
                actor=self.coach({}).user,
                slug=self.club.slug,
                name=group["name"],
                membership_ids=self.ids(group["members"]),
            )
        for mark in life.get("marks", ()):
            user, day = self.people[mark["member"]].user, self.evening(mark).date()
            time_mark_add(actor=user, day=day, word=mark["word"], today=day)
        for look in life.get("looks", ()):
            look_note(
                actor=self.people[look["by"]].user,
                membership_ids=self.ids(look["members"]),
                page="progress",
                now=self.evening(look),
            )
        invitation_create(
            actor=self.coach({}).user,
            slug=self.club.slug,
            role=Role.MEMBER,
            max_uses=5,
            days=14,
            now=self.now,
        )

    def write_words(self, life: Told) -> None:
        """A coach's words beside cases of the book, and the hold where it is the coach's own."""
        for words in life.get("words", ()):
            (case,) = case_ids([words["case"]])
            coach, slug, now = self.coach(words).user, self.club.slug, self.evening(words)
            case_words_write(actor=coach, slug=slug, case=case, text=words["says"], now=now)
            if "first" in words:
                book = club_book_get(actor=coach, slug=slug).book
                held = with_before(book.algorithms(case)[0], words["first"])
                hold = CoachHold(held.angle, words["first"])
                case_hold_write(actor=coach, slug=slug, case=case, hold=hold, now=now)


def _answer(
    member: Membership, case: Case, task: Task, n: int, at: datetime, *, is_right: bool
) -> None:
    hold = book_of_member(member=member.user).algorithms(case.id)[0].angle % case.n_angles
    others = [other for other in CASES if other.stage is case.id.stage and other != case.id][:4]
    question = Question(case.id, n % case.n_angles, (case.id, *others))
    turns = turns_to_hold(case, question.angle, hold)
    if task is Task.CASE:
        answered = str(case.id.number if is_right else others[0].number)
    else:
        answered = str(turns if is_right else (turns + 1) % case.n_angles)
    seal = question_seal(actor=member.user, task=task, question=question, hold=hold, now=at)
    given = Given(seal, answered, recognition_ms=900 + 130 * (n % 7))
    practice_answer(actor=member.user, given=given, now=at + timedelta(seconds=4))


def case_ids(names: Sequence[str]) -> tuple[CaseId, ...]:
    """The cases of such names as ``OLL 27``."""
    return tuple(find_case(name).id for name in names)
