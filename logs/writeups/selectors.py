"""What the actor is writing down, and which of their solves have no solution yet."""

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.solves.models.solves import Solve
from logs.writeups.models import Writeup

LISTED = 20
"""Drafts, and solves without a solution, that the page lists."""


def writeup_list(*, actor: User) -> list[Writeup]:
    """What the actor has begun, the latest first."""
    if not actor.is_active:
        return []
    begun = Writeup.objects.filter(member=actor).select_related("solve")
    return list(begun.order_by("-changed_at", "-id")[:LISTED])


def writeup_get(*, actor: User, writeup_id: int) -> Writeup:
    """One of them.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    own = Writeup.objects.filter(member=actor, pk=writeup_id).select_related("solve").first()
    if own is None or not actor.is_active:
        raise NotFoundError("writeup")
    return own


def unwritten_list(*, actor: User) -> list[Solve]:
    """The actor's newest solves without a solution."""
    unwritten = Solve.objects.filter(member=actor, solution="")
    return list(unwritten.order_by("-done_at", "-id")[:LISTED])


def unwritten_get(*, actor: User, solve_id: int) -> Solve:
    """One of the actor's solves without a solution.

    Raises:
        NotFoundError: There is none, it has one, or it is somebody else's.
    """
    solve = Solve.objects.filter(member=actor, pk=solve_id, solution="").first()
    if solve is None or not actor.is_active:
        raise NotFoundError("solve")
    return solve
