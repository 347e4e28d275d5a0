"""Homework as a coach of the club sees it, and as the member it was set for does."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import reduce
from operator import or_

from django.db.models import F, Min, Q, QuerySet
from django.db.models.fields.json import KT

from clubsite.accounts.models import User
from cubecore.results import Kind
from logs.errors import NotFoundError
from logs.homework.figures import (
    WEEK,
    WEEKS_READ,
    Answer,
    Drill,
    DrillWord,
    Meeting,
    weekly_counts,
)
from logs.homework.models import Assignment, DrillAnswer, Homework
from logs.people.models import Club, Membership
from logs.people.sight import Sight, check_sight, coached_clubs, coaches, visible_memberships
from logs.solves.models.solves import Sighting, Solve
from logs.solves.selectors.alike import alike_time
from logs.solves.selectors.draws import rate_rows_of_logs

TRUE = "true"
"""A true value inside JSON, as text: SQLite and PostgreSQL write it alike."""


CaseName = tuple[str, str]
"""Stage and number or letters, as the tables hold them."""


def _whole(homework: QuerySet[Homework]) -> QuerySet[Homework]:
    """``homework`` with all that its pages read, the newest first."""
    return (
        homework.select_related("club", "set_by", "closed_by", "lesson")
        .prefetch_related("cases", "assignments__excuses", "assignments__cases")
        .order_by("-set_at", "-id")
    )


def homework_list(*, actor: User, club: Club) -> list[Homework]:
    """All homework of a club that ``actor`` coaches, the newest first.

    Raises:
        NotFoundError: They do not coach it.
    """
    if not coaches(actor=actor, club_id=club.pk):
        raise NotFoundError("club")
    return list(_whole(Homework.objects.filter(club=club)))


def homework_asked(*, actor: User) -> list[Homework]:
    """What is asked of ``actor`` in the clubs they are in, the newest first."""
    if not actor.is_active:
        return []
    asked = Homework.objects.filter(
        assignments__member=actor, club__in=Membership.objects.filter(user=actor).values("club")
    )
    return list(_whole(asked))


def homework_of(*, actor: User, member: User | Sight) -> list[Homework]:
    """What is asked of ``member``, the newest first: all for themselves, for a coach their clubs'.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    if actor.pk == member.pk:
        return homework_asked(actor=actor)
    coached = [club.pk for club in coached_clubs(actor=actor)]
    return list(_whole(Homework.objects.filter(assignments__member=member, club__in=coached)))


def homework_get(*, actor: User, homework_id: int) -> Homework:
    """A homework that ``actor`` may see: as a coach of its club, or as one it was set for.

    Raises:
        NotFoundError: There is none, or it is not theirs to see.
    """
    if not actor.is_active:
        raise NotFoundError("homework")
    clubs = Membership.objects.filter(user=actor).values("club")
    coached = [club.pk for club in coached_clubs(actor=actor)]
    visible = Q(club__in=coached) | Q(
        pk__in=Assignment.objects.filter(member=actor).values("homework"), club__in=clubs
    )
    homework = _whole(Homework.objects.filter(visible)).filter(pk=homework_id).first()
    if homework is None:
        raise NotFoundError("homework")
    return homework


def homework_club_id(*, homework_id: int) -> int:
    """The club of a homework that the caller has found to be theirs to see."""
    return Homework.objects.values_list("club_id", flat=True).get(pk=homework_id)


def homework_coached_get(*, actor: User, homework_id: int) -> Homework:
    """A homework of a club that ``actor`` coaches.

    Raises:
        NotFoundError: There is none, or they do not coach its club.
    """
    homework = homework_get(actor=actor, homework_id=homework_id)
    if not coaches(actor=actor, club_id=homework.club_id):
        raise NotFoundError("homework")
    return homework


def memberships_asked(*, homework: Sequence[Homework]) -> list[Membership]:
    """Everyone whom some homework is set for and who is still in its club, by display name.

    For coaches of these clubs: who is in a club is theirs to see, what a log holds is not.
    """
    asked = Membership.objects.filter(
        club__in={one.club_id for one in homework},
        user__in={a.member_id for one in homework for a in one.assignments.all()},
    )
    return list(asked.select_related("user").order_by("display_name", "id"))


