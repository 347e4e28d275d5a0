"""What the demo club did in its last weeks: lessons, homework, drills, practice, a coach's words."""

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from django.db import transaction

from cubecore.cases import CASES, CaseId, Stage
from cubecore.questions import Question, Task, turns_to_hold
from logs.algorithms.selectors import book_of_member
from logs.errors import ConflictError
from logs.homework.figures import DrillWord, Way
from logs.homework.models import Homework
from logs.homework.plan import Plan
from logs.homework.report.progress import asked_rows, case_id
from logs.homework.services import (
    assignment_excuse,
    cases_mark_shown,
    drill_answer,
    drill_seal,
    homework_close,
    homework_set,
)
from logs.lessons.models import Lesson
from logs.lessons.report import proposal_report
from logs.lessons.services import LessonPlan, lesson_create, lesson_set_for_all, missing_mark
from logs.next_up.order import OverrideKind
from logs.next_up.services import override_set
from logs.people.models import Membership
from logs.practice.services import Given, practice_answer, question_seal

N_LESSONS = 12
TUESDAY = 1
EVENING = time(18, 30)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
TITLES = ("Dots first", "Squares and lightning", "The Ts and their mirrors", "Gs by their lights")


@transaction.atomic
def live(coach: Membership, members: Sequence[Membership], now: datetime) -> int:
    """Let the club have lived twelve weeks up to ``now``; return how many lessons it had.

    Everything goes through the services that the pages use, each at its own past moment.
    """
    rng = Random(coach.club.slug)  # noqa: S311 - the same club lives alike, no secret
    zone = ZoneInfo(coach.club.time_zone)
    today = now.astimezone(zone).date()
    last = today - timedelta(days=(today.weekday() - TUESDAY) % 7)
    n_kept = 0
    for weeks_ago in reversed(range(N_LESSONS)):
        evening = datetime.combine(last - timedelta(weeks=weeks_ago), EVENING, zone)
        if evening < now:
            _evening(coach, members, evening, weeks_ago, now, rng)
            n_kept += 1
    _other_homework(coach, members, now)
    return n_kept


def _evening(
    coach: Membership,
    members: Sequence[Membership],
    at: datetime,
    weeks_ago: int,
    now: datetime,
    rng: Random,
) -> None:
    """One lesson, and every third week what was done at home after it."""
    coming = rng.sample(list(members), k=max(1, min(len(members), 5 + weeks_ago % 4)))
    lesson = _lesson(coach, coming, at, weeks_ago)
    if lesson is None:
        return
    if weeks_ago % 5 == 1 and len(coming) > 1:
        missing_mark(actor=coach.user, lesson_id=lesson.pk, membership_ids=[coming[0].pk])
    if weeks_ago % 3 == 0 or weeks_ago == 1:
        homework = lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=at + HOUR)
        _at_home(coach, members, homework, at, now, rng)
        if weeks_ago > N_LESSONS // 2:
            homework_close(
                actor=coach.user,
                homework_id=homework.pk,
                reason="We go on with other cases.",
                now=min(now, at + 28 * DAY),
            )


def _lesson(
    coach: Membership, coming: Sequence[Membership], at: datetime, weeks_ago: int
) -> Lesson | None:
    ids = [member.pk for member in coming]
    proposal = proposal_report(
        actor=coach.user, slug=coach.club.slug, membership_ids=ids, today=at.date()
    )
    lines = proposal.cases[weeks_ago % 3 :][:6]
    if not lines:
        return None
    plan = LessonPlan(
        on=at.date(),
        title=TITLES[weeks_ago % len(TITLES)],
        note="Hands warm first; two breaks." if weeks_ago % 2 else "",
        membership_ids=tuple(ids),
        cases=tuple((CaseId.read(line.case.stage, line.case.number), "") for line in lines),
        guests="Two from the school" if weeks_ago == 2 else "",
    )
    return lesson_create(actor=coach.user, slug=coach.club.slug, plan=plan)


