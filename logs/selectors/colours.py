"""The colours a member solves with."""

from typing import TYPE_CHECKING

from django.db.models import Count

from cubecore.replay import Kind
from cubecore.turns import Face
from logs.models import Solve

if TYPE_CHECKING:
    from clubsite.accounts.models import User

_OPPOSITE = {
    face.colour: other.colour
    for face in Face
    for other in Face
    if face != other and face % 3 == other % 3
}
USUAL = "yellow"
"""The last layer of who begins with a white cross, as most do (common practice, no source)."""


def usual_last_colour(*, actor: "User") -> str:
    """The colour of the last layer in most of the actor's solves; yellow for want of any."""
    crosses = Solve.objects.filter(member=actor, kind=Kind.SOLVE).exclude(cross="")
    most = crosses.values_list("cross").annotate(n=Count("id")).order_by("-n", "cross").first()
    return USUAL if most is None else _OPPOSITE[most[0]]
