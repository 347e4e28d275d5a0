"""Who is in a club as what, changed: by its owner and coaches, and by those who come and go."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.api.authentication import actor_of, address_of
from logs.api.views import CREATED, EMPTY, MANAGE, ApiView, Values, answers, origin_of
from logs.errors import NotFoundError
from logs.reports.clubs import (
    WRONG_CODE,
    ClubLine,
    JoinReport,
    PersonLine,
    club_line,
    join_report,
    person_line,
)
from logs.services.invitations import invitation_accept
from logs.services.memberships import (
    membership_leave,
    membership_remove,
    ownership_hand_over,
    role_change,
)

MAX_CODE = 40


class SentRole(serializers.Serializer[Any]):
    """What somebody becomes."""

    role = serializers.ChoiceField(["coach", "member"])


class CodeQuery(serializers.Serializer[Any]):
    """An invitation's code."""

    code = serializers.CharField(max_length=MAX_CODE, help_text="As a coach gave it to you.")


class SentCode(CodeQuery):
    """An invitation's code, and who uses it."""

    display_name = serializers.CharField(
        max_length=60, help_text="What the club will call you; a nickname is fine."
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
        """Join the club that a code opens, showing the log to nobody."""
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
