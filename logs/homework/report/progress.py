"""How far members are with homework, worked out from what is behind it."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId
from logs.cases.facts import chance_of, code_of
from logs.homework.figures import (
    NOTHING_USUAL,
    Asked,
    CaseCheck,
    Learning,
    Meeting,
    Usual,
    Way,
    case_check,
    is_hit,
    is_usual_wanted,
    learning,
    solves_until_met,
    usual,
    usual_week,
)
from logs.homework.models import Assignment, AssignmentCase, Excuse, Homework, HomeworkCase
from logs.homework.report.data import (
    DONE,
    AskedCase,
    CaseProgress,
    CaseState,
    ExcuseReport,
    Expectation,
    Head,
    LearnReport,
    MeetingLine,
    MemberProgress,
    SolvesCheck,
    TestCount,
)
from logs.homework.selectors import deeds_since, others_before, weekly_counts_of
from logs.people.models import Membership
from logs.people.sight import ClubName
from logs.stats.rates import Adoption, AdoptionState
from logs.words import find_case

OtherCases = Mapping[tuple[int, str], Mapping[str, Sequence[Meeting]]]
"""Sightings before, by member and stage, then by case."""


class Progress:
    """What is behind some homework, read once and dealt out.

    Without ``now`` nothing is told of how soon chance brings a case, which saves two queries.
    """

    def __init__(
        self,
        actor: User,
        homework: Sequence[Homework],
        members: Sequence[Membership],
        now: datetime | None,
    ) -> None:
        self.actor = actor
        self.members = members
        self._deeds = deeds_since(homework=homework, members=members)
        weeks = weekly_counts_of(members=members, now=now) if now else {}
        self._per_week = {user: usual_week(counts) for user, counts in weeks.items()}
        self._others = self._others_of(homework)
        self._usual: dict[tuple[int, str, datetime], Usual] = {}

    def _others_of(self, homework: Sequence[Homework]) -> OtherCases:
        """What is known of other cases of the members for whom that matters, in one query."""
        wanted: dict[int, datetime] = {}
        for one in homework:
            for assignment in one.assignments.all():
                for row in assignment.cases.all():
                    before, since = self._meetings(one, assignment, row)
                    if since and is_usual_wanted(before, asked_of(one)):
                        latest = wanted.get(assignment.member_id, row.asked_at)
                        wanted[assignment.member_id] = max(latest, row.asked_at)
        return others_before(members=wanted, until=max(wanted.values())) if wanted else {}

    def _meetings(
        self, homework: Homework, assignment: Assignment, row: AssignmentCase
    ) -> tuple[list[Meeting], list[Meeting]]:
        """The sightings of a case before it was asked for, and those since that count."""
        meetings = self._deeds.meetings.get((assignment.member_id, (row.stage, row.case)), ())
        return (
            [m for m in meetings if m.done_at <= row.asked_at],
            [m for m in meetings if _is_in(homework, row, m.done_at)],
        )

    def _borrowed(self, member_id: int, row: AssignmentCase, before: Sequence[Meeting]) -> Usual:
        """What the member's other cases let expect of a case; worked out once for a moment."""
        key = (member_id, row.stage, row.asked_at)
        is_timed = any(meeting.is_one_look for meeting in before)
        if key in self._usual and not is_timed:
            return self._usual[key]
        others = {
            case: [meeting for meeting in meetings if meeting.done_at <= row.asked_at]
            for case, meetings in self._others.get((member_id, row.stage), {}).items()
            if case != row.case
        }
        found = usual(others, before)
        if not is_timed:
            self._usual[key] = found
        return found

    def of_all(self, homework: Homework) -> list[MemberProgress]:
        """The progress of everyone it was set for whom the reader may follow."""
        assigned = {assignment.member_id for assignment in homework.assignments.all()}
        return [
            self.of(homework, member)
            for member in self.members
            if member.club_id == homework.club_id and member.user_id in assigned
        ]

    def of(self, homework: Homework, member: Membership) -> MemberProgress:
        """The progress of one member."""
        assignment = assignment_for(homework, member)
        cases = tuple(
            self._case(homework, assignment, row) for row in asked_rows(homework, assignment)
        )
        states = [case.state for case in cases]
        return MemberProgress(
            membership_id=member.pk,
            name=member.display_name,
            is_own=member.user_id == self.actor.pk,
            cases=cases,
            n_asked=sum(state is not CaseState.EXCUSED for state in states),
            n_learnt=sum(
                case.state is CaseState.VERIFIED
                or (case.state is not CaseState.EXCUSED and case.learn.state != "open")
                for case in cases
            ),
            n_verified=states.count(CaseState.VERIFIED),
        )

    def _case(
        self, homework: Homework, assignment: Assignment, row: AssignmentCase
    ) -> CaseProgress:
        key = (assignment.member_id, (row.stage, row.case))
        asked, case = asked_of(homework), case_id(row)
        before, since = self._meetings(homework, assignment, row)
        is_borrowing = bool(since) and is_usual_wanted(before, asked)
        borrowed = self._borrowed(assignment.member_id, row, before) if is_borrowing else None
        check = case_check(since, asked=asked, before=before, borrowed=borrowed or NOTHING_USUAL)
        learnt = learning(
            [drill for drill in self._deeds.drills.get(key, ()) if _is_in(homework, row, drill.at)],
            [one for one in self._deeds.answers.get(key, ()) if _is_in(homework, row, one.at)],
            way=Way(homework.way),
            n_wanted=homework.n_wanted,
            is_shown=row.shown_at is not None,
            has_hold=CASES[case].n_angles > 1,
        )
        excuse = _excuse(assignment, row)
        state = _state(check, learnt, is_excused=excuse is not None)
        return CaseProgress(
            case=AskedCase(code_of(case), str(CASES[case])),
            asked_at=row.asked_at,
            state=state,
            learn=_learn_report(learnt, homework, row),
            solves=_solves_report(check),
            expectation=None if state in DONE else self._expectation(assignment.member_id, case),
            excuse=ExcuseReport(excuse.at, excuse.reason)
            if excuse and state is CaseState.EXCUSED
            else None,
            meetings=tuple(_meeting(meeting, asked) for meeting in reversed(check.read)),
        )

    def _expectation(self, user_id: int, case: CaseId) -> Expectation:
        n_solves = solves_until_met(chance_of(CASES[case]))
        per_week = self._per_week.get(user_id, 0.0)
        return Expectation(n_solves, per_week, n_solves / per_week if per_week else None)


