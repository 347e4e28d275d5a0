"""A club's research export, and the actor's own word on it."""

import secrets
from dataclasses import dataclass
from typing import Any

from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.errors import ConflictError
from logs.http.api import MANAGE, ApiView, answers
from logs.http.pages import actor_of, address_of, origin_of
from logs.research.report import PARQUET, REFUSAL, ResearchReport, research_file, research_report
from logs.research.services import research_change

TOO_FEW = 409


@dataclass(frozen=True, slots=True)
class OwnWord:
    """Your own word on the club's research exports.

    Attributes:
        is_in: Whether your sightings go into them.
    """

    is_in: bool


class SentWordOnResearch(serializers.Serializer[Any]):
    """Your word on research."""

    is_in = serializers.BooleanField(help_text="Whether their sightings go into the exports.")


class Research(ApiView):
    """A club's research export."""

    @answers(ResearchReport)
    def get(self, request: Request, slug: str) -> ResearchReport:
        """What the export holds, and whether enough members agreed, for the club's coaches."""
        return research_report(actor=actor_of(request), slug=slug)


class ResearchExport(ApiView):
    """The export itself."""

    @answers(None, file=(PARQUET,), refused=(TOO_FEW,))
    def get(self, request: Request, slug: str) -> HttpResponseBase:
        """The export as a Parquet file, for the club's coaches; members read that it was taken."""
        actor = actor_of(request)
        if request.method == "HEAD":
            report = research_report(actor=actor, slug=slug)
            if not report.is_open:
                raise ConflictError(REFUSAL)
            return HttpResponse(content_type=PARQUET)
        file = research_file(
            actor=actor,
            slug=slug,
            key=secrets.token_bytes(32),
            address=address_of(request),
            now=timezone.now(),
            origin=origin_of(request),
        )
        name = f"{slug}-research.parquet"
        return FileResponse(file, as_attachment=True, filename=name, content_type=PARQUET)


class ResearchWord(ApiView):
    """Your word on research."""

    @answers(OwnWord, scope=MANAGE, body=SentWordOnResearch)
    def post(self, request: Request, slug: str, sent: dict[str, Any]) -> OwnWord:
        """Have your sightings go into the club's exports, or no longer.

        Who is under age asks a parent or guardian first. It can be taken back at any time; files
        taken before that stay with who took them.
        """
        own = research_change(
            actor=actor_of(request),
            slug=slug,
            **sent,
            now=timezone.now(),
            origin=origin_of(request),
        )
        return OwnWord(own.is_in_research)
