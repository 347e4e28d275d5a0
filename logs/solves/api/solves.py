"""What addresses may ask for; what they ask wrongly is refused, with the name of the field.

Adding to a log: a file, one solve, a row mended; and how far the work behind it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import extend_schema_serializer
from rest_framework import serializers
from rest_framework.parsers import BaseParser, MultiPartParser
from rest_framework.request import Request

from clubsite.accounts.models import User
from cubecore.results import Kind
from cubecore.rows import FIELDS
from logs.cases.facts import all_case_titles
from logs.errors import UploadRejectedError
from logs.http.api import (
    CREATED,
    EMPTY,
    MAX_TEXT_BYTES,
    THERE_BEFORE,
    UPLOAD,
    ApiView,
    PlainJSONParser,
    Reply,
    answers,
)
from logs.http.pages import MAX_NUMBER, PageQuery, actor_of, choice
from logs.intake.mapping import mapping_from_json
from logs.intake.rows import MAX_BYTES
from logs.intake.source import SourceFile
from logs.people.services.trail import looked
from logs.people.sight import time_zone_of
from logs.solves.models.kept_rows import Fate
from logs.solves.models.solves import Upload as StoredUpload
from logs.solves.report.log import (
    LogReport,
    SetAsidePage,
    UploadPage,
    UploadReport,
    log_report,
    set_aside_page,
    upload_of_row,
    upload_page,
    upload_report,
)
from logs.solves.report.solve import SolveReport, solve_report
from logs.solves.report.solves import SolvesReport, figure_asked, solves_report
from logs.solves.selectors.solves import Behind, usable_mapping_get
from logs.solves.selectors.undo import row_fate
from logs.solves.services.drafts import must_wait
from logs.solves.services.uploads import (
    set_aside_leave_out,
    set_aside_mend,
    solve_add,
    upload_import,
)


class SolvesQuery(PageQuery):
    """Solves of a kind, or that met a case."""

    kind = choice(["", *Kind], "", "Only solves, or only drills.")
    case = serializers.ChoiceField(
        ["", *(code for code, _ in all_case_titles())],
        default="",
        help_text="Only solves that met this case, such as oll-27 or pll-skip.",
    )
    behind = choice(["", *Behind], "", "Only those behind this kind of figure, with case of its.")
    until = serializers.IntegerField(
        min_value=0,
        max_value=MAX_NUMBER,
        default=0,
        help_text="Number of the solve that an average ends with; 0 for none.",
    )
    last = serializers.IntegerField(
        min_value=0,
        max_value=MAX_NUMBER,
        default=0,
        help_text="How many solves that average has; 0 for none.",
    )
    since = serializers.DateField(default=None, help_text="Only those of this day, or from it on.")
    days = serializers.ChoiceField(
        [1, 7], default=1, help_text="Of how many days, counted from since."
    )


class Log(ApiView):
    """The newest solves and uploads, with the counts of all."""

    @answers(LogReport)
    def get(self, request: Request) -> LogReport:
        """The log at a glance."""
        return log_report(actor=actor_of(request), now=timezone.now())


class SetAside(ApiView):
    """Rows of an upload that wait to be mended."""

    @answers(SetAsidePage, query=PageQuery)
    def get(self, request: Request, upload_id: int, query: dict[str, Any]) -> SetAsidePage:
        """The rows of an upload that wait to be mended, with the reason and the mend of each."""
        return set_aside_page(
            actor=actor_of(request), upload_id=upload_id, now=timezone.now(), page=query["page"]
        )


class SolvesOf(ApiView):
    """A member's solves."""

    @answers(SolvesReport, query=SolvesQuery)
    def get(
        self, request: Request, query: dict[str, Any], membership_id: int | None = None
    ) -> SolvesReport:
        """A page of solves, newest first; past the end the last page."""
        page, kind, case = (query.pop(name) for name in ("page", "kind", "case"))
        report = solves_report(
            actor=actor_of(request),
            membership_id=membership_id,
            page=page,
            kind=kind,
            case=case,
            figure=figure_asked(**query),
        )
        looked(request, "solves", [report.whose.membership_id])
        return report


class Solve(ApiView):
    """One solve."""

    @answers(SolveReport)
    def get(self, request: Request, solve_id: int) -> SolveReport:
        """One solve turn by turn: its parts, its two cases, the looks taken."""
        report = solve_report(actor=actor_of(request), solve_id=solve_id)
        looked(request, "solve", [report.whose.membership_id])
        return report


FORM_OVERHEAD_BYTES = 64 * 1024


OTHER_FORMATS = "A table in another format goes to /api/v1/drafts, where you say how to read it."


