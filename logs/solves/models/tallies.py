"""Counts beside the sightings, so that a page over a whole club reads a row for each case.

A pure function of the member's sightings: `logs.solves.services.tallies` writes them in the transaction
that changes a log, and rebuilds them all from nothing.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from cubecore.cases import Stage
from cubecore.results import Kind
from cubecore.rows import TimedBy
from logs.solves.figures.mistakes import MistakeKind
from logs.solves.figures.sampling import Basis
from logs.solves.figures.standing import RECENT

_KINDS = [Kind.SOLVE.value, Kind.DRILL.value]


_STAGES = [stage.value for stage in Stage]


class SightingSums(models.Model):
    """What is added up of sightings of one case.

    Attributes:
        n: Times the case came up; the skip has a tally too.
        n_looked: Those in which a look was made.
        n_one_look: Those that went in one look.
        n_timed: One-look sightings with both times above 0; the six sums are theirs, of ln(ms), its
            square, and ms.
    """

    n = models.PositiveIntegerField()
    n_looked = models.PositiveIntegerField()
    n_one_look = models.PositiveIntegerField()
    n_timed = models.PositiveIntegerField()
    recognition_log_sum = models.FloatField(default=0.0)
    recognition_log_squares = models.FloatField(default=0.0)
    recognition_ms_sum = models.PositiveBigIntegerField(default=0)
    execution_log_sum = models.FloatField(default=0.0)
    execution_log_squares = models.FloatField(default=0.0)
    execution_ms_sum = models.PositiveBigIntegerField(default=0)

    class Meta:
        abstract = True


class CaseTally(SightingSums):
    """A member's sightings of one case, in solves or in drills: those of its weeks together.

    Attributes:
        recent: The newest looked-at sightings, oldest first, as `logs.solves.figures.standing` reads it.
        last_met_at: When it last came up; null when no such solve has a date.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="case_tallies",
        db_index=False,
    )
    kind = models.CharField(max_length=10)
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    recent = models.CharField(max_length=RECENT, blank=True)
    last_met_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("member", "kind", "stage", "case"), name="case_tally_once"
            ),
            models.CheckConstraint(
                name="case_tally_counts_fit",
                condition=Q(n__gte=1)
                & Q(n_looked__lte=F("n"))
                & Q(n_one_look__lte=F("n_looked"))
                & Q(n_timed__lte=F("n_one_look")),
            ),
            models.CheckConstraint(name="case_tally_kind_known", condition=Q(kind__in=_KINDS)),
            models.CheckConstraint(name="case_tally_stage_known", condition=Q(stage__in=_STAGES)),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}: {self.n}"


class CaseWeekTally(SightingSums):
    """A member's sightings of one case in one week.

    Attributes:
        week: Its Monday in UTC (ISO 8601); null for sightings without a date.
        part: Of those, which range of solves' numbers (`logs.solves.figures.counts.When`); else 0.
        recognition: Sketch of the recognition of the timed ones, as
            `logs.stats.sketch.Sketch.to_bytes` gives it.
        execution: Sketch of their execution.
        looks: Its looked-at sightings in the order of time, as `logs.solves.figures.standing` reads
            them.
        looked_at_us: When each of these was, in microseconds since 1970; null without a date.
        slips: The looks that may be mistakes, each as its place in ``looks``, the three fields of a
            `logs.solves.figures.mistakes.Mistake` and the other of a ``FirstLook``.
        last_met_at: When the case last came up in it; null for sightings without a date.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="case_week_tallies",
        db_index=False,
    )
    kind = models.CharField(max_length=10)
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    week = models.DateField(null=True)
    part = models.PositiveBigIntegerField(default=0)
    recognition = models.BinaryField(default=bytes)
    execution = models.BinaryField(default=bytes)
    looks = models.TextField(blank=True)
    looked_at_us = models.JSONField(default=list)
    slips = models.JSONField(default=list)
    last_met_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("member", "kind", "stage", "case", "week"), name="case_week_tally_once"
            ),
            models.UniqueConstraint(
                fields=("member", "kind", "stage", "case", "part"),
                condition=Q(week=None),
                name="case_week_tally_undated_once",
            ),
            models.CheckConstraint(
                name="case_week_tally_counts_fit",
                condition=Q(n__gte=1)
                & Q(n_looked__lte=F("n"))
                & Q(n_one_look__lte=F("n_looked"))
                & Q(n_timed__lte=F("n_one_look")),
            ),
            models.CheckConstraint(name="case_week_tally_kind_known", condition=Q(kind__in=_KINDS)),
            models.CheckConstraint(
                name="case_week_tally_stage_known", condition=Q(stage__in=_STAGES)
            ),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}, {self.week}: {self.n}"


class WeekTally(models.Model):
    """A member's solves of one week, or their drills.

    Attributes:
        kind: ``solve`` for those without a solution too.
        week: Its Monday in UTC (ISO 8601); null for those without a date.
        part: Of those, which range of solves' numbers (`logs.solves.figures.counts.When`); else 0.
        n: How many, DNFs too.
        n_timed: Those that counted and of which both stages of the last layer are timed.
        last_layer_ms_sum: Sum of their last layers, recognition and execution of both stages.
        last_layer: Sketch of the same, as `logs.stats.sketch.Sketch.to_bytes` gives it.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="week_tallies",
        db_index=False,
    )
    kind = models.CharField(max_length=10)
    week = models.DateField(null=True)
    part = models.PositiveBigIntegerField(default=0)
    n = models.PositiveIntegerField()
    n_timed = models.PositiveIntegerField()
    last_layer_ms_sum = models.PositiveBigIntegerField(default=0)
    last_layer = models.BinaryField(default=bytes)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "kind", "week"), name="week_tally_once"),
            models.UniqueConstraint(
                fields=("member", "kind", "part"),
                condition=Q(week=None),
                name="week_tally_undated_once",
            ),
            models.CheckConstraint(
                name="week_tally_counts_fit", condition=Q(n__gte=1) & Q(n_timed__lte=F("n"))
            ),
            models.CheckConstraint(name="week_tally_kind_known", condition=Q(kind__in=_KINDS)),
        )

    def __str__(self) -> str:
        return f"{self.week}: {self.n}"


