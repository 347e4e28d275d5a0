"""Which algorithms are used for a case, by how many, how often and how fast."""

from typing import Final, NamedTuple

import pandas as pd

from logs.stats.distributions import MedianBand, median_band

USE_COLUMNS: Final = {
    "member_id": "int64",
    "algorithm": "str",
    "recognition_ms": "float64",
    "execution_ms": "float64",
}


TIMES: Final = ["recognition_ms", "execution_ms"]


class AlgorithmUse(NamedTuple):
    """How an algorithm was used in one look.

    Attributes:
        algorithm: As the labels spell it.
        n: How often.
        n_members: By how many.
        recognition: Median over the members' medians of theirs, in ms, with its band; so that who
            logs most does not speak for all. Of one member, over their times.
        execution: As ``recognition``.
        n_timed: How many of the times were clocked.
        timed_members: Whose those times are, by number.
    """

    algorithm: str
    n: int
    n_members: int
    recognition: MedianBand
    execution: MedianBand
    n_timed: int
    timed_members: tuple[int, ...]


def algorithm_use(sightings: pd.DataFrame) -> list[AlgorithmUse]:
    """The algorithms of ``sightings``, the most used first, then by their text.

    Args:
        sightings: ``USE_COLUMNS`` frame of one case's sightings in one look; NaN for untimed ones.
    """
    uses = [
        AlgorithmUse(
            algorithm=str(name),
            n=len(group),
            n_members=int(group["member_id"].nunique()),
            recognition=_of_members(group, "recognition_ms"),
            execution=_of_members(group, "execution_ms"),
            n_timed=int(group["execution_ms"].notna().sum()),
            timed_members=tuple(
                int(member)
                for member in sorted(set(group.dropna(how="all", subset=TIMES)["member_id"]))
            ),
        )
        for name, group in sightings.groupby("algorithm", sort=False)
    ]
    return sorted(uses, key=lambda use: (-use.n, use.algorithm))


def _of_members(group: pd.DataFrame, column: str) -> MedianBand:
    timed = group.dropna(subset=[column])
    if len(set(timed["member_id"])) > 1:
        return median_band(timed.groupby("member_id")[column].median())
    return median_band(timed[column])
