"""Which solves the house drew to be written down, and which were written down by hand."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q


class Draw(models.Model):
    """A draw from a member's solves that had a time and no solution then.

    `logs.solves.figures.sampling` makes the places from ``seed`` and the numbers of the solves alone.

    Attributes:
        since: The first day of those solves, as ``zone`` has days; null for all, undated ones too.
        n_parts: Parts of neighbouring solves; each round draws one of each.
        n_solves: Solves that were drawn from.
        last_number: The largest number of a solve then: later ones were not drawn from.
        n_rounds: Rounds asked for so far; ``places`` holds those that may come after, too, so that
            nothing written meanwhile can change them.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="draws"
    )
    since = models.DateField(null=True)
    zone = models.CharField(max_length=50)
    seed = models.BigIntegerField()
    n_parts = models.PositiveSmallIntegerField()
    n_solves = models.PositiveIntegerField()
    last_number = models.BigIntegerField()
    n_rounds = models.PositiveSmallIntegerField(default=1)
    drawn_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="draw_not_of_nothing",
                condition=Q(n_parts__gte=1, n_rounds__gte=1, n_solves__gte=F("n_parts")),
            ),
        )

    def __str__(self) -> str:
        return f"draw {self.pk}"


class DrawnSolve(models.Model):
    """A solve's place in a draw.

    Attributes:
        solve_number: The solve; it may have left the log since.
        part: Of which part, from 1.
        n_in_part: Solves of that part.
        round: In which round, from 1.
    """

    draw = models.ForeignKey(Draw, on_delete=models.CASCADE, related_name="places", db_index=False)
    solve_number = models.BigIntegerField()
    part = models.PositiveSmallIntegerField()
    n_in_part = models.PositiveIntegerField()
    round = models.PositiveSmallIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("draw", "round", "part"), name="drawn_solve_place_once"
            ),
            models.UniqueConstraint(fields=("draw", "solve_number"), name="drawn_solve_once"),
            models.CheckConstraint(
                name="drawn_solve_round_in_part", condition=Q(round__lte=F("n_in_part"))
            ),
        )

    def __str__(self) -> str:
        return f"solve {self.solve_number} of draw {self.draw_id}"


class WrittenSolve(models.Model):
    """A solve whose solution its member wrote down by hand: chosen, unless a draw asked for it."""

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", db_index=False
    )
    solve_number = models.BigIntegerField()
    at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "solve_number"), name="written_solve_once"),
        )

    def __str__(self) -> str:
        return f"solve {self.solve_number}"