@dataclass(frozen=True, slots=True)
class UploadAnswer:
    """What became of a file.

    Attributes:
        is_repeat: Whether this very file was sent before; then nothing was added.
        report: What became of it.
    """

    is_repeat: bool
    report: UploadReport


@dataclass(frozen=True, slots=True)
class SolveAnswer:
    """What became of one solve.

    Attributes:
        is_repeat: Whether this very solve was sent so before.
        is_doubled: Whether the log had it from elsewhere; then no solve was added.
        fate: What became of it.
        upload_id: The upload whose one row it is.
        solve_id: The solve that it is, adds to, tells of again or contradicts.
    """

    is_repeat: bool
    is_doubled: bool
    fate: Fate
    upload_id: int
    solve_id: int


@dataclass(frozen=True, slots=True)
class MendAnswer:
    """A row that is taken now.

    Attributes:
        solve_id: The solve that it is, adds to, tells of again or contradicts; null where its member
            deleted that.
        upload_id: The upload it came in.
        is_doubled: Whether the log had that solve already.
        fate: What became of it.
    """

    solve_id: int | None
    upload_id: int
    is_doubled: bool
    fate: Fate


class SentTable(serializers.Serializer[Any]):
    """A table as a file."""

    file = serializers.FileField(
        allow_empty_file=True, max_length=200, help_text="The bytes of the file."
    )


class SentTableText(serializers.Serializer[Any]):
    """A table as text."""

    text = serializers.CharField(
        trim_whitespace=False, help_text="The text of the file, its line ends included."
    )
    file_name = serializers.CharField(
        default="sent log", max_length=200, help_text="What it is listed as."
    )


class SentFile(SentTable):
    """A log as a file."""

    mapping_id = serializers.IntegerField(
        required=False,
        min_value=0,
        max_value=MAX_NUMBER,
        help_text="A kept mapping, for a file in none of our formats.",
    )


class SentText(SentTableText):
    """A log as text."""

    text = serializers.CharField(
        trim_whitespace=False,
        help_text=f"CSV or JSON Lines. Send a body over {MAX_TEXT_BYTES:,} bytes as a file.",
    )
    mapping_id = serializers.IntegerField(
        required=False,
        min_value=0,
        max_value=MAX_NUMBER,
        help_text="A kept mapping, for text in none of our formats.",
    )


@extend_schema_serializer(component_name="SentSolve")
class SentSolve(serializers.Serializer[Any]):
    """One solve, with the fields of a line of a JSON Lines log; intake says what is wrong."""

    scramble = serializers.CharField(help_text="From the solved cube, white up, green in front.")
    time = serializers.FloatField(help_text="Seconds, or text such as 1:02.34.")
    penalty = serializers.CharField(required=False, help_text="Empty, +2 or DNF.")
    solution = serializers.CharField(required=False, help_text="The turns of the solve.")
    turn_ms = serializers.ListField(
        child=serializers.IntegerField(), required=False, help_text="The end of each turn."
    )
    mark_ms = serializers.ListField(
        child=serializers.IntegerField(allow_null=True),
        required=False,
        min_length=5,
        max_length=5,
        help_text=(
            "Five marks in ms in the place of turn_ms, null where there is none: the end of F2L, of"
            " the first turn after it, of the OLL, of the first turn after that, of the PLL."
        ),
    )
    timed_by = serializers.CharField(
        required=False, help_text="What times were taken with: sensor, video or hand."
    )
    step_ms = serializers.IntegerField(required=False, help_text="How fine that is, ms.")
    done_at = serializers.CharField(required=False, help_text="When, as in ISO 8601.")
    note = serializers.CharField(required=False, help_text="Your own words.")

    def to_internal_value(self, data: object) -> dict[str, Any]:
        """The object as it came, for intake to read.

        Raises:
            ValidationError: It is no object.
        """
        if not isinstance(data, dict):
            raise serializers.ValidationError({"non_field_errors": ["Send one JSON object."]})
        return data


assert set(SentSolve().fields) == set(FIELDS)


class SentRow(serializers.Serializer[Any]):
    """A row as it was mended."""

    text = serializers.CharField(
        trim_whitespace=False, max_length=100_000, help_text="In its file's format."
    )


def source_of(sent: dict[str, Any]) -> tuple[SourceFile, str]:
    """What was sent, as a file or as text, and its name."""
    file = sent.get("file")
    if file is None:
        return SourceFile(sent["text"].encode()), sent["file_name"]
    return SourceFile(file.read()), file.name


