"""The members of the reader's clubs: when each last logged, open homework, and where they stand."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import CASES, Stage
from logs.club.report.coverage import is_one_look, standings_by_member
from logs.home.selectors import logs_since
from logs.homework.report.data import OpenHomework
from logs.homework.report.homework import homework_open
from logs.people.models import Membership, Role
from logs.people.selectors import club_people
from logs.people.sight import ClubSight, ClubView, club_sight, clubs_of
from logs.solves.selectors.frames import case_tally_list


class MemberOrder(StrEnum):
    """How the members are put in order: by name, or what stands out first."""

    NAME = "name"
    LOG = "log"
    HOMEWORK = "homework"
    STANDING = "standing"


@dataclass(frozen=True, slots=True)
class MemberChoice:
    """Which members are asked for, and how they are put in order.

    Attributes:
        query: Part of a name; empty for all.
        group_id: Those of one group of the club that has it; null for all.
        order: The order.
    """

    query: str = ""
    group_id: int | None = None
    order: MemberOrder = MemberOrder.NAME


@dataclass(frozen=True, slots=True)
class CasesKnown:
    """How many cases of a set go in one look, by a member's solves.

    Attributes:
        stage: The set.
        n_one_look: Cases that go in one look, fluent ones among them.
        n_cases: Cases in the set.
    """

    stage: Stage
    n_one_look: int
    n_cases: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberRow:
    """A member of a club.

    Attributes:
        membership_id: Names the member in addresses.
        name: As the club knows them.
        role: What they are in the club.
        is_own: Whether it is the reader.
        is_visible: Whether the reader may open their log; of others nothing is said.
        last_log_at: When their newest log came in; null for none, or where it is not visible.
        homework: Their open homework; null where none is open, or the reader is no coach.
        known: Their cases of each set; empty without solves, or where the log is not visible.
    """

    membership_id: int
    name: str
    role: Role
    is_own: bool
    is_visible: bool
    last_log_at: datetime | None
    homework: OpenHomework | None
    known: tuple[CasesKnown, ...]

    @property
    def n_known(self) -> int:
        """Cases of both sets that go in one look."""
        return sum(one.n_one_look for one in self.known)


@dataclass(frozen=True, slots=True, kw_only=True)
class MembersOfClub:
    """The members of a club as the reader sees them.

    Attributes:
        view: The club.
        members: In the order that was asked for; whose log is not visible stands last.
        n_members: How many there are without the choice.
        zone: Time zone of the club, an IANA name.
    """

    view: ClubView
    members: tuple[MemberRow, ...]
    n_members: int
    zone: ZoneInfo

    @property
    def membership_ids(self) -> list[int]:
        """Whose figures are shown."""
        return [one.membership_id for one in self.members if one.is_visible]


@dataclass(frozen=True, slots=True, kw_only=True)
class MembersPage:
    """The members of all the reader's clubs.

    Attributes:
        choice: What was asked for.
        clubs: By the club's name.
        n_others: Members other than the reader whose logs they may open, over all clubs.
        is_coach: Whether the reader coaches one of the clubs.
    """

    choice: MemberChoice
    clubs: tuple[MembersOfClub, ...]
    n_others: int
    is_coach: bool

    @property
    def membership_ids(self) -> list[int]:
        """Whose figures the page shows."""
        return [pk for club in self.clubs for pk in club.membership_ids]


def members_page(*, actor: User, choice: MemberChoice) -> MembersPage:
    """The members of the actor's clubs: for a coach everybody, for others whose logs they may open."""
    sights = [
        club_sight(actor=actor, slug=club.slug, group_id=choice.group_id)
        for club in clubs_of(actor=actor)
    ]
    return MembersPage(
        choice=choice,
        clubs=tuple(_club(sight, choice) for sight in sights),
        n_others=sum(not one.is_own for sight in sights for one in sight.members),
        is_coach=any(sight.is_coach for sight in sights),
    )