def memberships_shown(*, actor: User, homework: Sequence[Homework]) -> list[Membership]:
    """Members whose homework ``actor`` may follow, by display name, each in the homework's clubs.

    A member who hides their log from coaches is not among them.
    """
    visible = visible_memberships(actor).filter(
        club__in={one.club_id for one in homework},
        user__in={a.member_id for one in homework for a in one.assignments.all()},
    )
    return list(visible.select_related("user").order_by("display_name", "id").distinct())


@dataclass(frozen=True, slots=True)
class Deeds:
    """What members did about some cases, by member and case, in order of time.

    Attributes:
        meetings: Sightings in solves.
        drills: Drills, in logs or by the member's own word.
        answers: Answers of the practice page.
    """

    meetings: dict[tuple[int, CaseName], list[Meeting]]
    drills: dict[tuple[int, CaseName], list[Drill]]
    answers: dict[tuple[int, CaseName], list[Answer]]


def deeds_since(*, homework: Sequence[Homework], members: Sequence[Membership]) -> Deeds:
    """What the members did about the homework's cases since the oldest of it was set.

    Solves of the year before are among the meetings: what was done then is no gain.

    Args:
        homework: With its cases.
        members: As from `memberships_shown`, or the actor's own: whoever asks may read their logs.
    """
    deeds = Deeds({}, {}, {})
    names = {(case.stage, case.case) for one in homework for case in one.cases.all()}
    if not names or not members:
        return deeds
    users = {membership.user_id for membership in members}
    since = min(one.set_at for one in homework)
    of_cases = reduce(or_, (Q(stage=stage, case=case) for stage, case in sorted(names)))
    logged = _read_sightings(deeds, of_cases, users, since)
    _read_words(deeds, of_cases, users, since, logged)
    _read_answers(deeds, names, users, since)
    return deeds


BEFORE_FOR = timedelta(days=365)
"""For how long before homework was set what was done counts as what was done before."""


def _read_sightings(
    deeds: Deeds, of_cases: Q, users: set[int], since: datetime
) -> set[tuple[int, str]]:
    """Deal out the dated sightings; whose drills of what scramble were among them."""
    rows = (
        Sighting.objects.filter(of_cases, member__in=users, solve__done_at__gt=since - BEFORE_FOR)
        .annotate(
            is_of_book=KT("looks__0__known"), alike_ms=alike_time("recognition_ms", "solve__")
        )
        .order_by(F("solve__done_at"), "solve")
        .values(
            "member_id",
            "stage",
            "case",
            "solve__kind",
            "solve__scramble",
            "solve_id",
            "solve__done_at",
            "n_looks",
            "is_one_look",
            "is_of_book",
            "alike_ms",
            "solve__step_ms",
        )
    )
    logged = set()
    picked = {
        member_id: own.chosen for member_id, own in rate_rows_of_logs(member_ids=users).items()
    }
    for row in rows:
        done_at = row["solve__done_at"]
        assert done_at is not None  # only dated solves are asked for
        key = (row["member_id"], (row["stage"], row["case"]))
        is_clean = row["is_one_look"] and row["is_of_book"] == TRUE
        if row["solve__kind"] == Kind.DRILL:
            logged.add((row["member_id"], row["solve__scramble"]))
            deeds.drills.setdefault(key, []).append(Drill(done_at, is_clean, is_from_log=True))
        else:
            deeds.meetings.setdefault(key, []).append(
                Meeting(
                    row["solve_id"],
                    done_at,
                    row["n_looks"],
                    is_clean,
                    row["alike_ms"],
                    row["solve__step_ms"],
                    is_picked=row["solve_id"] in picked[row["member_id"]],
                )
            )
    return logged


