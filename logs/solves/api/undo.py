"""Taking back and putting back, correcting and deleting, deciding between two rows."""

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from cubecore.rows import FIELDS
from logs.http.api import EMPTY, MANAGE, ApiView, answers
from logs.http.pages import PageQuery, actor_of, origin_of
from logs.people.sight import time_zone_of
from logs.solves.api.solves import Solve
from logs.solves.report.log import UploadReport, upload_report
from logs.solves.report.mapping import MappingReport, mapping_report
from logs.solves.report.undo import (
    HeldReport,
    HistoryReport,
    TakenOutReport,
    held_report,
    history_report,
    taken_out_report,
)
from logs.solves.services.corrections import (
    Choice,
    row_decide,
    rows_decide,
    solve_correct,
    solve_delete,
    solve_put_back,
)
from logs.solves.services.drafts import draft_read_again
from logs.solves.services.undo import upload_put_back, upload_take_back


class SentChoice(serializers.Serializer[Any]):
    """What was decided of a row that contradicts a solve."""

    choice = serializers.ChoiceField(
        [choice.value for choice in Choice],
        help_text=(
            "log: the solve stays as it is. row: the row is right and corrects the solve. both: they"
            " are two solves. Where the solve is in the log no more, row and both add the row."
        ),
    )


class SentCorrection(serializers.Serializer[Any]):
    """The fields of a solve to change; those that are not sent stay, null takes one out."""

    scramble = serializers.CharField(required=False, help_text="From the solved cube.")
    time = serializers.FloatField(required=False, help_text="Seconds, or text such as 1:02.34.")
    penalty = serializers.CharField(required=False, allow_null=True, help_text="Empty, +2 or DNF.")
    solution = serializers.CharField(
        required=False, allow_null=True, help_text="The turns of the solve."
    )
    turn_ms = serializers.ListField(
        child=serializers.IntegerField(),
        required=False,
        allow_null=True,
        help_text="The end of each turn; not sent, the times stay as long as they fit the turns.",
    )
    mark_ms = serializers.ListField(
        child=serializers.IntegerField(allow_null=True),
        required=False,
        allow_null=True,
        min_length=5,
        max_length=5,
        help_text=(
            "Five marks in ms in the place of turn_ms, null where there is none: the end of F2L, of"
            " the first turn after it, of the OLL, of the first turn after that, of the PLL."
        ),
    )
    timed_by = serializers.CharField(
        required=False,
        allow_null=True,
        help_text="What times were taken with: sensor, video or hand.",
    )
    step_ms = serializers.IntegerField(
        required=False, allow_null=True, help_text="How fine that is, ms."
    )
    done_at = serializers.CharField(required=False, allow_null=True, help_text="As in ISO 8601.")
    note = serializers.CharField(required=False, allow_null=True, help_text="Your own words.")

    def to_internal_value(self, data: object) -> dict[str, Any]:
        """The object as it came, for intake to read.

        Raises:
            ValidationError: It is no object, or has a key that is no field of a log.
        """
        if not isinstance(data, dict):
            raise serializers.ValidationError({"non_field_errors": ["Send one JSON object."]})
        unknown = [key for key in data if key not in self.fields]
        if unknown:
            words = f"No field of a log; the fields are {', '.join(self.fields)}."
            raise serializers.ValidationError({str(unknown[0])[:40]: [words]})
        return data


assert set(SentCorrection().fields) == set(FIELDS)


@dataclass(frozen=True, slots=True)
class DecisionAnswer:
    """What a decision came to.

    Attributes:
        solve_id: The solve that the row tells of now; null where the log has none.
    """

    solve_id: int | None


@dataclass(frozen=True, slots=True)
class DecisionsAnswer:
    """What a decision about many rows came to.

    Attributes:
        n_rows: How many rows it was about.
    """

    n_rows: int


class TakenOut(ApiView):
    """What was taken out of the actor's log."""

    @answers(TakenOutReport, query=PageQuery)
    def get(self, request: Request, query: dict[str, Any]) -> TakenOutReport:
        """Uploads that were taken back and solves that were deleted, to be put back."""
        return taken_out_report(actor=actor_of(request), now=timezone.now(), page=query["page"])


