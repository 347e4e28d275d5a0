"""What a coach sees before homework is set: whom it can be for, and what chance says of a date."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from clubsite.accounts.models import User
from logs.algorithms.report import TaughtCase, taught
from logs.cases.facts import case_of
from logs.homework.due_dates import weekly_pace
from logs.homework.report.homework import Desk
from logs.homework.selectors import homework_list, weekly_counts_of
from logs.homework.services import Plan, day_words, homework_forecast
from logs.people.sight import ClubName, coached_club_get, members_visible


@dataclass(frozen=True, slots=True)
class MemberChoice:
    """A member homework can be for: their pace, and how many cases open homework asks of them."""

    membership_id: int
    name: str
    pace: str
    n_weeks: int
    n_open: int


@dataclass(frozen=True, slots=True)
class ForecastLine:
    """What chance says of a date for one member."""

    name: str
    pace: str
    n_solves: int
    first_fair_on: str
    is_fair: bool


@dataclass(frozen=True, slots=True)
class FormReport:
    """The page that sets homework."""

    view: Desk
    members: tuple[MemberChoice, ...]
    picked: tuple[TaughtCase, ...]


def form_report(*, actor: User, slug: str, codes: Collection[str], now: datetime) -> FormReport:
    """Whom homework can be for in a club, and the cases picked so far.

    Raises:
        NotFoundError: The club is not the actor's to coach.
    """
    club = coached_club_get(actor=actor, slug=slug)
    counts = weekly_counts_of(actor=actor, club=club, now=now)
    n_open: dict[int, int] = {}
    for one in homework_list(actor=actor, club=club):
        if one.closed_at is None:
            for assignment in one.assignments.all():
                asked = len(one.cases.all()) - len(assignment.excuses.all())
                n_open[assignment.member_id] = n_open.get(assignment.member_id, 0) + asked
    shown = members_visible(actor=actor, club=club)
    return FormReport(
        view=Desk(ClubName(club.name, club.slug)),
        members=tuple(
            MemberChoice(
                member.pk,
                member.display_name,
                f"{weekly_pace(counts[member.user_id]):.0f}",
                len(counts[member.user_id]),
                n_open.get(member.user_id, 0),
            )
            for member in shown
        ),
        picked=tuple(taught(case) for code in codes if (case := case_of(code)) is not None),
    )


def forecast_lines(
    *, actor: User, slug: str, plan: Plan, now: datetime
) -> tuple[ForecastLine, ...]:
    """The look ahead for each member of a plan.

    Raises:
        NotFoundError: The club or a member is not the actor's to coach or to read.
        ValidationError: The plan does not hold together.
    """
    return tuple(
        ForecastLine(
            name=member.display_name,
            pace=f"{ahead.pace:.0f}",
            n_solves=ahead.n_solves,
            first_fair_on=day_words(ahead.first_fair_on) if ahead.first_fair_on else "",
            is_fair=ahead.is_fair,
        )
        for member, ahead in homework_forecast(actor=actor, slug=slug, plan=plan, now=now)
    )
