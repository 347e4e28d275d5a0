"""Who is in a club as what, changed: by its owner and coaches, and by those who come and go."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.errors import NotFoundError
from logs.http.api import CREATED, EMPTY, MANAGE, ApiView, Values, answers
from logs.http.pages import Items, Sent, actor_of, address_of, choice, origin_of
from logs.limits import (
    DISPLAY_NAME,
    INVITATION_CODE,
    INVITATION_DAYS,
    INVITATION_USES,
    LABEL,
    MEMBERS_CHOSEN,
    NUMBER,
)
from logs.people.models import Role
from logs.people.models import Visibility as VisibilityChoice
from logs.people.report.clubs import (
    ClubLine,
    JoinReport,
    PeopleReport,
    PersonLine,
    club_line,
    clubs_report,
    join_report,
    people_report,
    person_line,
)
from logs.people.report.members import MembersReport, members_report
from logs.people.services.invitations import (
    invitation_accept,
    invitation_create,
    invitation_withdraw,
)
from logs.people.services.memberships import (
    display_name_change,
    group_delete,
    group_keep,
    membership_leave,
    membership_remove,
    ownership_hand_over,
    role_change,
    visibility_change,
)
from logs.people.sight import ClubGroup, club_tabs
from logs.people.words import WRONG_CODE

ROLES = Role.values


GIVEN_ROLES = [Role.COACH.value, Role.MEMBER.value]


VISIBILITIES = VisibilityChoice.values


class SentRole(serializers.Serializer[Any]):
    """What somebody becomes."""

    role = serializers.ChoiceField(GIVEN_ROLES, help_text="What the member is from now on.")


class CodeQuery(serializers.Serializer[Any]):
    """An invitation's code."""

    code = serializers.CharField(max_length=INVITATION_CODE, help_text="As a coach gave it to you.")


class SentCode(CodeQuery):
    """An invitation's code, and who uses it."""

    display_name = serializers.CharField(
        max_length=DISPLAY_NAME, help_text="What the club will call you; a nickname is fine."
    )
    visibility = serializers.ChoiceField(
        VISIBILITIES,
        help_text="Who sees your log there; ask the person, no answer is given beforehand.",
    )


class Person(ApiView):
    """Somebody in a club."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, slug: str, membership_id: int) -> None:
        """Take somebody out of a club; their log stays theirs."""
        membership_remove(
            actor=actor_of(request),
            slug=slug,
            membership_id=membership_id,
            now=timezone.now(),
            origin=origin_of(request),
        )


class PersonRole(ApiView):
    """What somebody is in a club."""

    @answers(PersonLine, scope=MANAGE, body=SentRole)
    def post(self, request: Request, slug: str, membership_id: int, sent: Values) -> PersonLine:
        """Make a member a coach, or a coach a member; for the club's owner."""
        actor = actor_of(request)
        role_change(
            actor=actor,
            slug=slug,
            membership_id=membership_id,
            **sent,
            now=timezone.now(),
            origin=origin_of(request),
        )
        return person_line(actor=actor, slug=slug, membership_id=membership_id)


class HandingOver(ApiView):
    """A club, handed over."""

    @answers(PersonLine, scope=MANAGE, body=None)
    def post(self, request: Request, slug: str, membership_id: int) -> PersonLine:
        """Make somebody else the owner of a club; the owner until now stays a coach."""
        actor = actor_of(request)
        ownership_hand_over(
            actor=actor,
            slug=slug,
            membership_id=membership_id,
            now=timezone.now(),
            origin=origin_of(request),
        )
        return person_line(actor=actor, slug=slug, membership_id=membership_id)


class Leaving(ApiView):
    """A club, left."""

    @answers(None, scope=MANAGE, body=None, status=EMPTY)
    def post(self, request: Request, slug: str) -> None:
        """Leave a club; nobody there sees the log any more. An owner alone in it closes it."""
        membership_leave(
            actor=actor_of(request), slug=slug, now=timezone.now(), origin=origin_of(request)
        )


class Joining(ApiView):
    """An invitation, by its code."""

    @answers(JoinReport, query=CodeQuery)
    def get(self, request: Request, query: Values) -> JoinReport:
        """Which club a code opens, and as what; codes that open nothing are counted."""
        return _opened(request, query["code"])

    @answers(ClubLine, scope=MANAGE, body=SentCode, status=CREATED)
    def post(self, request: Request, sent: Values) -> ClubLine:
        """Join the club that a code opens, with the person's own word on who sees the log."""
        actor = actor_of(request)
        _opened(request, sent["code"])
        try:
            joined = invitation_accept(
                actor=actor, **sent, now=timezone.now(), origin=origin_of(request)
            )
        except NotFoundError as error:
            raise _wrong_code() from error
        return club_line(actor=actor, slug=joined.club.slug)


def _opened(request: Request, code: str) -> JoinReport:
    """What a code opens.

    Raises:
        ValidationError: It opens nothing.
        TooManyTriesError: Too many such codes were tried lately.
    """
    try:
        return join_report(
            code=code, actor=actor_of(request), address=address_of(request), now=timezone.now()
        )
    except NotFoundError as error:
        raise _wrong_code() from error


def _wrong_code() -> ValidationError:
    return ValidationError({"code": WRONG_CODE})