class MixUpTally(models.Model):
    """How often a member did something else where one case was shown, told by the first look.

    Attributes:
        shown: The case that came up.
        done: The case whose algorithm was made; ``shown`` itself for a wrong hold.
        done_stage: Its stage: an OLL's algorithm may be made where a PLL was shown.
        misfire_kind: A `MistakeKind`.
        n: How often it counts; 0 where the case was never known, so that it was a step.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="mix_up_tallies",
        db_index=False,
    )
    kind = models.CharField(max_length=10)
    stage = models.CharField(max_length=3)
    shown = models.CharField(max_length=4)
    done_stage = models.CharField(max_length=3)
    done = models.CharField(max_length=4)
    misfire_kind = models.CharField(max_length=10)
    n = models.PositiveIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("member", "kind", "stage", "shown", "done_stage", "done", "misfire_kind"),
                name="mix_up_tally_once",
            ),
            models.CheckConstraint(name="mix_up_tally_kind_known", condition=Q(kind__in=_KINDS)),
            models.CheckConstraint(
                name="mix_up_tally_stage_known",
                condition=Q(stage__in=_STAGES, done_stage__in=_STAGES),
            ),
            models.CheckConstraint(
                name="mix_up_tally_misfire_known",
                condition=Q(misfire_kind__in=[kind.value for kind in MistakeKind]),
            ),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.shown} as {self.done}: {self.n}"


class CoverageTally(models.Model):
    """A member's coverage of one stage in solves, as `logs.solves.figures.standing` makes it.

    Kept because its prior is fitted to the member's own counts, which takes longer than a page over
    a whole club may. The newest ``RECENT`` looks of each case count. All shares are 0..1.

    Attributes:
        basis: What kind of rows it is made of (`logs.solves.figures.sampling.Basis`).
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="coverage_tallies",
        db_index=False,
    )
    stage = models.CharField(max_length=3)
    n_looks = models.PositiveIntegerField()
    n_cases_met = models.PositiveSmallIntegerField()
    covered = models.FloatField()
    low = models.FloatField()
    high = models.FloatField()
    not_covered = models.FloatField()
    never_met = models.FloatField()
    basis = models.CharField(max_length=10, default=Basis.LOGGED.value)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "stage"), name="coverage_tally_once"),
            models.CheckConstraint(
                name="coverage_tally_basis_known",
                condition=Q(basis__in=[basis.value for basis in Basis]),
            ),
            models.CheckConstraint(
                name="coverage_tally_stage_known", condition=Q(stage__in=_STAGES)
            ),
            models.CheckConstraint(
                name="coverage_tally_band_in_order", condition=Q(low__lte=F("high"))
            ),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()}: {self.covered:.3f}"


class LogVersion(models.Model):
    """How often a member's log or its labels changed; no row before the first change.

    Every service that changes sightings raises it in its own transaction, so that a figure kept
    under one version is never shown for another.

    Attributes:
        instrument: What the times that count are taken with (`logs.solves.figures.instruments`).
    """

    member = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="log_version",
        primary_key=True,
    )
    version = models.PositiveBigIntegerField(default=1)
    instrument = models.CharField(max_length=10, default=TimedBy.SENSOR.value)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="log_version_instrument_known",
                condition=Q(instrument__in=[instrument.value for instrument in TimedBy]),
            ),
        )

    def __str__(self) -> str:
        return f"version {self.version}"
