"""``python -m tests.worlds [members] [seed]``: a table of worlds by what the figures say in them.

Each line is a world. ``held``: how often the range said to hold the truth eight times in ten did.
``faster``: how often a page said "very likely faster", and at least "likely". ``shown`` and
``true``: the mean change. The seed is a new one unless it is given, so that each release is tried
on worlds that nobody has seen; the table names it.
"""

import sys

import numpy as np

from logs.stats.grid import LIKELY, VERY_LIKELY
from tests.worlds import effects, leans


def effect_lines(n: int, seed: int) -> list[str]:
    """Before and since: a line for each world."""
    lines = [f"{'before and since':46}  said   held  very likely  likely   shown    true"]
    for world in effects.NULL_WORLDS + effects.EFFECT_WORLDS:
        found = list(effects.outcomes(world, n, seed))
        spans = [(one.effect.range, one.true_ratio) for one in found]
        held = np.mean([span.low <= ratio <= span.high for span, ratio in spans])
        p = np.array([one.effect.p_faster for one in found])
        shown = np.exp(np.mean([np.log(one.effect.ratio) for one in found])) - 1
        true = np.exp(np.mean([np.log(one.true_ratio) for one in found])) - 1
        lines.append(
            f"{world.name:46}  80 %  {held:5.1%}  {np.mean(p >= VERY_LIKELY):11.1%}"
            f"  {np.mean(p >= LIKELY):6.1%}  {shown:+6.1%}  {true:+6.1%}"
        )
    return lines


def peeking_lines(n: int, seed: int) -> list[str]:
    """Looked at after each of ten sightings: how often it was ever said."""
    lines = [f"{'looked at ten times':46}               very likely  likely"]
    for world in effects.NULL_WORLDS[:3]:
        series = effects.looks_in_a_row(world, n, 10, seed)
        ever = [max(one.p_faster for one in looks) for looks in series]
        very, likely = (np.mean([p >= level for p in ever]) for level in (VERY_LIKELY, LIKELY))
        lines.append(f"{world.name:46}               {very:11.1%}  {likely:6.1%}")
    return lines


def lean_lines(n: int, seed: int) -> list[str]:
    """Teach the mark: pages with a false one, and how many of the true ones are told."""
    even = list(leans.pages(n, seed))
    leaning = list(leans.pages(n, seed, n_leaning=5, looks_mean=200))
    return [
        f"{'teach the mark':46}",
        f"{'20 pairs mixed up evenly':46}  pages with one: {np.mean([bad > 0 for _, bad in even]):.1%}",
        f"{'5 of 20 pairs lean, 12 % of 200 against 1 %':46}  told: {sum(good for good, _ in leaning) / (5 * n):.1%},"
        f" of all told false: {sum(bad for _, bad in leaning) / max(1, sum(map(sum, leaning))):.1%}",
    ]


def main() -> None:
    """Print the table."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    seed = (
        int(sys.argv[2])
        if len(sys.argv) > 2
        else int(np.random.SeedSequence().generate_state(1)[0])
    )
    sys.stdout.write(f"{n} members or pages a world, seed {seed}\n")
    for lines in (effect_lines(n, seed), peeking_lines(max(1, n // 5), seed), lean_lines(n, seed)):
        sys.stdout.write("\n".join(["", *lines, ""]))


if __name__ == "__main__":
    main()
