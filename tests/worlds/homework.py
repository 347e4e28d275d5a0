"""Homework on recognition, and on one look, of members who change nothing and of some who learn."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np

from logs.homework.figures import (
    NOTHING_USUAL,
    Asked,
    CaseCheck,
    Meeting,
    case_check,
    is_usual_wanted,
    usual,
)

SET_AT: Final = datetime(2026, 3, 1, tzinfo=UTC)
USUAL_MS, SIGMA, TAU = 900.0, 0.25, 0.20


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
    n_others: int = 0,
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
        n_others: Other cases, met six times each, done as often in one look. Their usual times lie
            ``TAU`` apart, those of the homework's case among them.
    """
    rng = np.random.default_rng(seed)
    is_timed = target_share is not None
    since_rate = rate if rate_since is None else rate_since
    for _ in range(n):
        own_ms, *others_ms = USUAL_MS * np.exp(rng.normal(0, TAU, 1 + n_others))
        target = None if target_share is None else round(target_share * own_ms)
        asked = Asked(one_look=not is_timed, recognition_ms=target)
        before = _meetings(rng, n_before, rate=rate, usual_ms=own_ms, is_before=True)
        now_ms = own_ms * (1 - gain)
        since = _meetings(rng, 40, rate=since_rate, usual_ms=now_ms, is_before=False)
        others = {
            str(case): _meetings(rng, 6, rate=rate, usual_ms=ms, is_before=True)
            for case, ms in enumerate(others_ms)
        }
        borrowed = usual(others, before) if is_usual_wanted(before, asked) else NOTHING_USUAL
        yield case_check(since, asked=asked, before=before, borrowed=borrowed)
