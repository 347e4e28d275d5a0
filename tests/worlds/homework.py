"""Homework on recognition, and on one look, of members who change nothing and of some who learn."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np

from logs.homework.figures import Asked, CaseCheck, Meeting, case_check

SET_AT: Final = datetime(2026, 3, 1, tzinfo=UTC)
USUAL_MS, SIGMA = 900.0, 0.25


def _meetings(
    rng: np.random.Generator, n: int, *, rate: float, usual_ms: float, is_before: bool
) -> list[Meeting]:
    hits = rng.random(n) < rate
    times = usual_ms * np.exp(rng.normal(0, SIGMA, n))
    step = timedelta(days=-1 if is_before else 1)
    return [
        Meeting(i, SET_AT + (i + 1) * step, 1 if hit else 2, bool(hit), round(float(ms)))
        for i, (hit, ms) in enumerate(zip(hits, times, strict=True))
    ]


def checks(
    n: int,
    seed: int,
    *,
    target_share: float | None = None,
    rate: float = 1.0,
    rate_since: float | None = None,
    gain: float = 0.0,
    n_before: int = 10,
) -> Iterator[CaseCheck]:
    """What the check says of ``n`` members after 40 sightings.

    Args:
        n: Members.
        seed: Of the draws.
        target_share: The target for recognition, as a share of what is usual before; None for a
            homework on one look.
        rate: One-look rate before.
        rate_since: And since; as before where None.
        gain: Share by which recognition gets shorter.
        n_before: Sightings before.
    """
    rng = np.random.default_rng(seed)
    is_timed = target_share is not None
    target = round(target_share * USUAL_MS) if target_share is not None else None
    asked = Asked(one_look=not is_timed, recognition_ms=target)
    since_rate = rate if rate_since is None else rate_since
    for _ in range(n):
        before = _meetings(rng, n_before, rate=rate, usual_ms=USUAL_MS, is_before=True)
        now_ms = USUAL_MS * (1 - gain)
        since = _meetings(rng, 40, rate=since_rate, usual_ms=now_ms, is_before=False)
        yield case_check(since, asked=asked, before=before)
