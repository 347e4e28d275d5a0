"""Algorithm books: a club's, for those in it, and the one a member's log is labelled by."""

import pandas as pd

from clubsite.accounts.models import User
from cubecore.cases import CaseId
from cubecore.results import Kind
from logs.book.figures import USE_COLUMNS
from logs.people.models import Club
from logs.people.sight import visible_memberships
from logs.solves.figures.frames import build_frame
from logs.solves.models.solves import Sighting
from logs.solves.selectors.alike import alike_time


def algorithm_use_frame(*, actor: User, club: Club, case: CaseId) -> pd.DataFrame:
    """The one-look sightings of ``case`` in solves as a ``USE_COLUMNS`` frame.

    Of the members of ``club`` whose logs ``actor`` may read.
    """
    members = visible_memberships(actor).filter(club=club).values("user")
    sightings = Sighting.objects.filter(
        member__in=members,
        stage=case.stage.value,
        case=str(case.number),
        is_one_look=True,
        solve__kind=Kind.SOLVE,
    )
    rows = sightings.order_by("id").values_list(
        "member_id",
        "algorithm",
        alike_time("recognition_ms", "solve__"),
        alike_time("execution_ms", "solve__"),
    )
    return build_frame(USE_COLUMNS, rows)
