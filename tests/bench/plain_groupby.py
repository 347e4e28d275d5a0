"""What a page over a whole club would do with no tallies: read every sighting, group it by pandas."""

import pandas as pd
from django.db import connection

from cubecore.results import Kind

COLUMNS = ("member", "stage", "case", "n_looks", "is_one_look", "recognition_ms", "execution_ms")
_READ = """
    SELECT sighting.member_id, sighting.stage, sighting."case", sighting.n_looks,
           sighting.is_one_look, sighting.recognition_ms, sighting.execution_ms
    FROM logs_sighting AS sighting JOIN logs_solve AS solve ON solve.id = sighting.solve_id
    WHERE solve.kind = %s
"""


def sighting_rows() -> pd.DataFrame:
    """The sightings of everybody's solves as ``COLUMNS``, by one plain query."""
    with connection.cursor() as cursor:
        cursor.execute(_READ, [Kind.SOLVE.value])
        rows = pd.DataFrame.from_records(cursor.fetchall(), columns=COLUMNS)
    return rows.astype({"is_one_look": "bool"})


def grouped(rows: pd.DataFrame) -> pd.DataFrame:
    """By member, stage and case: sightings, those looked at, those in one look, mean times in ms."""
    counted = rows.assign(is_looked=rows["n_looks"] > 0)
    return counted.groupby(["member", "stage", "case"]).agg(
        n=("n_looks", "size"),
        n_looked=("is_looked", "sum"),
        n_one_look=("is_one_look", "sum"),
        recognition_ms=("recognition_ms", "mean"),
        execution_ms=("execution_ms", "mean"),
    )
