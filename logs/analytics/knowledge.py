"""Knows the algorithm or does not: the two-state view of a case's sightings."""

from collections.abc import Iterable


def knowing(
    hits: Iterable[bool],
    *,
    start: float = 0.10,
    learn: float = 0.15,
    slip: float = 0.10,
    guess: float = 0.02,
) -> tuple[float, ...]:
    """The chance that the member knows the case after each sighting, before learning from it.

    Source: knowledge tracing, Corbett and Anderson 1995.

    Args:
        hits: Whether each sighting went in one look, oldest first.
        start: The chance of knowing it before the first sighting.
        learn: The chance of learning it between two sightings; 0 makes this Bayes' rule alone.
        slip: The chance that a known case does not go in one look.
        guess: The chance that an unknown one does; small, as no algorithm is executed by luck.

    Raises:
        ValueError: A chance is not in 0..1.
    """
    for name, value in {"start": start, "learn": learn, "slip": slip, "guess": guess}.items():
        if not 0 <= value <= 1:
            raise ValueError(f"{name} is {value}: it must lie between 0 and 1")
    after = []
    knows = start
    for hit in hits:
        if_known = knows * (1 - slip if hit else slip)
        if_not = (1 - knows) * (guess if hit else 1 - guess)
        total = if_known + if_not
        knows = if_known / total if total else knows
        after.append(knows)
        knows += (1 - knows) * learn
    return tuple(after)
