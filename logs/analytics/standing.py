"""Where a member stands with a case: unmet, two-look, one-look or fluent. The one rule of it.

Two-look or one-look is told by the latest looks in their order, so that a case learnt in May is not
held to what was done in March: the two-state view of `logs.analytics.knowledge` (Corbett and
Anderson 1995), with its published-style rates, over the newest ``RECENT`` sightings in solves.
"""

from enum import StrEnum
from functools import lru_cache
from math import exp
from statistics import median

from logs.analytics.knowledge import knowing
from logs.analytics.words import LIKELY

RECENT = 24
"""So many of the newest sightings of a case tell its standing."""
HIT, MISS = "1", "0"
FORGOTTEN = MISS * 3
"""After so many misses in a row what was known before them no longer counts: somebody who knows a
case slips once in ten looks, so three times running once in a thousand. The model itself, which has
no forgetting, would go on believing a long row of hits."""
FLUENT_FROM = 3
"""So many timed one-look sightings must stand behind "fluent"."""
TARGET_CASES = 3
"""From so many timed one-look cases on a member has a pace to set a target by."""
TARGET_FACTOR = 1.25
"""The target where the club has set none: so many times the member's usual recognition."""


class Standing(StrEnum):
    """Where a member stands with a case, from their solves alone; nobody ticks it."""

    UNMET = "unmet"
    TWO_LOOK = "two-look"
    ONE_LOOK = "one-look"
    FLUENT = "fluent"


@lru_cache(maxsize=1 << 16)
def chance_known(recent: str) -> float:
    """The chance, 0..1, that the case now goes in one look as a rule.

    Args:
        recent: The newest looked-at sightings, oldest first: ``"1"`` for one that went in one
            look, ``"0"`` for one that did not, misfires included. Of none: 0.
    """
    if not recent:
        return 0.0
    since = recent[max(0, recent.rfind(FORGOTTEN)) :]
    return knowing(look == HIT for look in since)[-1]


def standing(
    recent: str,
    *,
    n_timed: int = 0,
    recognition_ms: float | None = None,
    target_ms: float | None = None,
) -> Standing:
    """The standing of one case.

    Unmet: no look was ever made at it in a solve. One-look: it is at least likely (0.66) that it
    goes in one look. Fluent: one-look, and the typical recognition of at least ``FLUENT_FROM`` timed
    one-look sightings is within the target.

    Args:
        recent: As for `chance_known`.
        n_timed: Timed one-look sightings.
        recognition_ms: Their geometric mean recognition; None without one.
        target_ms: What counts as fluent for this member; None while they have no target.
    """
    if not recent:
        return Standing.UNMET
    if chance_known(recent) < LIKELY:
        return Standing.TWO_LOOK
    is_fluent = (
        n_timed >= FLUENT_FROM
        and recognition_ms is not None
        and target_ms is not None
        and recognition_ms <= target_ms
    )
    return Standing.FLUENT if is_fluent else Standing.ONE_LOOK


def own_target_ms(mean_logs: list[float]) -> float | None:
    """The recognition that counts as fluent for a member whose club has set them no target.

    ``TARGET_FACTOR`` times the median over their one-look cases of one stage: what is not slow for
    their own speed. None below ``TARGET_CASES`` cases.

    Args:
        mean_logs: Mean ln(ms) of recognition of each case with ``FLUENT_FROM`` timed one-look
            sightings or more.
    """
    if len(mean_logs) < TARGET_CASES:
        return None
    return TARGET_FACTOR * exp(median(mean_logs))