class TakingBack(ApiView):
    """An upload, taken back."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def post(self, request: Request, upload_id: int) -> None:
        """Take an upload out of the log at once; for 14 days it can be put back, then it is gone.

        Solves that another file has too stay, as that file has them.
        """
        upload_take_back(
            actor=actor_of(request),
            upload_id=upload_id,
            now=timezone.now(),
            origin=origin_of(request),
        )


class PuttingBack(ApiView):
    """An upload, put back."""

    @answers(UploadReport, scope=MANAGE)
    def post(self, request: Request, upload_id: int) -> UploadReport:
        """Put an upload back that was taken back: its rows come in again, as if they came now.

        One of many rows is put back behind the request: then the answer holds its job.
        """
        actor, now = actor_of(request), timezone.now()
        upload_put_back(
            actor=actor,
            upload_id=upload_id,
            now=now,
            inline_rows=settings.INLINE_ROWS,
            origin=origin_of(request),
        )
        return upload_report(actor=actor, upload_id=upload_id, now=now)


class ReadingAgain(ApiView):
    """An upload, to be read another way."""

    @answers(MappingReport, scope=MANAGE)
    def post(self, request: Request, upload_id: int) -> MappingReport:
        """Have an upload's file wait as a draft; once that is added, the upload is taken back."""
        actor, now = actor_of(request), timezone.now()
        draft = draft_read_again(actor=actor, upload_id=upload_id, now=now)
        return mapping_report(actor=actor, draft_id=draft.pk, now=now)


class OnHold(ApiView):
    """Rows of an upload that contradict the log."""

    @answers(HeldReport, query=PageQuery)
    def get(self, request: Request, upload_id: int, query: dict[str, Any]) -> HeldReport:
        """Rows on hold, each with what the log and what the row says."""
        return held_report(actor=actor_of(request), upload_id=upload_id, page=query["page"])

    @answers(DecisionsAnswer, scope=MANAGE, body=SentChoice)
    def post(self, request: Request, upload_id: int, sent: dict[str, Any]) -> DecisionsAnswer:
        """Decide about all rows of an upload that are on hold."""
        actor = actor_of(request)
        held_report(actor=actor, upload_id=upload_id)
        return DecisionsAnswer(
            rows_decide(
                actor=actor,
                upload_id=upload_id,
                choice=Choice(sent["choice"]),
                now=timezone.now(),
                origin=origin_of(request),
            )
        )


class Deciding(ApiView):
    """A row that contradicts the log."""

    @answers(DecisionAnswer, scope=MANAGE, body=SentChoice)
    def post(self, request: Request, row_id: int, sent: dict[str, Any]) -> DecisionAnswer:
        """Decide about a row that is on hold; the same row of other files follows."""
        solve = row_decide(
            actor=actor_of(request),
            row_id=row_id,
            choice=Choice(sent["choice"]),
            now=timezone.now(),
            origin=origin_of(request),
        )
        return DecisionAnswer(None if solve is None else solve.pk)


class OwnSolve(Solve):
    """One solve, which its member may delete."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, solve_id: int) -> None:
        """Delete one of your solves; sent again it stays out, until it is put back."""
        solve_delete(
            actor=actor_of(request),
            solve_id=solve_id,
            now=timezone.now(),
            origin=origin_of(request),
        )


class Correcting(ApiView):
    """A solve, corrected."""

    @answers(HistoryReport, scope=MANAGE, body=SentCorrection)
    def post(self, request: Request, solve_id: int, sent: dict[str, Any]) -> HistoryReport:
        """Correct fields of one of your solves; its labels are made anew."""
        actor = actor_of(request)
        solve_correct(
            actor=actor,
            solve_id=solve_id,
            values=sent,
            time_zone=time_zone_of(actor=actor),
            now=timezone.now(),
            origin=origin_of(request),
        )
        return history_report(actor=actor, solve_id=solve_id)


class SolveHistory(ApiView):
    """Where a solve comes from."""

    @answers(HistoryReport)
    def get(self, request: Request, solve_id: int) -> HistoryReport:
        """The rows that tell of one of your solves, and what you changed by hand."""
        return history_report(actor=actor_of(request), solve_id=solve_id)


class Restoring(ApiView):
    """A solve that was deleted."""

    @answers(HistoryReport, scope=MANAGE)
    def post(self, request: Request, solve_id: int) -> HistoryReport:
        """Put a solve back into the log that you deleted."""
        actor = actor_of(request)
        solve = solve_put_back(
            actor=actor, solve_id=solve_id, now=timezone.now(), origin=origin_of(request)
        )
        return history_report(actor=actor, solve_id=solve.pk)