def _at_home(
    coach: Membership,
    members: Sequence[Membership],
    homework: Homework,
    at: datetime,
    now: datetime,
    rng: Random,
) -> None:
    """Members of three diligences: all drills of each case, some, none; some shown to the coach."""
    by_user = {member.user_id: member for member in members}
    for place, assignment in enumerate(homework.assignments.order_by("pk")):
        member = by_user[assignment.member_id]
        for n, row in enumerate(asked_rows(homework, assignment)):
            day = at + (n + 1) * DAY
            words = (6, 3, 0)[place % 3]
            for drill in range(words):
                moment = day + drill * timedelta(minutes=2)
                if moment < now:
                    word = DrillWord.CLEAN if rng.random() < 0.8 else DrillWord.STUMBLED
                    scramble = f"demo {homework.pk} {row.pk} {drill}"
                    _tell(member, case_id(row), scramble, word, moment)
            if place % 3 == 0 and n == 0 and at + 7 * DAY < now:
                cases_mark_shown(
                    actor=coach.user,
                    homework_id=homework.pk,
                    membership_id=member.pk,
                    cases=[case_id(row)],
                    is_shown=True,
                    now=at + 7 * DAY,
                )
    _practise(list(by_user.values())[:4], homework, at + 2 * DAY, now, rng)


def _tell(
    member: Membership, case: CaseId, scramble: str, word: DrillWord, moment: datetime
) -> None:
    seal = drill_seal(actor=member.user, case=case, scramble=scramble)
    drill_answer(actor=member.user, seal=seal, word=word, n_left=1, now=moment)


def _practise(
    members: Sequence[Membership], homework: Homework, at: datetime, now: datetime, rng: Random
) -> None:
    """A few answers of the practice page on the homework's first cases, most of them right."""
    cases = [CASES[case_id(row)] for row in homework.cases.order_by("place")[:3]]
    for member in members:
        entries = book_of_member(member=member.user)
        for n in range(9):
            case, task = cases[n % len(cases)], (Task.CASE, Task.HOLD)[n % 2]
            moment = at + n * timedelta(seconds=20)
            if moment >= now:
                return
            hold = entries.algorithms(case.id)[0].angle % case.n_angles
            others = [other for other in CASES if other.stage is case.id.stage][:4]
            choices = tuple(dict.fromkeys([case.id, *others]))
            question = Question(case.id, n % case.n_angles, choices)
            right = (
                str(case.id.number)
                if task is Task.CASE
                else str(turns_to_hold(case, question.angle, hold))
            )
            wrong = str(choices[1].number) if task is Task.CASE else str((int(right) + 1) % 4)
            seal = question_seal(
                actor=member.user, task=task, question=question, hold=hold, now=moment
            )
            answered = right if rng.random() < 0.85 else wrong
            given = Given(seal, answered, recognition_ms=rng.randrange(600, 2500))
            try:
                practice_answer(actor=member.user, given=given, now=moment + timedelta(seconds=4))
            except ConflictError:
                return  # the day's practice is done


def _other_homework(coach: Membership, members: Sequence[Membership], now: datetime) -> None:
    """Homework in the other ways, an excuse, and the coach's words on what is next."""
    case = CaseId(Stage.PLL, "T")
    some = [member.pk for member in members][:4]
    asks = ((Way.PRACTICE, 6, 6 * DAY), (Way.COACH, None, 13 * DAY))
    for way, n_wanted, ago in asks:
        plan = Plan(
            cases=(CaseId(Stage.OLL, 45), CaseId(Stage.OLL, 33), case),
            membership_ids=tuple(some),
            way=way,
            n_wanted=n_wanted,
            due_on=(now - ago + 14 * DAY).date(),
            note="Look at the bar first, then at the front.",
        )
        homework = homework_set(actor=coach.user, slug=coach.club.slug, plan=plan, now=now - ago)
        visible = next((m for m in members if m.pk in some and m.visibility != "only_me"), None)
        if visible is not None and way is Way.COACH:
            assignment_excuse(
                actor=coach.user,
                homework_id=homework.pk,
                membership_id=visible.pk,
                cases=[case],
                reason="A sore wrist; rest it.",
                now=now - DAY,
            )
            override_set(
                actor=coach.user,
                membership_id=visible.pk,
                case=CaseId(Stage.OLL, 45),
                kind=OverrideKind.PIN,
                reason="It opens the Ts for you.",
                now=now - DAY,
            )