def club_members(*, actor: User, slug: str, choice: MemberChoice) -> MembersOfClub:
    """The members of one club: for a coach of it everybody, for others whose logs they may open.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
    """
    return _club(club_sight(actor=actor, slug=slug, group_id=choice.group_id), choice)


def _club(sight: ClubSight, choice: MemberChoice) -> MembersOfClub:
    everyone = _everyone(sight)
    lines = _lines(sight, everyone)
    chosen = [line for line in lines if _fits(line, sight, choice)]
    return MembersOfClub(
        view=sight,
        members=tuple(sorted(chosen, key=_ORDERS[choice.order])),
        n_members=len(lines),
        zone=sight.zone,
    )


def _everyone(sight: ClubSight) -> list[Membership]:
    """Everybody for a coach; for others those whose logs are open to them."""
    if sight.is_coach:
        return club_people(actor=sight.reader, slug=sight.club.slug)
    return [one.sight.membership for one in sight.members if one.sight.membership is not None]


def _lines(sight: ClubSight, everyone: Sequence[Membership]) -> list[MemberRow]:
    visible = {one.membership_id for one in sight.members}
    logs = logs_since(sight=sight)
    known = _known(sight)
    homework = _homework(sight, everyone) if sight.is_coach else {}
    return [
        MemberRow(
            membership_id=one.pk,
            name=one.display_name,
            role=Role(one.role),
            is_own=one.user_id == sight.reader.pk,
            is_visible=one.pk in visible,
            last_log_at=logs[one.user_id].last_at if one.user_id in logs else None,
            homework=homework.get(one.pk),
            known=known.get(one.user_id, ()),
        )
        for one in everyone
    ]


def _known(sight: ClubSight) -> dict[int, tuple[CasesKnown, ...]]:
    """The cases in one look, by account; none for who has no solve with its solution."""
    n_cases = Counter(case.stage for case in CASES)
    known: dict[int, list[CasesKnown]] = {}
    for stage in Stage:
        tallies = case_tally_list(sight=sight, stage=stage)
        for user_id, member in standings_by_member(tallies).items():
            n = sum(map(is_one_look, member.standings.values()))
            known.setdefault(user_id, []).append(CasesKnown(stage, n, n_cases[stage]))
    return {user_id: tuple(of_member) for user_id, of_member in known.items()}


def _homework(sight: ClubSight, everyone: Sequence[Membership]) -> dict[int, OpenHomework]:
    """The open homework of each member it is set for, by membership."""
    seen = {one.membership_id for one in sight.members}
    visible = [one for one in everyone if one.pk in seen]
    return homework_open(
        actor=sight.reader, club=sight.club_row, everyone=everyone, visible=visible
    )


def _fits(line: MemberRow, sight: ClubSight, choice: MemberChoice) -> bool:
    in_group = sight.group is None or line.membership_id in sight.group.membership_ids
    return in_group and choice.query.casefold() in line.name.casefold()


def _by_name(line: MemberRow) -> tuple[object, ...]:
    return not line.is_visible, line.name.casefold(), line.membership_id


def _by_log(line: MemberRow) -> tuple[object, ...]:
    at = line.last_log_at
    return at is None, -at.timestamp() if at else 0, *_by_name(line)


def _by_homework(line: MemberRow) -> tuple[object, ...]:
    n_left = 0 if line.homework is None else line.homework.n_left
    return not line.is_visible, -n_left, *_by_name(line)


def _by_standing(line: MemberRow) -> tuple[object, ...]:
    return not line.known, -line.n_known, *_by_name(line)


_ORDERS: Mapping[MemberOrder, Callable[[MemberRow], tuple[object, ...]]] = {
    MemberOrder.NAME: _by_name,
    MemberOrder.LOG: _by_log,
    MemberOrder.HOMEWORK: _by_homework,
    MemberOrder.STANDING: _by_standing,
}
