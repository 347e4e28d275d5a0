"""Mappings of columns, kept under a name for a club or for a member alone."""

from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.api.authentication import actor_of
from logs.api.uploads import MAX_NUMBER
from logs.api.views import CREATED, EMPTY, MANAGE, ApiView, answers
from logs.reports.mapping import KeptLine, kept_line, kept_lines
from logs.services.drafts import draft_keep
from logs.services.mappings import mapping_forget, mapping_rename


class SentMappingName(serializers.Serializer[Any]):
    """What a mapping is called."""

    name = serializers.CharField(max_length=60)


class SentMapping(SentMappingName):
    """A mapping to keep: that of a file that waits."""

    draft_id = serializers.IntegerField(
        min_value=0, max_value=MAX_NUMBER, help_text="The file that waits."
    )
    slug = serializers.SlugField(
        default="", allow_blank=True, help_text="The club that may use it; without it you alone."
    )


class Mappings(ApiView):
    """Mappings of columns."""

    @answers(KeptLine, is_list=True)
    def get(self, request: Request) -> tuple[KeptLine, ...]:
        """The mappings under which you may send files in other formats."""
        return kept_lines(actor=actor_of(request))

    @answers(KeptLine, scope=MANAGE, body=SentMapping, status=CREATED)
    def post(self, request: Request, sent: dict[str, Any]) -> KeptLine:
        """Keep how a waiting file is read under a name; what it stood for before is replaced."""
        actor = actor_of(request)
        kept = draft_keep(actor=actor, **sent, now=timezone.now())
        return kept_line(actor=actor, mapping_id=kept.pk)


class Mapping(ApiView):
    """One kept mapping."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, mapping_id: int) -> None:
        """Forget a kept mapping; logs that were read by it stay as they are."""
        mapping_forget(actor=actor_of(request), mapping_id=mapping_id)


class MappingName(ApiView):
    """The name of a kept mapping."""

    @answers(KeptLine, scope=MANAGE, body=SentMappingName)
    def post(self, request: Request, mapping_id: int, sent: dict[str, Any]) -> KeptLine:
        """Call a kept mapping by another name."""
        actor = actor_of(request)
        mapping_rename(actor=actor, mapping_id=mapping_id, **sent, now=timezone.now())
        return kept_line(actor=actor, mapping_id=mapping_id)
