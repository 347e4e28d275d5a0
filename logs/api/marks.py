"""The actor's own marks on the axis of their times; they are listed with the progress."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.api.authentication import actor_of
from logs.api.managing import Made
from logs.api.views import CREATED, EMPTY, MANAGE, THERE_BEFORE, ApiView, Reply, answers
from logs.reports.people import today_of
from logs.services.time_marks import MAX_WORD, time_mark_add, time_mark_remove


class SentMark(serializers.Serializer[Any]):
    """A day, and what happened."""

    day = serializers.DateField(help_text="Today at the latest.")
    word = serializers.CharField(max_length=MAX_WORD, help_text="Such as: new cube.")


class Marks(ApiView):
    """The actor's own marks."""

    @answers(Made, scope=MANAGE, body=SentMark, status=CREATED, also=THERE_BEFORE)
    def post(self, request: Request, sent: dict[str, Any]) -> Reply:
        """Mark a day on the axis of your times; the same mark again is the same."""
        actor = actor_of(request)
        today = today_of(actor=actor, now=timezone.now())
        mark, is_new = time_mark_add(actor=actor, **sent, today=today)
        return Reply(Made(mark.pk), CREATED if is_new else THERE_BEFORE)


class Mark(ApiView):
    """One mark."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, mark_id: int) -> None:
        """Remove a mark of your own."""
        time_mark_remove(actor=actor_of(request), mark_id=mark_id)
