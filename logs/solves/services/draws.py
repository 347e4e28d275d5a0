"""Draw which solves to write down, ask for more of a draw, note what was written down by hand."""

import secrets
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from clubsite.accounts.models import User
from logs.errors import ConflictError
from logs.limits import DRAWN_AT_ONCE
from logs.people.locks import lock_log
from logs.solves.figures.sampling import draw_places
from logs.solves.models.draws import Draw, DrawnSolve, WrittenSolve
from logs.solves.models.solves import Solve
from logs.solves.selectors.draws import draw_get, undrawn
from logs.solves.services.tallies import rates_changed

MAX_PLACES = 200
"""Solves of one draw, over all its rounds."""

MAX_DRAWS = 100
"""Draws of one member."""

USUAL = 5
"""Solves of a draw where nobody says how many."""

SEED_BITS = 53
"""So that a program in any language can read a seed as a number."""


def new_seed() -> int:
    """A seed that nobody can know before."""
    return secrets.randbits(SEED_BITS)


@transaction.atomic
def draw_add(
    *, actor: User, n_wanted: int, since: date | None, zone: ZoneInfo, seed: int, now: datetime
) -> Draw:
    """Draw from the actor's solves that have a time alone and that nothing was drawn from so far.

    Args:
        actor: Whose solves.
        n_wanted: How many to write down, within `logs.limits.DRAWN_AT_ONCE`; of fewer solves, all.
        since: Only those done on this day or later; None for all.
        zone: Says when a day begins.
        seed: What the draw is made from; nobody may know it before.
        now: When.

    Raises:
        ConflictError: There is nothing to draw from, or there are too many draws.
    """
    lock_log(actor.pk)
    if Draw.objects.filter(member=actor).count() >= MAX_DRAWS:
        raise ConflictError(f"You have {MAX_DRAWS} draws: there can be no more.")
    numbers = list(undrawn(member_id=actor.pk, since=since, zone=zone).values_list("pk", flat=True))
    if not numbers:
        when = "" if since is None else f" since {since.isoformat()}"
        raise ConflictError(
            f"There is no solve with a time alone{when} that was not drawn from before."
            " Add a log first, or ask an earlier draw for more."
        )
    low, high = DRAWN_AT_ONCE
    n_parts = min(max(n_wanted, low), high, len(numbers))
    places = draw_places(
        numbers, n_parts=n_parts, n_rounds=max(1, MAX_PLACES // n_parts), seed=seed
    )
    newest = Solve.objects.filter(member=actor).order_by("-pk").values_list("pk", flat=True)
    draw = Draw.objects.create(
        member=actor,
        since=since,
        zone=zone.key,
        seed=seed,
        n_parts=n_parts,
        n_solves=len(numbers),
        last_number=newest[0],
        drawn_at=now,
    )
    DrawnSolve.objects.bulk_create(
        DrawnSolve(
            draw=draw,
            solve_number=place.number,
            part=place.part,
            n_in_part=place.n_in_part,
            round=place.round,
        )
        for place in places
    )
    rates_changed(member_id=actor.pk)
    return draw


@transaction.atomic
def draw_extend(*, actor: User, draw_id: int) -> Draw:
    """Ask for the next round of a draw: one more solve of each part.

    Raises:
        NotFoundError: There is no such draw of the actor's.
        ConflictError: No whole round is left.
    """
    lock_log(actor.pk)
    draw = draw_get(actor=actor, draw_id=draw_id)
    if draw.places.filter(round=draw.n_rounds + 1).count() < draw.n_parts:
        raise ConflictError("This draw has no whole round left: draw anew from newer solves.")
    draw.n_rounds += 1
    draw.save(update_fields=["n_rounds"])
    rates_changed(member_id=actor.pk)
    return draw


def written_note(*, member_id: int, solve_number: int, now: datetime) -> None:
    """Note that a solve's solution was written down by hand.

    Call it in the transaction that stores the solution, before the tallies are counted.
    """
    WrittenSolve.objects.get_or_create(
        member_id=member_id, solve_number=solve_number, defaults={"at": now}
    )
