"""Files as they came in, and the rows of them that could not be taken."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from cubecore.cases import SKIP, EdgeStep, PermutationStep, Stage
from cubecore.endings import STATUS_OF_PENALTY
from cubecore.outcomes import Outcome
from cubecore.results import Kind, NoSplits, Reason
from cubecore.rows import MAX_TIME_MS, TimedBy
from cubecore.skips import SkipOrigin
from logs.people.models import Club
from logs.solves.figures.mistakes import MistakeKind


class LiveUploads(models.Manager["Upload"]):
    """Uploads that are not taken back: what every page, figure and answer is about."""

    def get_queryset(self) -> models.QuerySet["Upload"]:
        """Them, and no other."""
        return super().get_queryset().filter(taken_back_at=None)


class Upload(models.Model):
    """A file, kept byte for byte, and what became of its rows.

    ``objects`` leaves out what was taken back; ``all_uploads`` has it.

    Attributes:
        mapping: How it was read (`logs.intake.mapping`), so that it can be read again; null for a
            file in one of our own formats.
        is_repeat: Whether this answer is about a file that had been sent before. Set by
            `logs.solves.services.uploads`; not stored.
        n_completed: Rows that add to a solve from another file, or correct it.
        n_on_hold: Rows that contradict one and wait for a decision.
        n_deleted: Rows of which the member deleted the solve.
        taken_back_at: When its member took it back; its rows are `KeptRow` that are away then.
    """

    is_repeat: bool = False

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="uploads"
    )
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    file_name = models.CharField(max_length=200)
    format = models.CharField(max_length=10)
    time_zone = models.CharField(max_length=50)
    columns = models.JSONField(default=list)
    unknown_columns = models.JSONField(default=list)
    mapping = models.JSONField(null=True)
    received_at = models.DateTimeField()
    n_rows = models.PositiveIntegerField()
    n_taken = models.PositiveIntegerField()
    n_doubled = models.PositiveIntegerField()
    n_set_aside = models.PositiveIntegerField()
    n_completed = models.PositiveIntegerField(default=0)
    n_on_hold = models.PositiveIntegerField(default=0)
    n_deleted = models.PositiveIntegerField(default=0)
    taken_back_at = models.DateTimeField(null=True)

    objects = LiveUploads()
    all_uploads = models.Manager["Upload"]()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("member", "sha256"),
                condition=Q(taken_back_at=None),
                name="upload_once_for_member",
            ),
            models.CheckConstraint(
                name="upload_rows_accounted",
                condition=Q(
                    n_rows=F("n_taken")
                    + F("n_doubled")
                    + F("n_set_aside")
                    + F("n_completed")
                    + F("n_on_hold")
                    + F("n_deleted")
                ),
            ),
            models.CheckConstraint(
                name="upload_format_known", condition=Q(format__in=("csv", "jsonl", "mapped"))
            ),
            models.CheckConstraint(
                name="upload_mapped_says_how",
                condition=Q(format="mapped", mapping__isnull=False)
                | ~Q(format="mapped") & Q(mapping__isnull=True),
            ),
        )
        indexes = (
            models.Index(fields=("member", "-received_at"), name="upload_newest"),
            models.Index(
                fields=("taken_back_at",),
                condition=Q(taken_back_at__isnull=False),
                name="upload_taken_back",
            ),
        )

    def __str__(self) -> str:
        return self.file_name


class SetAsideRow(models.Model):
    """A row that could not be taken, as it stands in the file, and why.

    ``mended_at`` is null until a mended text of it was taken, ``left_out_at`` until its member said
    that it needs no mending.
    """

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="set_aside_rows")
    line = models.PositiveIntegerField()
    code = models.CharField(max_length=40)
    field = models.CharField(max_length=20, blank=True)
    message = models.TextField()
    text = models.TextField()
    mended_at = models.DateTimeField(null=True)
    left_out_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("upload", "line"), name="set_aside_row_once"),
            models.CheckConstraint(
                name="set_aside_row_explained", condition=~Q(code="") & ~Q(message="")
            ),
            models.CheckConstraint(name="set_aside_row_has_line", condition=Q(line__gte=1)),
        )

    def __str__(self) -> str:
        return f"line {self.line}: {self.message}"


class UploadDraft(models.Model):
    """A file that waits until its member has said how it is to be read; byte for byte.

    Attributes:
        mapping: What was said so far (`logs.intake.mapping`), None in it is not answered.
        replaces: The upload of the same bytes that is taken back once this is added.
        reasons: Why the rest was guessed so, by field.
        kept_name: The kept mapping it was begun from; empty when none fitted.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="upload_drafts"
    )
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    file_name = models.CharField(max_length=200)
    mapping = models.JSONField()
    reasons = models.JSONField(default=dict)
    kept_name = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField(db_index=True)
    replaces = models.ForeignKey(Upload, on_delete=models.CASCADE, null=True, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "sha256"), name="upload_draft_once"),
        )

    def __str__(self) -> str:
        return self.file_name


