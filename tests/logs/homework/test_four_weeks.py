"""Members of three diligences work at homework for four weeks: each state comes when it is true.

Everything goes through the services that the pages use; chance alone decides which of the asked
cases come up. Solves in which none does are left out, as they say nothing of homework. What is true
is kept beside: who drilled when, and whether the look that was made was one.
"""

from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from random import Random

import pytest
from django.test import Client
from scipy.stats import binomtest

from cubecore.cases import CASES, CaseId, Stage
from logs.homework.figures import DrillWord
from logs.homework.models import Homework
from logs.homework.report.homework import homework_report
from logs.homework.services import cases_mark_shown, drill_answer, drill_seal
from logs.people.models import Membership
from tests.demo.demo_club import verdict
from tests.desk import CASE_40, DAY, ONE_LOOK, TWO_LOOKS, make_homework, make_team
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_row, make_upload

pytestmark = pytest.mark.django_db

WEEK = timedelta(weeks=1)
PER_WEEK = 60
ALPHA, BETA = 0.05, 0.10  # the errors that the check allows (Wald 1945)
NOT_LEARNT = 0.30  # the rate at which a case counts as not learnt
JB, RB = CaseId(Stage.PLL, "Jb"), CaseId(Stage.PLL, "Rb")
ASKED = (CASE_40, JB, RB)


def of_pll(case: CaseId, *looks: str) -> tuple[str, ...]:
    return (LAST_PAIR, SUNE, *(looks or (CASES[case].algorithms[0],)))


U_PERMS = {JB: CASES[CaseId(Stage.PLL, "Ua")], RB: CASES[CaseId(Stage.PLL, "Ub")]}
# A PLL in two looks: its corners by T, then its edges.
LOOKS = {
    CASE_40: (TWO_LOOKS, ONE_LOOK),
    **{case: (of_pll(case, T_PERM, u.algorithms[0]), of_pll(case)) for case, u in U_PERMS.items()},
}


@dataclass(frozen=True)
class Diligence:
    """How somebody works: on which days a clean drill of each case, and what comes of it.

    Attributes:
        clean_on: Days after the homework was set; five of them make ready.
        shows_on: The day on which each case is shown to the coach; None for never.
        rate: Of one look, from the fifth clean drill on.
    """

    clean_on: tuple[int, ...] = ()
    shows_on: int | None = None
    rate: float = NOT_LEARNT


KEEN = Diligence(clean_on=(1, 1, 2, 2, 3, 3), shows_on=9, rate=0.95)
STEADY = Diligence(clean_on=(2, 6, 9, 13, 18), rate=0.85)
IDLE = Diligence()


@dataclass
class Worker:
    """A member, and what is true of them."""

    member: Membership
    diligence: Diligence
    met: dict[CaseId, list[tuple[datetime, bool]]] = field(
        default_factory=lambda: {case: [] for case in ASKED}
    )

    def learnt_at(self) -> datetime | None:
        days = self.diligence.clean_on
        return NOW + days[4] * DAY + timedelta(minutes=5) if len(days) >= 5 else None

    def verified_at(self, case: CaseId) -> datetime | None:
        """The moment of the sighting at which the check, written out apart, is passed."""
        hits = [hit for _, hit in self.met[case]]
        for n, (at, _) in enumerate(self.met[case], start=1):
            if verdict(tuple(hits[:n])) == "verified":
                return at
        return None

    def state(self, case: CaseId, now: datetime) -> str:
        shows_on, learnt_at = self.diligence.shows_on, self.learnt_at()
        if self.verified_at(case):
            return "verified"
        if verdict(tuple(hit for _, hit in self.met[case])) == "ask_coach":
            return "together"
        if shows_on is not None and NOW + shows_on * DAY <= now:
            return "shown"
        return "ready" if learnt_at and learnt_at <= now else "open"


def work_a_week(worker: Worker, begin: datetime, rng: Random) -> None:
    """Drill as diligence has it, solve what chance brings, send the week's log."""
    rows = []
    for number in range(PER_WEEK):
        at = begin + WEEK * (number + 1) / (PER_WEEK + 1)
        draw = rng.random()
        for case in ASKED:
            chance = CASES[case].chance / (216 if case.stage is Stage.OLL else 72)
            draw -= chance
            if draw < 0:
                learnt_at = worker.learnt_at()
                rate = worker.diligence.rate if learnt_at and learnt_at < at else NOT_LEARNT
                is_hit = rng.random() < rate
                worker.met[case].append((at, is_hit))
                rows.append(make_row(*LOOKS[case][is_hit], done_at=at))
                break
    if rows:
        make_upload(worker.member.user, rows, file_name=f"{begin.date()}.csv")


