"""How much practice a day a member's coaches want at most, and how much of it is done."""

from collections import Counter
from collections.abc import Collection
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId
from cubecore.questions import Task
from cubecore.results import Kind
from logs.errors import NotFoundError
from logs.homework.report.progress import asked_rows, case_id
from logs.homework.selectors import drill_answers_between, homework_asked
from logs.people.models import PRACTICE_CAP, Club
from logs.people.sight import visible_memberships
from logs.practice.figures import PRACTICE_COLUMNS
from logs.practice.models import PracticeAnswer
from logs.solves.figures.counts import mistaken_looks, read_look
from logs.solves.figures.frames import build_frame
from logs.solves.models.solves import Solve
from logs.solves.selectors.frames import looked_rows

TAPS_A_TURN = 3
"""So many answers tapped on a screen are allowed for each drill turned by hand: the number is the
coach's, and it is hands that it spares."""


def practice_cap(*, actor: User) -> int:
    """The most drills a day for ``actor``: the least that any of their clubs has, 30 without one."""
    caps = Club.objects.filter(memberships__user=actor).values_list("practice_cap", flat=True)
    return min(caps, default=PRACTICE_CAP)


def day_span(*, actor: User, now: datetime) -> tuple[datetime, datetime]:
    """Begin and end of the actor's day: midnights of their club's zone, UTC without a club."""
    clubs = Club.objects.filter(memberships__user=actor).order_by("name", "id")
    zone = ZoneInfo(clubs.values_list("time_zone", flat=True).first() or "UTC")
    today = now.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0)
    return today, today + timedelta(days=1)


def drills_today(*, actor: User, now: datetime) -> int:
    """How many drills of the actor's log were done on the day of ``now``."""
    begin, end = day_span(actor=actor, now=now)
    drills = Solve.objects.filter(member=actor, kind=Kind.DRILL)
    return drills.filter(done_at__gte=begin, done_at__lt=end).count()


def drills_left(*, actor: User, now: datetime) -> int:
    """Drills that the actor's day still holds: the most a day, less those logged and told of."""
    begin, end = day_span(actor=actor, now=now)
    n_told = drill_answers_between(actor=actor, begin=begin, end=end)
    n_turned = n_told + answers_today(actor=actor, is_turned=True, now=now)
    return max(0, practice_cap(actor=actor) - drills_today(actor=actor, now=now) - n_turned)


def answers_today(*, actor: User, is_turned: bool, now: datetime) -> int:
    """How many answers the actor gave on the day of ``now``, with a cube in hand or without."""
    begin, end = day_span(actor=actor, now=now)
    answers = PracticeAnswer.objects.filter(member=actor, is_turned=is_turned)
    return answers.filter(at__gte=begin, at__lt=end).count()


def answers_left(*, actor: User, is_turned: bool, now: datetime) -> int:
    """Answers that the actor's day still holds: of those by tapping three times as many."""
    if is_turned:
        return drills_left(actor=actor, now=now)
    cap = TAPS_A_TURN * practice_cap(actor=actor)
    return max(0, cap - answers_today(actor=actor, is_turned=False, now=now))


def told_histories(*, actor: User) -> dict[CaseId, list[tuple[float, bool]]]:
    """By case the hour of each of the actor's answers that told it, the oldest first."""
    answers = PracticeAnswer.objects.filter(member=actor, task=Task.CASE).order_by("at", "pk")
    histories: dict[CaseId, list[tuple[float, bool]]] = {}
    for stage, case, at, is_right in answers.values_list("stage", "case", "at", "is_right"):
        told = at.timestamp() / 3600, is_right
        histories.setdefault(CaseId.read(stage, case), []).append(told)
    return histories


def taken_for(*, actor: User, case: CaseId) -> tuple[CaseId, ...]:
    """What the actor took a case for, in practice and in solves, the most often first."""
    stage, number = case.stage.value, case.text
    wrong = PracticeAnswer.objects.filter(member=actor, stage=stage, case=number, is_right=False)
    said = Counter(wrong.filter(task=Task.CASE).values_list("answered", flat=True))
    looks = map(read_look, looked_rows(actor=actor, member=actor, cases={(stage, number)}))
    done = Counter(mistake.done for _, mistake in mistaken_looks(list(looks)))
    names = {other.text: other for other in CASES if other.stage is case.stage and other != case}
    return tuple(names[text] for text, _ in (said + done).most_common() if text in names)


def answers_since(*, actor: User, answer_id: int, n: int) -> list[PracticeAnswer]:
    """The first ``n`` of the actor's own answers after one, the oldest first."""
    return list(PracticeAnswer.objects.filter(member=actor, pk__gt=answer_id).order_by("pk")[:n])


def last_answer_id(*, actor: User) -> int:
    """The number of the actor's newest answer; 0 without one."""
    newest = PracticeAnswer.objects.filter(member=actor).order_by("-pk")
    return newest.values_list("pk", flat=True).first() or 0


def answer_get(*, actor: User, answer_id: int) -> PracticeAnswer:
    """One of the actor's own answers.

    Raises:
        NotFoundError: There is none of that number, or it is somebody else's.
    """
    answer = PracticeAnswer.objects.filter(member=actor, pk=answer_id).first()
    if answer is None:
        raise NotFoundError("answer")
    return answer


def answer_list(*, actor: User) -> list[PracticeAnswer]:
    """All of the actor's own answers, the oldest first."""
    return list(PracticeAnswer.objects.filter(member=actor).order_by("at", "pk"))


def own_practice_frame(*, member: User, since: datetime | None = None) -> pd.DataFrame:
    """A member's answers as a ``PRACTICE_COLUMNS`` frame, the oldest first.

    Whoever asks must have been found to read the member's log (`logs.people.sight`).
    """
    answers = PracticeAnswer.objects.filter(member=member)
    if since is not None:
        answers = answers.filter(at__gte=since)
    return _frame(answers.order_by("at", "pk").values_list(*PRACTICE_COLUMNS))


def club_practice_frame(*, actor: User, club: Club) -> pd.DataFrame:
    """The same of the members of ``club`` whose logs ``actor`` may read."""
    members = visible_memberships(actor).filter(club=club).values("user")
    answers = PracticeAnswer.objects.filter(member__in=members)
    return _frame(answers.order_by("at", "pk").values_list(*PRACTICE_COLUMNS))


def _frame(rows: Collection[tuple[object, ...]]) -> pd.DataFrame:
    return build_frame(PRACTICE_COLUMNS, rows)


def cases_asked(*, actor: User) -> tuple[CaseId, ...]:
    """The cases of the actor's open homework, each once, those they are excused from left out."""
    asked: dict[CaseId, None] = {}
    for homework in homework_asked(actor=actor):
        if homework.closed_at is not None:
            continue
        for assignment in homework.assignments.all():
            if assignment.member_id == actor.pk:
                excused = {(excuse.stage, excuse.case) for excuse in assignment.excuses.all()}
                rows = asked_rows(homework, assignment)
                asked |= {case_id(r): None for r in rows if (r.stage, r.case) not in excused}
    return tuple(asked)
