"""A figure's link leads to the sightings it is made of: they alone make it again."""

import random

import pandas as pd
import pytest

from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.progress.figures.log import stage_figures, table_of
from logs.solves.selectors.frames import sighting_frame
from logs.solves.selectors.solves import Behind, solve_list
from logs.stats.grid import pooled_times
from logs.stats.pooling import case_sums
from tests.factories import make_upload, make_user
from tests.logs.solves.test_tallies import random_row

pytestmark = pytest.mark.django_db


def times_behind(member, case: str, behind: Behind) -> list[int]:
    """Stage times of the OLL sightings on the page that the link of a case leads to."""
    solves = solve_list(
        actor=member,
        member=member,
        page_size=1_000,
        kind=Kind.SOLVE,
        stage=Stage.OLL,
        case=case,
        behind=behind,
    )
    sightings = [one for solve in solves for one in solve.sightings.all() if one.stage == "oll"]
    times = [(one.recognition_ms, one.execution_ms) for one in sightings]
    return [first + rest for first, rest in times if first is not None and rest is not None]


@pytest.mark.parametrize(
    ("name", "behind"), [("all", Behind.TIMES), ("one", Behind.ONE_LOOK_TIMES)]
)
def test_the_solves_behind_every_time_make_it_again(name: str, behind: Behind):
    rng = random.Random(11)
    member = make_user()
    make_upload(member, [random_row(rng) for _ in range(80)])
    figures = stage_figures(sighting_frame(actor=member, member=member), Stage.OLL)
    table = table_of(figures["times"][name]["table"]).set_index("case")
    times = {case: times_behind(member, case, behind) for case in table.index}
    assert {case: len(some) for case, some in times.items()} == table["n_timed"].to_dict()
    index = [case for case, some in times.items() for _ in some]
    pooled = pooled_times(
        case_sums(pd.Series([ms for some in times.values() for ms in some], index))
    )
    assert pooled is not None
    assert len(pooled.cases) > 1
    again = pooled.table()
    for end in ("", "_low", "_high"):
        shown = table.loc[again.index, f"stage{end}_ms"].to_numpy()
        made = again[f"{end[1:] or 'centre'}_ms"].to_numpy()
        assert shown == pytest.approx(made, rel=1e-9)