class Clubs(ApiView):
    """The actor's clubs."""

    @answers(ClubLine, is_list=True)
    def get(self, request: Request) -> tuple[ClubLine, ...]:
        """The clubs that you are in."""
        return clubs_report(actor=actor_of(request))


class People(ApiView):
    """The people of a club."""

    @answers(PeopleReport)
    def get(self, request: Request, slug: str) -> PeopleReport:
        """Everybody in the club and its invitations, for its coaches."""
        return people_report(actor=actor_of(request), slug=slug, now=timezone.now())


class Members(ApiView):
    """Members whose logs are shown to the actor."""

    @answers(MembersReport)
    def get(self, request: Request) -> MembersReport:
        """The members whose logs you may read, by club."""
        return members_report(actor=actor_of(request))


@dataclass(frozen=True, slots=True)
class CreatedInvitation:
    """An invitation; it is listed with the club's people, with its code as long as it works.

    Attributes:
        id: Names it in addresses.
        code: Lets somebody join.
    """

    id: int
    code: str


class SentVisibility(Sent):
    """Who sees your log in a club from now on."""

    visibility = choice(VISIBILITIES, VisibilityChoice.ONLY_ME, "Who sees the log.")


class SentName(Sent):
    """The name that a club knows you by."""

    display_name = serializers.CharField(
        max_length=DISPLAY_NAME, help_text="What the club calls you from now on."
    )


class SentInvitation(Sent):
    """An invitation to make."""

    role = choice(GIVEN_ROLES, Role.MEMBER, "As what people join.")
    max_uses = serializers.IntegerField(
        min_value=INVITATION_USES[0],
        max_value=INVITATION_USES[1],
        default=1,
        help_text="How many people may join by it.",
    )
    days = serializers.IntegerField(
        min_value=INVITATION_DAYS[0],
        max_value=INVITATION_DAYS[1],
        default=14,
        help_text="How many days it holds.",
    )


class Visibility(ApiView):
    """Who sees the actor's log."""

    @answers(ClubLine, scope=MANAGE, body=SentVisibility)
    def post(self, request: Request, slug: str, sent: Values) -> ClubLine:
        """Have your log in this club be seen by those chosen, from now on."""
        actor, now = actor_of(request), timezone.now()
        visibility_change(actor=actor, slug=slug, **sent, now=now, origin=origin_of(request))
        return club_line(actor=actor, slug=slug)


class DisplayName(ApiView):
    """The actor's name in a club."""

    @answers(ClubLine, scope=MANAGE, body=SentName)
    def post(self, request: Request, slug: str, sent: Values) -> ClubLine:
        """Change the name that the club knows you by."""
        actor, now = actor_of(request), timezone.now()
        display_name_change(actor=actor, slug=slug, **sent, now=now, origin=origin_of(request))
        return club_line(actor=actor, slug=slug)


class Invitations(ApiView):
    """A club's invitations; they are listed with its people."""

    @answers(CreatedInvitation, scope=MANAGE, body=SentInvitation, status=CREATED)
    def post(self, request: Request, slug: str, sent: Values) -> CreatedInvitation:
        """Make an invitation; its code lets people join until it ends."""
        invitation, code = invitation_create(
            actor=actor_of(request),
            slug=slug,
            **sent,
            now=timezone.now(),
            origin=origin_of(request),
        )
        return CreatedInvitation(invitation.pk, code)


class Invitation(ApiView):
    """One invitation."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, slug: str, invitation_id: int) -> None:
        """Have an invitation work no more."""
        invitation_withdraw(
            actor=actor_of(request),
            slug=slug,
            invitation_id=invitation_id,
            now=timezone.now(),
            origin=origin_of(request),
        )


class SentGroup(Sent):
    """A group of a club's people."""

    name = serializers.CharField(max_length=LABEL, help_text="What the group is called.")
    member = Items(
        child=serializers.IntegerField(min_value=0, max_value=NUMBER),
        default=list,
        max_length=MEMBERS_CHOSEN,
        help_text="Membership ids of who is in it; of people who are not in the club nothing is kept.",
    )


class Groups(ApiView):
    """A club's groups."""

    @answers(ClubGroup, is_list=True)
    def get(self, request: Request, slug: str) -> tuple[ClubGroup, ...]:
        """The groups of a club, for its coaches."""
        return club_tabs(actor=actor_of(request), slug=slug).groups

    @answers(ClubGroup, scope=MANAGE, body=SentGroup, status=CREATED)
    def post(self, request: Request, slug: str, sent: Values) -> ClubGroup:
        """Name a group of a club's people."""
        return _kept(request, slug, sent)


class Group(ApiView):
    """One group of a club's people."""

    @answers(ClubGroup, scope=MANAGE, body=SentGroup)
    def put(self, request: Request, slug: str, group_id: int, sent: Values) -> ClubGroup:
        """Keep a group under this name with these people."""
        return _kept(request, slug, sent, group_id)

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, slug: str, group_id: int) -> None:
        """Delete a group; its people stay in the club."""
        group_delete(actor=actor_of(request), slug=slug, group_id=group_id)


def _kept(request: Request, slug: str, sent: Values, group_id: int | None = None) -> ClubGroup:
    actor = actor_of(request)
    row = group_keep(
        actor=actor,
        slug=slug,
        name=sent["name"],
        membership_ids=sent["member"],
        group_id=group_id,
    )
    return next(one for one in club_tabs(actor=actor, slug=slug).groups if one.id == row.pk)
