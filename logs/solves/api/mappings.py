"""Files that wait until their member has said how they are to be read."""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Any

from django.conf import settings
from django.utils import timezone
from rest_framework import serializers
from rest_framework.parsers import BaseParser, MultiPartParser
from rest_framework.request import Request

from cubecore.rows import Penalty
from logs.errors import ConflictError
from logs.http.api import (
    CREATED,
    EMPTY,
    MANAGE,
    THERE_BEFORE,
    UPLOAD,
    ApiView,
    PlainJSONParser,
    Reply,
    Values,
    answers,
)
from logs.http.pages import MAX_NUMBER, Items, actor_of
from logs.intake.mapping import (
    DECIMAL_MARKS,
    ENCODINGS,
    MAX_BEFORE,
    MAX_COLUMNS,
    MAX_TABLE_NAME,
    MAX_WORDS,
    SEPARATORS,
    TURN_SEPARATORS,
    ColumnMapping,
    DateOrder,
    Meaning,
    Role,
    TurnTimes,
    Unit,
    mapping_from_json,
    meanings,
)
from logs.intake.rows import MAX_BYTES
from logs.people.sight import time_zone_of
from logs.solves.api.solves import (
    FORM_OVERHEAD_BYTES,
    SentTable,
    SentTableText,
    UploadAnswer,
    source_of,
    upload_answer,
)
from logs.solves.report.mapping import (
    KeptLine,
    MappingReport,
    WaitingFile,
    kept_line,
    kept_lines,
    mapping_report,
    waiting_files,
)
from logs.solves.selectors.solves import draft_get
from logs.solves.services.drafts import (
    draft_add,
    draft_answer,
    draft_discard,
    draft_guess,
    draft_import,
    draft_keep,
    must_wait,
)
from logs.solves.services.mappings import mapping_forget, mapping_rename

Sent = serializers.Serializer[Any]


UNITS = [(unit.value, unit.name) for unit in Unit]
"""One set of choices under one name in the schema (``ENUM_NAME_OVERRIDES``)."""


def _one_of(values: Iterable[str], words: str) -> serializers.ChoiceField:
    return serializers.ChoiceField(
        [(str(value), getattr(value, "name", str(value))) for value in values],
        required=False,
        help_text=words,
    )


class SentCut(Sent):
    """How a file is cut into cells; what is left out is guessed."""

    encoding = _one_of(ENCODINGS, "What its letters are written in.")
    separator = _one_of(SEPARATORS, "Between two cells: comma, semicolon, tab or bar.")
    n_before = serializers.IntegerField(
        required=False, min_value=0, max_value=MAX_BEFORE, help_text="Rows above the names."
    )
    has_header = serializers.BooleanField(
        required=False, help_text="Whether the first row names the columns."
    )
    table = serializers.CharField(
        required=False, max_length=MAX_TABLE_NAME, help_text="Which sheet, or which list of JSON."
    )


class SentMeaning(Sent):
    """A word of the penalty column and what it means."""

    word = serializers.CharField(help_text="The word; capitals do not matter.")
    means = serializers.ChoiceField(
        [str(penalty) for penalty in Penalty], help_text="Nothing: none."
    )


class SentAnswers(Sent):
    """How a file is to be read; what is left out stays as it is."""

    roles = Items(
        child=serializers.ChoiceField([(role.value, role.name) for role in Role], allow_null=True),
        required=False,
        max_length=MAX_COLUMNS,
        help_text="What each column holds, in their order; null for one that is not read.",
    )
    time_unit = _one_of(Unit, "What the times count; s may have minutes before a colon.")
    decimal_mark = _one_of(DECIMAL_MARKS, "What decimals begin with.")
    date_order = _one_of(DateOrder, "How dates are written.")
    penalties = Items(
        child=SentMeaning(),
        required=False,
        max_length=MAX_WORDS,
        help_text="What words of the penalty column mean.",
    )
    is_plus_two_in_time = serializers.BooleanField(
        required=False, help_text="Whether the two seconds of a +2 are in the time already."
    )
    turn_times = _one_of(TurnTimes, "Ends of turns from the start, or the gaps before them.")
    turn_unit = _one_of(Unit, "What turn times count.")
    turn_separator = _one_of(TURN_SEPARATORS, "What stands between two turn times.")


KINDS: dict[str, type[StrEnum]] = {
    "time_unit": Unit,
    "date_order": DateOrder,
    "turn_times": TurnTimes,
    "turn_unit": Unit,
}
"""Of what kind the mapping's fields are that are more than text."""


