"""The link of a case's time leads to the solves that the time counts, in one look or in more."""

import random

import pytest

from cubecore.cases import Stage
from cubecore.results import Kind
from logs.progress.figures.log import stage_figures, table_of
from logs.solves.selectors.frames import sighting_frame
from logs.solves.selectors.solves import Behind, solve_list
from tests.factories import make_upload, make_user
from tests.logs.solves.test_tallies import random_row

pytestmark = pytest.mark.django_db


def timed_behind(member, case: str, behind: Behind) -> list[int]:
    """The timed OLL sightings on the page that the link of a case leads to, by number."""
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
    return [
        one.pk
        for one in sightings
        if one.recognition_ms is not None and one.execution_ms is not None
    ]


@pytest.mark.parametrize(
    ("name", "behind"), [("one", Behind.ONE_LOOK_TIMES), ("more", Behind.MORE_LOOK_TIMES)]
)
def test_the_link_of_a_time_leads_to_the_solves_it_counts(name: str, behind: Behind):
    rng = random.Random(11)
    member = make_user()
    make_upload(member, [random_row(rng) for _ in range(80)])
    sightings = sighting_frame(actor=member, member=member)
    figures = stage_figures(sightings, Stage.OLL)
    table = table_of(figures["times"][name]["table"]).set_index("case")
    numbers = {case: timed_behind(member, case, behind) for case in table.index}
    assert {case: len(some) for case, some in numbers.items()} == table["n_timed"].to_dict()
    assert sum(map(len, numbers.values())) > 1
