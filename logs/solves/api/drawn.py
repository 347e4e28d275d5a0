"""Which solves to write down, for programs of the member's own."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.http.api import CREATED, MANAGE, ApiView, answers
from logs.http.pages import Made, actor_of
from logs.limits import DRAWN_AT_ONCE
from logs.people.sight import time_zone_of
from logs.solves.report.drawn import DrawnReport, drawn_report
from logs.solves.services.draws import USUAL, draw_add, draw_extend, new_seed


class SentDraw(serializers.Serializer[Any]):
    """How many solves to draw, and since when."""

    n = serializers.IntegerField(
        default=USUAL,
        min_value=DRAWN_AT_ONCE[0],
        max_value=DRAWN_AT_ONCE[1],
        help_text="Solves; all where there are fewer.",
    )
    since = serializers.DateField(
        default=None, allow_null=True, help_text="The first day; null for any."
    )


class Draws(ApiView):
    """What was drawn to be written down."""

    @answers(DrawnReport)
    def get(self, request: Request) -> DrawnReport:
        """Your draws, each with its solves and how many solves each of them stands for."""
        return drawn_report(actor=actor_of(request))

    @answers(Made, scope=MANAGE, body=SentDraw, status=CREATED)
    def post(self, request: Request, sent: dict[str, Any]) -> Made:
        """Draw which of your solves to write down, of those with a time alone."""
        actor = actor_of(request)
        draw = draw_add(
            actor=actor,
            n_wanted=sent["n"],
            since=sent["since"],
            zone=time_zone_of(actor=actor),
            seed=new_seed(),
            now=timezone.now(),
        )
        return Made(draw.pk)


class DrawRounds(ApiView):
    """The rounds of a draw."""

    @answers(DrawnReport, scope=MANAGE)
    def post(self, request: Request, draw_id: int) -> DrawnReport:
        """Ask for one more solve of each part of a draw."""
        actor = actor_of(request)
        draw_extend(actor=actor, draw_id=draw_id)
        return drawn_report(actor=actor)
