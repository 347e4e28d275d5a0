"""Small frames for the tests of analytics."""

import pandas as pd

from logs.solves.figures.frames import SIGHTING_COLUMNS, SOLVE_COLUMNS, build_frame

SIGHTING: dict[str, object] = {
    "sighting_id": 1,
    "solve_id": 1,
    "done_at": None,
    "stage": "oll",
    "case": "27",
    "angle": 0,
    "is_one_look": True,
    "n_looks": 1,
    "first_outcome": "finished",
    "recognition_ms": 500.0,
    "execution_ms": 1000.0,
    "algorithm": "R U R' U R U2 R'",
    "misfire_kind": "",
    "misfire_case": "",
    "step_ms": None,
}
SOLVE: dict[str, object] = {
    "solve_id": 1,
    "done_at": None,
    "status": "solved",
    "kind": "solve",
    "time_ms": 20_000.0,
    "cross_ms": 3_000.0,
    "f2l_ms": 13_000.0,
    "oll_recognition_ms": 1_000.0,
    "oll_execution_ms": 2_000.0,
    "pll_recognition_ms": 800.0,
    "pll_execution_ms": 2_200.0,
    "final_auf_ms": 500.0,
}


def sightings(*rows: dict[str, object]) -> pd.DataFrame:
    """A ``SIGHTING_COLUMNS`` frame: `SIGHTING` with each of ``rows`` on top."""
    return build_frame(SIGHTING_COLUMNS, [list((SIGHTING | row).values()) for row in rows])


def solves(*rows: dict[str, object]) -> pd.DataFrame:
    """A ``SOLVE_COLUMNS`` frame: `SOLVE` with each of ``rows`` on top."""
    return build_frame(SOLVE_COLUMNS, [list((SOLVE | row).values()) for row in rows])