def drill(worker: Worker, begin: datetime) -> None:
    for place, day in enumerate(worker.diligence.clean_on):
        at = NOW + day * DAY + timedelta(minutes=place + 1)
        if begin <= at < begin + WEEK:
            for case in ASKED:
                user, scramble = worker.member.user, f"{worker.member.pk} {place}"
                seal = drill_seal(actor=user, case=case, scramble=scramble)
                drill_answer(actor=user, seal=seal, word=DrillWord.CLEAN, n_left=9, now=at)


def show(worker: Worker, coach: Membership, homework: Homework, begin: datetime) -> None:
    day = worker.diligence.shows_on
    if day is not None and begin <= NOW + day * DAY < begin + WEEK:
        cases_mark_shown(
            actor=coach.user,
            homework_id=homework.pk,
            membership_id=worker.member.pk,
            cases=ASKED,
            is_shown=True,
            now=NOW + day * DAY,
        )


def words_of_pages(worker: Worker, coach: Membership, homework: Homework) -> str:
    """What the member and the coach read of it."""
    texts = []
    for reader, address in (
        (worker.member, f"/homework/{homework.pk}/"),
        (worker.member, "/homework/"),
        (coach, f"/homework/{homework.pk}/"),
        (coach, f"/homework/{homework.pk}/members/{worker.member.pk}/"),
    ):
        client = Client()
        client.force_login(reader.user)
        page = client.get(address)
        assert page.status_code == 200
        texts.append(" ".join(page.content.decode().split()))
    return " ".join(texts)


BLAME = (
    "fail",
    "overdue",
    "fall behind",
    "missed",
    "too few",
    "too late",
    "should have",
    "still not",
)


def test_each_state_comes_when_it_is_true_and_chance_is_never_called_a_failure():
    rng = Random(11)
    _, coach, members = make_team(24)
    kinds = [KEEN] * 5 + [STEADY] * 5 + [IDLE] * 14
    workers = [Worker(m, kind) for m, kind in zip(members, kinds, strict=True)]
    homework = make_homework(coach, members, ASKED, due_on=(NOW + 2 * WEEK).date())
    by_member = {worker.member.pk: worker for worker in workers}
    codes = {f"{case.stage.value}-{case.number}": case for case in ASKED}
    n_not_met = 0
    for week in range(4):
        begin = NOW + week * WEEK
        for worker in workers:
            drill(worker, begin)
            work_a_week(worker, begin, rng)
            show(worker, coach, homework, begin)
        now = begin + WEEK
        report = homework_report(actor=coach.user, homework_id=homework.pk, now=now)
        for line in report.members:
            worker = by_member[line.membership_id]
            for told in line.cases:
                case = codes[told.case.code]
                assert told.state == worker.state(case, now), (week, told)
                assert told.solves.n_met >= len(worker.met[case][:1])
                assert told.solves.verified_at == worker.verified_at(case)
                if told.learn.ready_at is not None:
                    assert told.learn.ready_at == worker.learnt_at()
        for worker in (workers[0], workers[5], workers[-1]):
            text = words_of_pages(worker, coach, homework)
            assert [word for word in BLAME if word in text.lower()] == []
            for case in ASKED:
                n_not_met += not worker.met[case]
                assert worker.met[case] or "It has not come up in a solve yet." in text
    assert n_not_met  # chance left something out, and the pages said so

    ends = Counter(
        (worker.diligence.rate, worker.state(case, NOW + 4 * WEEK))
        for worker in workers
        for case in ASKED
    )
    n_idle = 14 * len(ASKED)
    false = ends[NOT_LEARNT, "verified"]
    assert binomtest(false, n_idle, ALPHA, "greater").pvalue > 0.01
    learnt = [
        worker.verified_at(case) is not None
        for worker in workers
        if worker.diligence is KEEN
        for case in (JB, RB)
    ]
    assert binomtest(sum(learnt), len(learnt), 1 - BETA, "less").pvalue > 0.01
