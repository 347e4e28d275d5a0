"""Everything a member turned, solves and drills alike, for how much they practise."""

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

import pandas as pd
from django.db.models import Case, F, TextField, Value, When
from django.db.models.functions import Length

from cubecore.cases import EdgeStep, Stage
from cubecore.notation import parse_script
from cubecore.replay import Kind
from logs.analytics.frames import build_frame
from logs.models import Sighting, Solve
from logs.selectors.clubs import check_sight

if TYPE_CHECKING:
    from clubsite.accounts.models import User

ATTEMPT_COLUMNS: Mapping[str, str] = {
    "done_at": "datetime64[ns, UTC]",
    "active_ms": "float64",
    "n_turns": "int64",
}
"""One solve or drill on a line, oldest first; ``active_ms`` is the timer's reading, of DNFs too,
``n_turns`` the outer turns of its solution, 0 without one."""


def attempt_frame(*, actor: "User", member: "User", since: datetime) -> pd.DataFrame:
    """The member's dated attempts since a moment as ``ATTEMPT_COLUMNS``.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    unread = Case(
        When(solution_turns=None, then=F("solution")), default=Value(""), output_field=TextField()
    )
    rows = (
        Solve.objects.filter(member=member, done_at__gte=since)
        .order_by("done_at", "id")
        .values_list("done_at", "time_ms", Length("solution_turns"), unread)
    )
    return build_frame(
        ATTEMPT_COLUMNS,
        [
            (at, time_ms, len(parse_script(text).turns) if text else n or 0)
            for at, time_ms, n, text in rows
        ],
    )


def edge_steps(*, actor: "User", member: "User") -> list[str]:
    """How the last layer's edges lay at each OLL of the member's solves, skips too.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    met = Sighting.objects.filter(member=member, stage=Stage.OLL, solve__kind=Kind.SOLVE)
    return [EdgeStep(step).value for step in met.values_list("edge_step", flat=True)]
