"""The members of a club with where they stand, and what an upload meant."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.home.report.members import MemberChoice, MemberOrder, MembersOfClub, club_members
from logs.home.report.uploads import UploadMeaning, upload_meaning
from logs.http.api import ApiView, answers
from logs.http.pages import Query, actor_of, choice
from logs.limits import DISPLAY_NAME, NUMBER
from logs.people.services.trail import looked


class MembersQuery(Query):
    """Which members of a club, in which order."""

    q = serializers.CharField(
        max_length=DISPLAY_NAME, allow_blank=True, default="", help_text="Part of a name."
    )
    group = serializers.IntegerField(
        min_value=0,
        max_value=NUMBER,
        default=0,
        help_text="Number of a group of the club, for its coaches; 0 for everybody.",
    )
    order = choice(MemberOrder, MemberOrder.NAME, "By name, or what stands out first.")


class ClubMembers(ApiView):
    """The members of a club."""

    @answers(MembersOfClub, query=MembersQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> MembersOfClub:
        """The members of a club: newest log, open homework, and cases in one look."""
        chosen = MemberChoice(
            query=query["q"], group_id=query["group"] or None, order=MemberOrder(query["order"])
        )
        report = club_members(actor=actor_of(request), slug=slug, choice=chosen)
        looked(request, "members", report.membership_ids)
        return report


class Meaning(ApiView):
    """What an upload meant."""

    @answers(UploadMeaning)
    def get(self, request: Request, upload_id: int) -> UploadMeaning:
        """Homework that came up in one of your uploads, mix-ups again, first cases in one look."""
        return upload_meaning(actor=actor_of(request), upload_id=upload_id, now=timezone.now())