class KeptMapping(models.Model):
    """A mapping kept under a name: for all in a club, or for one member alone.

    Attributes:
        header_key: What files of its shape share (`logs.intake.mapping.header_key`).
        mapping: What was said (`logs.intake.mapping.mapping_to_json`).
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, null=True, related_name="mappings")
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="mappings"
    )
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    name = models.CharField(max_length=60)
    header_key = models.CharField(max_length=64)
    mapping = models.JSONField()
    changed_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="kept_mapping_is_somebodys",
                condition=Q(club=None, member__isnull=False) | Q(club__isnull=False, member=None),
            ),
            models.CheckConstraint(name="kept_mapping_named", condition=~Q(name="")),
            models.UniqueConstraint(
                fields=("club", "name"),
                condition=Q(member=None),
                name="kept_mapping_name_once_in_club",
            ),
            models.UniqueConstraint(
                fields=("member", "name"),
                condition=Q(club=None),
                name="kept_mapping_name_once_for_member",
            ),
        )

    def __str__(self) -> str:
        return self.name


def _any_of(field: str, *names: str) -> Q:
    return Q(**{f"{field}__in": [str(name) for name in names]})


def _both_or_neither(first: str, second: str) -> Q:
    return Q(**{f"{first}__isnull": True, f"{second}__isnull": True}) | Q(
        **{f"{first}__isnull": False, f"{second}__isnull": False}
    )


def _status_fits_penalty() -> Q:
    fits = Q()
    for penalty, status in STATUS_OF_PENALTY.items():
        fits |= Q(penalty=str(penalty), status=str(status))
    return fits


class Solve(models.Model):
    """One row of a log.

    ``key`` tells one solve from another (`logs.solves.services.labels.solve_key`); ``time_ms`` is the
    timer's reading; ``pair_ms`` holds when 1 to 4 pairs were home. ``scramble_turns``,
    ``solution_turns`` and ``turn_gaps`` are the texts' content as labels need it
    (`cubecore.compact.CompactRow`); all null in a row older than they are, until it is labelled anew.
    So is ``place``, a hash of the position that the scramble leads to. ``as_sent`` is its first row
    where the solve says something else by now, ``correction`` what its member changed by hand.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="solves", db_index=False
    )
    upload = models.ForeignKey(
        Upload, on_delete=models.CASCADE, related_name="solves", db_index=False
    )
    line = models.PositiveIntegerField()
    key = models.CharField(max_length=64)

    scramble = models.TextField()
    time_ms = models.PositiveIntegerField()
    penalty = models.CharField(max_length=3, blank=True)
    solution = models.TextField(blank=True)
    turn_ms = models.TextField(blank=True)
    mark_ms = models.TextField(blank=True, default="")
    timed_by = models.CharField(max_length=10, blank=True, default="")
    step_ms = models.PositiveSmallIntegerField(null=True)
    done_at = models.DateTimeField(null=True)
    note = models.TextField(blank=True)

    scramble_turns = models.BinaryField(null=True)
    solution_turns = models.BinaryField(null=True)
    turn_gaps = models.BinaryField(null=True)
    place = models.BigIntegerField(null=True)

    as_sent = models.JSONField(null=True)
    correction = models.JSONField(null=True)

    status = models.CharField(max_length=10)
    kind = models.CharField(max_length=10, blank=True)
    cross = models.CharField(max_length=10, blank=True)
    reason = models.CharField(max_length=30, blank=True)
    no_splits = models.CharField(max_length=30, blank=True, default="")
    cross_ms = models.PositiveIntegerField(null=True)
    pair_ms = models.JSONField(default=list)
    f2l_ms = models.PositiveIntegerField(null=True)
    final_auf_ms = models.PositiveIntegerField(null=True)
    engine_version = models.CharField(max_length=20)
    book_version = models.CharField(max_length=20)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "key"), name="solve_once_for_member"),
            models.UniqueConstraint(fields=("upload", "line"), name="solve_once_for_line"),
            models.CheckConstraint(
                name="solve_time_in_range", condition=Q(time_ms__gt=0, time_ms__lt=MAX_TIME_MS)
            ),
            models.CheckConstraint(
                name="solve_status_fits_penalty", condition=_status_fits_penalty()
            ),
            models.CheckConstraint(name="solve_kind_known", condition=_any_of("kind", "", *Kind)),
            models.CheckConstraint(
                name="solve_reason_known", condition=_any_of("reason", "", *Reason)
            ),
            models.CheckConstraint(
                name="solve_no_splits_known", condition=_any_of("no_splits", "", *NoSplits)
            ),
            models.CheckConstraint(
                name="solve_kind_needs_solution",
                condition=Q(solution="", kind="", turn_ms="", mark_ms="")
                | (~Q(solution="") & ~Q(kind="")),
            ),
            models.CheckConstraint(
                name="solve_times_of_one_kind", condition=Q(turn_ms="") | Q(mark_ms="")
            ),
            models.CheckConstraint(
                name="solve_timed_by_known", condition=_any_of("timed_by", "", *TimedBy)
            ),
            models.CheckConstraint(
                name="solve_turns_whole",
                condition=Q(solution_turns__isnull=True, turn_gaps__isnull=True)
                | Q(scramble_turns__isnull=False, solution_turns__isnull=False),
            ),
        )
        indexes = (
            models.Index(fields=("member", "done_at", "id"), name="solve_by_time"),
            models.Index(fields=("member", "place"), name="solve_by_place"),
        )

    def __str__(self) -> str:
        return f"solve {self.pk}"


