"""A case in drills: counted apart from solves, with how much longer solves take."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from cubecore.replay import Kind
from logs.analytics.robust import median_band
from logs.analytics.transfer import BAND, Transfer, transfer
from logs.reports.words import average, band, solves
from logs.selectors.frames import sighting_frame

if TYPE_CHECKING:
    from clubsite.accounts.models import User


@dataclass(frozen=True, slots=True)
class CaseDrills:
    """What a member's drills of a case say.

    Attributes:
        n: Times met in drills.
        n_one_look: Of those in one look.
        n_timed: Of those with a time.
        time: Median of recognition and execution together, s.
        time_band: Its range.
        band_held_pct: How often in 100 such a range holds the true median.
        gap: How much longer the case takes in solves, as a sentence; empty without both.
    """

    n: int
    n_one_look: int
    n_timed: int
    time: str
    time_band: str
    band_held_pct: int
    gap: str


def case_drills(
    *, actor: "User", met_in_solves: pd.DataFrame, stage: str, number: str
) -> CaseDrills:
    """The actor's drills of a case, beside its ``SIGHTING_COLUMNS`` frame of solves."""
    drills = sighting_frame(actor=actor, member=actor, kind=Kind.DRILL)
    met = drills[(drills["stage"] == stage) & (drills["case"] == number)]
    whole = _one_look_ms(met)
    median = median_band(whole)
    return CaseDrills(
        n=len(met),
        n_one_look=int(met["is_one_look"].sum()),
        n_timed=median.n,
        time=average(median.median),
        time_band=band(median.low, median.high),
        band_held_pct=round(100 * median.held),
        gap=gap_words(transfer(whole, _one_look_ms(met_in_solves))),
    )


def _one_look_ms(met: pd.DataFrame) -> pd.Series:
    """Recognition and execution of the sightings in one look; NaN without times."""
    one_look = met[met["is_one_look"]]
    whole = one_look["recognition_ms"] + one_look["execution_ms"]
    return whole.where(whole > 0)


def gap_words(gap: Transfer | None) -> str:
    """How much longer solves take than drills, with its counts and its range."""
    if gap is None:
        return ""
    drills = f"{gap.n_drills} drill{'s' if gap.n_drills != 1 else ''}"
    counts = f"from {drills} and {solves(gap.n_solves)} in one look"
    if gap.low is None or gap.high is None:
        return f"Too few yet to say how drills and solves differ: {counts}."
    return (
        f"In solves it takes {gap.ratio:.2f} times as long as in drills, {counts};"
        f" {BAND * 100:.0f} times in 100 such a range, {gap.low:.2f} to {gap.high:.2f}, holds the truth."
    )
