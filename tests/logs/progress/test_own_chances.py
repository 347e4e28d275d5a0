"""Cases weighed by a member's own counts, where those do not fit chance."""

import pytest

from cubecore.cases import SKIP, Stage
from logs.progress.figures.log import stage_figures
from tests.logs.stats.build import sightings

MET: dict[str, object] = {"case": "27"}
SKIPPED: dict[str, object] = {"case": SKIP, "n_looks": 0}
SUNES = sightings(*[MET] * 90, *[SKIPPED] * 10)
ALIKE = ["oriented"] * 100  # one last layer in eight has its edges so, by chance
BY_CHANCE = ["dot"] * 12 + ["bar"] * 25 + ["angle"] * 50 + ["oriented"] * 13


@pytest.mark.parametrize(
    ("edge_steps", "chance"),
    [
        # 90 of 100 came up as a Sune, and the theory (4 in 216) is worth 216 solves.
        (ALIKE, (90 + 216 * 4 / 216) / (100 + 216)),
        (BY_CHANCE, 4 / 216),
    ],
)
def test_under_the_alarm_a_case_is_weighed_as_often_as_it_came_up(edge_steps, chance):
    figures = stage_figures(SUNES, Stage.OLL, edge_steps=edge_steps)
    assert (figures["alarm"] is not None) == (edge_steps is ALIKE)
    # Of what comes up, all but the cases met and the skip was never met.
    skip = 1 / 216 if edge_steps is BY_CHANCE else (10 + 1) / (100 + 216)
    assert figures["coverage"]["never_met"] == pytest.approx(1 - chance - skip)


def test_skips_that_chance_did_not_draw_are_no_chance():
    """Five of the ten skips were made by the last pair: ninety-five last layers are left."""
    figures = stage_figures(SUNES, Stage.OLL, edge_steps=ALIKE[:95])
    met = (90 + 4 + 5 + 1) / (95 + 216)
    assert figures["coverage"]["never_met"] == pytest.approx(1 - met)
