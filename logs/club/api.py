"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.cases import Stage
from logs.cases.api import FamilyQuery
from logs.club.report.compare import MOST, CompareChoice, CompareReport, Part, compare_report
from logs.club.report.coverage import ClubChoice, ClubReport, club_report
from logs.club.report.mistaken import (
    ClubMistakenReport,
    MemberMistakenReport,
    club_mistaken_report,
    member_mistaken_report,
)
from logs.club.report.weeks import ClubCaseReport, club_case_report
from logs.http.api import ApiView, answers
from logs.http.pages import Items, NamesQuery, StageQuery, actor_of, choice
from logs.limits import NUMBER
from logs.people.services.trail import looked
from logs.people.sight import club_sight, sight_of
from logs.solves.figures.standing import Standing


class GroupQuery(NamesQuery):
    """Of whom in a club, and whether names are hidden."""

    group = serializers.IntegerField(
        min_value=0,
        max_value=NUMBER,
        default=0,
        help_text="Number of a group of the club, for its coaches; 0 for everybody.",
    )


class ClubQuery(GroupQuery, FamilyQuery):
    """What of a club's coverage."""

    standing = choice(["", *Standing], "", "Only cells of this standing.")


class CompareQuery(GroupQuery, StageQuery):
    """Whom to compare, on what."""

    member = Items(
        child=serializers.IntegerField(min_value=0, max_value=10**9),
        default=list,
        max_length=10 * MOST,
        help_text=f"Membership ids; at most {MOST} are compared.",
    )
    part = choice(Part, Part.RECOGNITION, "Which part of a look.")


class Club(ApiView):
    """A club's coverage."""

    @answers(ClubReport, query=ClubQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> ClubReport:
        """The members who show their log, their coverage, and their standing in each case."""
        choice = ClubChoice(
            stage=Stage(query["stage"]),
            family=query["family"],
            standing=Standing(query["standing"]) if query["standing"] else None,
            hides_names=query["names"] == "hidden",
        )
        view = club_sight(
            actor=actor_of(request),
            slug=slug,
            hides_names=choice.hides_names,
            group_id=query["group"] or None,
        )
        report = club_report(view=view, choice=choice)
        looked(request, "club", [member.membership_id for member in report.view.members])
        return report


class Compare(ApiView):
    """Members side by side."""

    @answers(CompareReport, query=CompareQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> CompareReport:
        """Some members side by side: who could teach whom what, and who is slow at what."""
        choice = CompareChoice(
            membership_ids=tuple(query["member"]),
            stage=Stage(query["stage"]),
            part=Part(query["part"]),
            hides_names=query["names"] == "hidden",
            group_id=query["group"] or None,
        )
        report = compare_report(actor=actor_of(request), slug=slug, choice=choice)
        looked(request, "compare", report.membership_ids)
        return report


class ClubMistaken(ApiView):
    """What a club takes for what."""

    @answers(ClubMistakenReport, query=GroupQuery)
    def get(self, request: Request, slug: str, query: dict[str, Any]) -> ClubMistakenReport:
        """What the members who show their log take for what."""
        hides_names = query["names"] == "hidden"
        view = club_sight(
            actor=actor_of(request),
            slug=slug,
            hides_names=hides_names,
            group_id=query["group"] or None,
        )
        report = club_mistaken_report(view=view)
        looked(request, "mistaken", report.lines.membership_ids)
        return report


class ClubCase(ApiView):
    """A case in a club."""

    @answers(ClubCaseReport, query=GroupQuery)
    def get(
        self, request: Request, slug: str, stage: str, number: str, query: dict[str, Any]
    ) -> ClubCaseReport:
        """One case over the last weeks, by week and by member, for the club's coaches."""
        report = club_case_report(
            actor=actor_of(request),
            slug=slug,
            stage=stage,
            number=number,
            hides_names=query["names"] == "hidden",
            group_id=query["group"] or None,
            now=timezone.now(),
        )
        looked(request, "club_case", report.membership_ids)
        return report


class Mistaken(ApiView):
    """What a member takes for what."""

    @answers(MemberMistakenReport)
    def get(self, request: Request, membership_id: int | None = None) -> MemberMistakenReport:
        """What is taken for what, with how often and how sure that is."""
        member = sight_of(actor=actor_of(request), membership_id=membership_id)
        report = member_mistaken_report(member=member)
        looked(request, "mistaken", [report.whose.membership_id])
        return report