def asked_of(homework: Homework) -> Asked:
    """What a homework asks of solves, for `case_check`."""
    return Asked(homework.goal != "recognition", homework.recognition_target_ms)


def cases_of(homework: Homework) -> list[HomeworkCase]:
    """The cases of a homework in their order."""
    return sorted(homework.cases.all(), key=lambda case: case.place)


def asked_rows(homework: Homework, assignment: Assignment) -> list[AssignmentCase]:
    """What is asked of one member, in the homework's order."""
    places = {(case.stage, case.case): case.place for case in homework.cases.all()}
    return sorted(assignment.cases.all(), key=lambda row: places.get((row.stage, row.case), 0))


def assignment_rows(
    homework: Homework, reader: User
) -> Sequence[HomeworkCase] | Sequence[AssignmentCase]:
    """What is asked of the reader; for who has no part of it, all cases of the homework."""
    for assignment in homework.assignments.all():
        if assignment.member_id == reader.pk:
            return asked_rows(homework, assignment)
    return cases_of(homework)


def case_id(row: HomeworkCase | AssignmentCase) -> CaseId:
    """The case of a stored row."""
    case = find_case(row.stage, row.case)
    assert case is not None  # held by a constraint
    return case.id


def case_id_of(code: str) -> CaseId:
    """The case of a code that was made of one."""
    stage, _, number = code.partition("-")
    case = find_case(stage, number)
    assert case is not None  # it was made of one
    return case.id