class Sighting(models.Model):
    """One case met in one solve, and what was done about it.

    ``case`` is the OLL number or the PLL letters as text, or ``skip``. ``algorithm`` is that of the
    look that reached the stage's goal, else of the first; empty when there was no look.
    ``skip`` is how a skip came. ``misfire_kind`` and ``misfire_case`` are of the first look that lost
    something or came from a wrong hold, where the book has its algorithm. ``stage_ms`` is the whole
    stage, told by coarse clocks too. ``looks`` holds `cubecore.jsonlines.look_json` of each look.
    """

    solve = models.ForeignKey(
        Solve, on_delete=models.CASCADE, related_name="sightings", db_index=False
    )
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="sightings", db_index=False
    )
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    angle = models.PositiveSmallIntegerField()
    skip = models.CharField(max_length=20, blank=True, default="")
    stage_ms = models.PositiveIntegerField(null=True)
    recognition_ms = models.PositiveIntegerField(null=True)
    execution_ms = models.PositiveIntegerField(null=True)
    is_reached = models.BooleanField()
    n_looks = models.PositiveSmallIntegerField()
    first_outcome = models.CharField(max_length=10, blank=True)
    algorithm = models.TextField(blank=True)
    is_one_look = models.BooleanField()
    edge_step = models.CharField(max_length=10)
    corner_step = models.PositiveSmallIntegerField()
    permutation_step = models.CharField(max_length=10)
    position = models.PositiveIntegerField()
    misfire_kind = models.CharField(max_length=10, blank=True)
    misfire_case = models.CharField(max_length=4, blank=True)
    looks = models.JSONField(default=list)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("solve", "stage"), name="sighting_once_for_stage"),
            models.CheckConstraint(name="sighting_stage_known", condition=_any_of("stage", *Stage)),
            models.CheckConstraint(name="sighting_angle_in_range", condition=Q(angle__lte=3)),
            models.CheckConstraint(
                name="sighting_splits_together",
                condition=_both_or_neither("recognition_ms", "execution_ms"),
            ),
            models.CheckConstraint(
                name="sighting_skip_origin_known", condition=_any_of("skip", "", *SkipOrigin)
            ),
            models.CheckConstraint(
                name="sighting_skip_has_no_look", condition=~Q(case=SKIP) | Q(n_looks=0)
            ),
            models.CheckConstraint(
                name="sighting_one_look_finished",
                condition=Q(is_one_look=False) | Q(n_looks=1, is_reached=True),
            ),
            models.CheckConstraint(
                name="sighting_outcome_needs_look",
                condition=Q(n_looks=0, first_outcome="", algorithm="")
                | (Q(n_looks__gt=0) & _any_of("first_outcome", *Outcome)),
            ),
            models.CheckConstraint(
                name="sighting_misfire_whole",
                condition=Q(misfire_kind="", misfire_case="")
                | (_any_of("misfire_kind", *MistakeKind) & ~Q(misfire_case="")),
            ),
            models.CheckConstraint(
                name="sighting_steps_known",
                condition=_any_of("edge_step", *EdgeStep)
                & _any_of("permutation_step", *PermutationStep),
            ),
        )
        indexes = (models.Index(fields=("member", "stage", "case"), name="sighting_by_case"),)

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}"