def upload_answer(actor: User, stored: StoredUpload) -> Reply:
    """What became of a file of the actor's."""
    report = upload_report(actor=actor, upload_id=stored.pk, now=timezone.now())
    status = THERE_BEFORE if stored.is_repeat else CREATED
    return Reply(UploadAnswer(stored.is_repeat, report), status)


def _led_on(error: UploadRejectedError) -> UploadRejectedError:
    """The refusal of a table in another format, with the place that takes it."""
    return UploadRejectedError(
        [
            replace(problem, message=f"{problem.message} {OTHER_FORMATS}")
            for problem in error.problems
        ]
    )


class Uploads(ApiView):
    """The actor's uploads."""

    parser_classes: Sequence[type[BaseParser]] = (PlainJSONParser, MultiPartParser)
    max_body_bytes = MAX_BYTES + FORM_OVERHEAD_BYTES

    @answers(UploadPage, query=PageQuery)
    def get(self, request: Request, query: dict[str, Any]) -> UploadPage:
        """A page of your uploads, newest first."""
        return upload_page(actor=actor_of(request), page=query["page"])

    @answers(
        UploadAnswer,
        scope=UPLOAD,
        body={"multipart/form-data": SentFile, "application/json": SentText},
        status=CREATED,
        also=THERE_BEFORE,
    )
    def post(self, request: Request, sent: dict[str, Any]) -> Reply:
        """Add a log. The same file again gives the same answer and adds nothing.

        A file of many rows is taken in behind the request: then the answer holds its job.
        """
        actor, now, mapping = actor_of(request), timezone.now(), None
        source, file_name = source_of(sent)
        zone = time_zone_of(actor=actor)
        if "mapping_id" in sent:
            kept = usable_mapping_get(actor=actor, mapping_id=sent["mapping_id"])
            mapping = mapping_from_json(kept.mapping)
        try:
            upload = upload_import(
                member=actor,
                source=source,
                file_name=file_name,
                time_zone=zone,
                now=now,
                inline_rows=settings.INLINE_ROWS,
                mapping=mapping,
            )
        except UploadRejectedError as error:
            if mapping is None and must_wait(actor=actor, source=source, time_zone=zone, now=now):
                raise _led_on(error) from error
            raise
        return upload_answer(actor, upload)


class Upload(ApiView):
    """One upload."""

    @answers(UploadReport)
    def get(self, request: Request, upload_id: int) -> UploadReport:
        """What became of an upload; taken, doubled and set aside add up to the rows read."""
        return upload_report(actor=actor_of(request), upload_id=upload_id, now=timezone.now())


class Solves(SolvesOf):
    """The actor's solves."""

    @answers(SolveAnswer, scope=UPLOAD, body=SentSolve, status=CREATED, also=THERE_BEFORE)
    def post(self, request: Request, sent: dict[str, Any]) -> Reply:
        """Add one solve. The same solve again gives the same answer and adds nothing.

        The same with more completes the solve that is there; with something that contradicts it,
        it is on hold.
        """
        actor = actor_of(request)
        upload = solve_add(
            member=actor,
            values=sent,
            time_zone=time_zone_of(actor=actor),
            now=timezone.now(),
        )
        fate, solve_id = row_fate(actor=actor, upload_id=upload.pk, line=1)
        answer = SolveAnswer(
            is_repeat=upload.is_repeat,
            is_doubled=fate is not Fate.TAKEN,
            fate=fate,
            upload_id=upload.pk,
            solve_id=solve_id,
        )
        return Reply(answer, THERE_BEFORE if upload.is_repeat else CREATED)


class Mending(ApiView):
    """A row that was set aside."""

    @answers(MendAnswer, scope=UPLOAD, body=SentRow)
    def post(self, request: Request, set_aside_id: int, sent: dict[str, Any]) -> MendAnswer:
        """Send a set-aside row again, as it was corrected."""
        actor = actor_of(request)
        upload_id = upload_of_row(actor=actor, set_aside_id=set_aside_id)
        mended = set_aside_mend(
            actor=actor, set_aside_id=set_aside_id, text=sent["text"], now=timezone.now()
        )
        if mended.problem is not None:
            raise UploadRejectedError([mended.problem])
        assert mended.fate is not None
        solve_id = None if mended.solve is None else mended.solve.pk
        return MendAnswer(solve_id, upload_id, mended.is_doubled, mended.fate)


class LeavingOut(ApiView):
    """A row that was set aside and is left out."""

    @answers(None, scope=UPLOAD, status=EMPTY)
    def post(self, request: Request, set_aside_id: int) -> None:
        """Let a set-aside row wait no more; the file as it was sent still has it."""
        set_aside_leave_out(actor=actor_of(request), set_aside_id=set_aside_id, now=timezone.now())