def case_name(row: HomeworkCase | AssignmentCase) -> AskedCase:
    """The case of a stored row, as reports name it."""
    case = case_id(row)
    return AskedCase(code_of(case), str(CASES[case]))


def head_of(homework: Homework, now: datetime) -> Head:
    """What a homework is."""
    zone = ZoneInfo(homework.club.time_zone)
    due = homework.due_on
    return Head(
        id=homework.pk,
        club=ClubName(homework.club.name, homework.club.slug),
        set_at=homework.set_at,
        due_on=due,
        is_due_past=due is not None and due < now.astimezone(zone).date(),
        way=Way(homework.way),
        n_wanted=homework.n_wanted,
        goal=homework.goal,
        recognition_target_ms=homework.recognition_target_ms,
        note=homework.note,
        cases=tuple(map(case_name, cases_of(homework))),
        closed_at=homework.closed_at,
        close_reason=homework.close_reason,
        time_zone=zone,
    )


def assignment_for(homework: Homework, member: Membership) -> Assignment:
    """The member's part of a homework that was set for them."""
    return next(a for a in homework.assignments.all() if a.member_id == member.user_id)


def _is_in(homework: Homework, row: AssignmentCase, at: datetime) -> bool:
    """Whether what was done then counts: after it was asked for, until the homework closed."""
    return at > row.asked_at and (homework.closed_at is None or at <= homework.closed_at)


def _state(check: CaseCheck, learnt: Learning, *, is_excused: bool) -> CaseState:
    if check.state is AdoptionState.VERIFIED:
        return CaseState.VERIFIED
    if is_excused:
        return CaseState.EXCUSED
    if check.state is AdoptionState.ASK_COACH:
        return CaseState.TOGETHER
    return CaseState(learnt.state.value)


def _excuse(assignment: Assignment, row: AssignmentCase) -> Excuse | None:
    name = (row.stage, row.case)
    return next((e for e in assignment.excuses.all() if (e.stage, e.case) == name), None)


def _learn_report(learnt: Learning, homework: Homework, row: AssignmentCase) -> LearnReport:
    runs = [n for n in (learnt.n_told_running, learnt.n_held_running) if n is not None]
    n_done: Mapping[Way, int] = {
        Way.DRILLS: learnt.n_from_log + learnt.n_by_word,
        Way.PRACTICE: min(runs),
        Way.COACH: 0,
    }
    return LearnReport(
        state=learnt.state.value,
        n_done=n_done[Way(homework.way)],
        n_wanted=homework.n_wanted,
        n_from_log=learnt.n_from_log,
        n_by_word=learnt.n_by_word,
        n_told_running=learnt.n_told_running,
        n_held_running=learnt.n_held_running,
        ready_at=learnt.ready_at,
        shown_at=row.shown_at,
    )


def _solves_report(check: CaseCheck) -> SolvesCheck:
    tests = [test for test in (check.one_look, check.recognition) if test is not None]
    return SolvesCheck(
        state=check.state.value,
        n_met=len(check.read),
        one_look=_count(check.one_look),
        recognition=_count(check.recognition),
        is_anew=any(test.n_restarts and test.evidence <= 0 for test in tests),
        is_gain_asked=check.is_gain_asked,
        n_more=check.n_more,
        verified_at=check.verified_at,
    )


def _count(test: Adoption | None) -> TestCount | None:
    return None if test is None else TestCount(test.n_hits, test.n)


def _meeting(meeting: Meeting, asked: Asked) -> MeetingLine:
    return MeetingLine(
        solve_id=meeting.solve_id,
        done_at=meeting.done_at,
        n_looks=meeting.n_looks,
        is_of_book=meeting.is_one_look,
        recognition_ms=meeting.recognition_ms,
        step_ms=meeting.step_ms,
        is_hit=is_hit(meeting, asked),
        is_picked=meeting.is_picked,
    )
