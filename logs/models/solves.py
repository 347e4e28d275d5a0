"""Solves and the cases met in them: the row as it was logged, and its labels.

Labels are a pure function of the row, the engine's version and the book's: they can be thrown away
and rebuilt. Durations are whole milliseconds; null is what the row cannot tell.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from cubecore.cases import SKIP, EdgeStep, PermutationStep, Stage
from cubecore.looks import MisfireKind, Outcome
from cubecore.replay import Kind, Reason, Status
from cubecore.rows import MAX_TIME_MS, Penalty
from logs.models.uploads import Upload

_STATUS_OF_PENALTY = {
    Penalty.NONE: Status.SOLVED,
    Penalty.PLUS_TWO: Status.PLUS_TWO,
    Penalty.DNF: Status.DNF,
}


def _any_of(field: str, *names: str) -> Q:
    return Q(**{f"{field}__in": [str(name) for name in names]})


def _both_or_neither(first: str, second: str) -> Q:
    return Q(**{f"{first}__isnull": True, f"{second}__isnull": True}) | Q(
        **{f"{first}__isnull": False, f"{second}__isnull": False}
    )


def _status_fits_penalty() -> Q:
    fits = Q()
    for penalty, status in _STATUS_OF_PENALTY.items():
        fits |= Q(penalty=str(penalty), status=str(status))
    return fits


class Solve(models.Model):
    """One row of a log.

    ``key`` tells one solve from another (`logs.services.labels.solve_key`); ``time_ms`` is the
    timer's reading; ``pair_ms`` holds when 1 to 4 pairs were home. ``scramble_turns``,
    ``solution_turns`` and ``turn_gaps`` are the texts' content as labels need it
    (`cubecore.compact.CompactRow`); all null in a row older than they are, until it is labelled anew.
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
    done_at = models.DateTimeField(null=True)
    note = models.TextField(blank=True)

    scramble_turns = models.BinaryField(null=True)
    solution_turns = models.BinaryField(null=True)
    turn_gaps = models.BinaryField(null=True)

    status = models.CharField(max_length=10)
    kind = models.CharField(max_length=10, blank=True)
    cross = models.CharField(max_length=10, blank=True)
    reason = models.CharField(max_length=30, blank=True)
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
                name="solve_kind_needs_solution",
                condition=Q(solution="", kind="", turn_ms="") | (~Q(solution="") & ~Q(kind="")),
            ),
            models.CheckConstraint(
                name="solve_turns_whole",
                condition=Q(solution_turns__isnull=True, turn_gaps__isnull=True)
                | Q(scramble_turns__isnull=False, solution_turns__isnull=False),
            ),
        )
        indexes = (models.Index(fields=("member", "done_at", "id"), name="solve_by_time"),)

    def __str__(self) -> str:
        return f"solve {self.pk}"


class Sighting(models.Model):
    """One case met in one solve, and what was done about it.

    ``case`` is the OLL number or the PLL letters as text, or ``skip``. ``algorithm`` is that of the
    look that reached the stage's goal, else of the first; empty when there was no look.
    ``misfire_kind`` and ``misfire_case`` are of the first misfire that could be named. ``looks``
    holds `cubecore.jsonlines.look_json` of each look.
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
                | (_any_of("misfire_kind", *MisfireKind) & ~Q(misfire_case="")),
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