def others_before(
    *, members: Iterable[int], until: datetime
) -> dict[tuple[int, str], dict[str, list[Meeting]]]:
    """What members did in the year before at every case: by member and stage, then by case.

    Args:
        members: Whose logs the caller may read, as from `deeds_since`.
        until: The last moment that matters.
    """
    rows = (
        Sighting.objects.filter(
            member__in=list(members),
            solve__kind=Kind.SOLVE,
            solve__done_at__lte=until,
            solve__done_at__gt=until - BEFORE_FOR,
        )
        .annotate(is_of_book=KT("looks__0__known"))
        .values_list(
            "member_id",
            "stage",
            "case",
            "solve_id",
            "solve__done_at",
            "n_looks",
            "is_one_look",
            "is_of_book",
            alike_time("recognition_ms", "solve__"),
        )
    )
    found: dict[tuple[int, str], dict[str, list[Meeting]]] = {}
    for member, stage, case, solve, at, n_looks, is_one_look, is_of_book, seen_ms in rows:
        assert at is not None  # only dated solves are asked for
        meeting = Meeting(solve, at, n_looks, is_one_look and is_of_book == TRUE, seen_ms)
        found.setdefault((member, stage), {}).setdefault(case, []).append(meeting)
    return found


def _read_words(
    deeds: Deeds, of_cases: Q, users: set[int], since: datetime, logged: set[tuple[int, str]]
) -> None:
    """Deal out what members say of drills, but for those that a log tells of."""
    for answer in DrillAnswer.objects.filter(of_cases, member__in=users, at__gt=since):
        if (answer.member_id, answer.scramble) not in logged:
            key = (answer.member_id, (answer.stage, answer.case))
            drill = Drill(answer.at, answer.word == DrillWord.CLEAN, is_from_log=False)
            deeds.drills.setdefault(key, []).append(drill)


def _read_answers(deeds: Deeds, names: set[CaseName], users: set[int], since: datetime) -> None:
    """Deal out the answers of the practice page."""
    rows = (
        User.objects.filter(pk__in=users, practice_answers__at__gt=since)
        .order_by("practice_answers__at", "practice_answers__pk")
        .values_list(
            "pk",
            "practice_answers__stage",
            "practice_answers__case",
            "practice_answers__at",
            "practice_answers__task",
            "practice_answers__is_right",
        )
    )
    for user, stage, case, at, task, is_right in rows:
        if (stage, case) in names:
            answer = Answer(at, is_hold=task == "hold", is_right=is_right)
            deeds.answers.setdefault((user, (stage, case)), []).append(answer)


def drill_answers_between(*, actor: User, begin: datetime, end: datetime) -> int:
    """How many drills the actor said how they went from ``begin`` on and before ``end``."""
    return DrillAnswer.objects.filter(member=actor, at__gte=begin, at__lt=end).count()


def weekly_counts_of(*, members: Sequence[Membership], now: datetime) -> dict[int, list[int]]:
    """The last weeks of members, by user. Only solves with a solution count: others tell no case.

    Args:
        members: As from `memberships_shown`, or the actor's own: whoever asks may read their logs.
        now: When the last week ends.
    """
    return _weekly_counts(sorted({member.user_id for member in members}), now)


def weekly_counts_of_member(*, actor: User, member: User | Sight, now: datetime) -> list[int]:
    """The last weeks of one member, as `weekly_counts_of` counts them.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    return _weekly_counts([member.pk], now)[member.pk]


def _weekly_counts(members: Sequence[int], now: datetime) -> dict[int, list[int]]:
    told = Solve.objects.filter(member__in=members, kind=Kind.SOLVE, done_at__lte=now)
    since = dict(told.values_list("member").annotate(first=Min("done_at")))
    recent = told.filter(done_at__gt=now - WEEKS_READ * WEEK).values_list("member", "done_at")
    by_member: dict[int, list[datetime]] = {member: [] for member in members}
    for member, at in recent:
        assert at is not None  # asked for above
        by_member[member].append(at)
    return {
        member: weekly_counts(days, since=since.get(member), now=now)
        for member, days in by_member.items()
    }