class Drafts(ApiView):
    """The actor's files that wait."""

    parser_classes: Sequence[type[BaseParser]] = (PlainJSONParser, MultiPartParser)
    max_body_bytes = MAX_BYTES + FORM_OVERHEAD_BYTES

    @answers(WaitingFile, is_list=True)
    def get(self, request: Request) -> tuple[WaitingFile, ...]:
        """Your files that wait to be told how to be read, the oldest first."""
        return waiting_files(actor=actor_of(request), now=timezone.now())

    @answers(
        MappingReport,
        scope=UPLOAD,
        body={"multipart/form-data": SentTable, "application/json": SentTableText},
        status=CREATED,
        also=THERE_BEFORE,
    )
    def post(self, request: Request, sent: Values) -> Reply:
        """Send a table in none of our formats; it waits, with a guess at how it is to be read."""
        actor, now = actor_of(request), timezone.now()
        source, file_name = source_of(sent)
        zone = time_zone_of(actor=actor)
        if not must_wait(actor=actor, source=source, time_zone=zone, now=now):
            raise ConflictError(
                "This file need not wait: send it to /api/v1/uploads,"
                " which takes it in or says what is wrong with it."
            )
        draft = draft_add(actor=actor, source=source, file_name=file_name, now=now)
        report = mapping_report(actor=actor, draft_id=draft.pk, now=now)
        return Reply(report, CREATED if draft.made_at == now else THERE_BEFORE)


class Draft(ApiView):
    """One file that waits."""

    @answers(MappingReport)
    def get(self, request: Request, draft_id: int) -> MappingReport:
        """How a file would be read, what must still be said, and its first solves."""
        return mapping_report(actor=actor_of(request), draft_id=draft_id, now=timezone.now())

    @answers(None, scope=UPLOAD, status=EMPTY)
    def delete(self, request: Request, draft_id: int) -> None:
        """Forget a file that waits; nothing of it is added."""
        draft_discard(actor=actor_of(request), draft_id=draft_id, now=timezone.now())


class DraftCut(ApiView):
    """A file that waits, cut into cells."""

    @answers(MappingReport, scope=UPLOAD, body=SentCut)
    def post(self, request: Request, draft_id: int, sent: Values) -> MappingReport:
        """Cut a file into cells anew; how it is to be read is guessed anew with that."""
        actor, now = actor_of(request), timezone.now()
        draft_guess(actor=actor, draft_id=draft_id, now=now, **sent)
        return mapping_report(actor=actor, draft_id=draft_id, now=now)


class DraftAnswers(ApiView):
    """What was said about a file that waits."""

    @answers(MappingReport, scope=UPLOAD, body=SentAnswers)
    def post(self, request: Request, draft_id: int, sent: Values) -> MappingReport:
        """Say which column is what and how it is written; the answer shows what comes out.

        Of a column that holds something else now, what is left out is guessed.
        """
        actor, now = actor_of(request), timezone.now()
        mapping = mapping_from_json(draft_get(actor=actor, draft_id=draft_id, now=now).mapping)
        roles = _roles(sent.pop("roles", None), mapping)
        if roles != mapping.roles:
            # On its own first: forms are taken for columns that have not changed alone.
            draft = draft_answer(actor=actor, draft_id=draft_id, roles=roles, answers={}, now=now)
            mapping = mapping_from_json(draft.mapping)
        forms = _forms(sent, mapping)
        draft_answer(actor=actor, draft_id=draft_id, roles=roles, answers=forms, now=now)
        return mapping_report(actor=actor, draft_id=draft_id, now=now)


class DraftAdding(ApiView):
    """A file that waits, added."""

    @answers(UploadAnswer, scope=UPLOAD, body=None, status=CREATED, also=THERE_BEFORE)
    def post(self, request: Request, draft_id: int) -> Reply:
        """Add a log as it was said to be read; it waits no more."""
        actor = actor_of(request)
        upload = draft_import(
            actor=actor,
            draft_id=draft_id,
            time_zone=time_zone_of(actor=actor),
            now=timezone.now(),
            inline_rows=settings.INLINE_ROWS,
        )
        return upload_answer(actor, upload)


def _roles(sent: Sequence[str | None] | None, mapping: ColumnMapping) -> tuple[Role | None, ...]:
    """What each column holds.

    Raises:
        ValidationError: The file has another number of columns.
    """
    if sent is None:
        return mapping.roles
    n_columns = len(mapping.roles)
    if len(sent) != n_columns:
        words = f"The file has {n_columns} columns; name {n_columns}, null for one not read."
        raise serializers.ValidationError({"roles": words})
    return tuple(None if role is None else Role(role) for role in sent)


def _forms(sent: Values, mapping: ColumnMapping) -> Values:
    """The mapping's other fields as far as they were sent."""
    forms: Values = {
        field: KINDS[field](value) if field in KINDS else value for field, value in sent.items()
    }
    if "penalties" in forms:
        new = [Meaning(each["word"], Penalty(each["means"])) for each in forms["penalties"]]
        forms["penalties"] = meanings(reversed(new), mapping.penalties)
    return forms


class SentMappingName(serializers.Serializer[Any]):
    """What a mapping is called."""

    name = serializers.CharField(max_length=60, help_text="A name to find it by.")


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
