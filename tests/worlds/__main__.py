"""``python -m tests.worlds [members] [seed]``: a table of worlds by what the figures say in them.

The last one is kept in ``tests/worlds/table.txt``, with its date.

Each line is a world. ``held``: how often the range said to hold the truth eight times in ten did.
``faster``: how often a page said "very likely faster", and at least "likely". ``shown`` and
``true``: the mean change. The seed is a new one unless it is given, so that each release is tried
on worlds that nobody has seen; the table names it.
"""

import os
import sys
from typing import Any

import django
import numpy as np

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")
django.setup()

from logs.stats.grid import LIKELY, VERY_LIKELY  # noqa: E402 - rooms' models want settings first
from logs.stats.rates import AdoptionState  # noqa: E402
from tests.worlds import clubs, effects, homework, leans, members  # noqa: E402


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


def now_lines(n: int, seed: int) -> list[str]:
    """Times now: what ranges hold, and the error beside that of a model that knows no change."""
    lines = [f"{'times now':46}  said 50  80     95      error  without drift"]
    for world in members.NOW_WORLDS:
        found = list(members.now_outcomes(world, n, seed))
        plain = members.now_outcomes(world, n, seed, is_drifting=False)
        place = np.concatenate([one.places for one in found])
        held = [np.mean((place > end) & (place < 1 - end)) for end in (0.25, 0.1, 0.025)]
        errors = [
            np.sqrt(np.mean(np.concatenate([one.errors for one in some])))
            for some in (found, plain)
        ]
        lines.append(
            f"{world.name:46}  {held[0]:6.1%}  {held[1]:5.1%}  {held[2]:5.1%}"
            f"  {errors[0]:5.3f}  {errors[1]:5.3f}"
        )
    return lines


def coverage_lines(n: int, seed: int) -> list[str]:
    """Coverage now: what ranges hold, and the error beside that of rates that stay."""
    lines = [
        f"{'coverage now, of the cases met':46}  said    held  off by  error  without learning"
    ]
    for world in members.COVERAGE_WORLDS:
        low, high, said, true = np.array(list(members.coverage_outcomes(world, n, seed))).T
        plain = np.array(list(members.coverage_outcomes(world, n, seed, is_learning=False)))
        held = np.mean((low <= true) & (true <= high))
        held_without = np.mean((plain[:, 0] <= true) & (true <= plain[:, 1]))
        lines.append(
            f"{world.name:46}  80 %  {held:5.1%}  {np.mean(said - true):+6.1%}"
            f"  {np.sqrt(np.mean((said - true) ** 2)):5.3f}"
            f"  {np.sqrt(np.mean((plain[:, 2] - true) ** 2)):5.3f}, held {held_without:.1%}"
        )
    return lines


def saving_lines(n: int, seed: int) -> list[str]:
    """Next up: what ranges of savings hold, and what a second said is in truth."""
    lines = [f"{'savings of cases not known':46}  said    held  slope"]
    for n_known, n_solves in ((6, 300), (12, 200), (28, 300), (28, 1000)):
        some = list(members.saving_outcomes(n, seed, n_known=n_known, n_solves=n_solves))
        low, high, said, true = np.array(some).T
        held = np.mean((low <= true) & (true <= high))
        name = f"knows {n_known} of 57 after {n_solves} solves"
        lines.append(f"{name:46}  80 %  {held:5.1%}  {np.polyfit(said, true, 1)[0]:5.2f}")
    return lines


def club_lines(n: int, seed: int) -> list[str]:
    """Members side by side, and mistaken cases: what is named, and how much of it is true."""
    lines = [f"{'a club':46}  named a page  true    80 % held"]
    for own_sd, n_solves in ((0.0, 400), (0.10, 400), (0.10, 800), (0.20, 400)):
        found = list(clubs.compare_pages(n, seed, own_sd=own_sd, n_solves=n_solves))
        named, true = (sum(page[place] for page in found) for place in (0, 1))
        name = f"slow for own speed, sd {own_sd:.2f}, {n_solves} solves"
        lines.append(
            f"{name:46}  {named / n:12.2f}  {true / max(1, named):6.1%}"
            f"  {np.mean([page.held for page in found]):6.1%}"
        )
    for even, n_confused, n_solves in ((0.10, 0, 400), (0.10, 0, 1500), (0.03, 2, 1500)):
        some = list(
            clubs.mistaken_pages(n, seed, even=even, n_confused=n_confused, n_solves=n_solves)
        )
        told, true, _ = (sum(page[place] for page in some) for place in range(3))
        name = f"mistaken, {even:.0%} evenly, {n_confused} confused, {n_solves} solves"
        lines.append(f"{name:46}  {told / n:12.2f}  {true / max(1, told):6.1%}")
    return lines


def homework_lines(n: int, seed: int) -> list[str]:
    """Homework: how often it is verified over 40 sightings."""
    lines = [f"{'homework':46}  verified"]
    never_met = {"n_before": 0, "n_others": 12}
    worlds: list[tuple[str, dict[str, Any]]] = [
        *((f"nothing, target {s:.0%} of usual", {"target_share": s}) for s in (1.2, 1.0, 0.9, 0.8)),
        *((f"nothing, one look at {r:.0%}", {"rate": r}) for r in (0.05, 0.3, 0.5)),
        *(
            (f"never met, target {s:.0%} of usual", {"target_share": s, **never_met})
            for s in (1.2, 1.0, 0.8)
        ),
        (
            "never met, 35 % shorter, target 80 % of usual",
            {"target_share": 0.8, "gain": 0.35, **never_met},
        ),
        ("learnt, 10 % to 92 %", {"rate": 0.1, "rate_since": 0.92}),
        ("35 % shorter, target 80 % of usual", {"target_share": 0.8, "gain": 0.35}),
    ]
    for name, world in worlds:
        found = homework.checks(max(1, n // 5) if "n_others" in world else n, seed, **world)
        verified = np.mean([check.state is AdoptionState.VERIFIED for check in found])
        lines.append(f"{name:46}  {verified:7.1%}")
    return lines


def main() -> None:
    """Print the table."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    seed = (
        int(sys.argv[2])
        if len(sys.argv) > 2
        else int(np.random.SeedSequence().generate_state(1)[0])
    )
    sys.stdout.write(f"{n} members or pages a world, seed {seed}\n")
    some = max(2, n // 10)
    for lines in (
        now_lines(max(1, n // 4), seed),
        coverage_lines(n, seed),
        saving_lines(some, seed),
        club_lines(some, seed),
        homework_lines(5 * n, seed),
        effect_lines(n, seed),
        peeking_lines(max(1, n // 5), seed),
        lean_lines(n, seed),
    ):
        sys.stdout.write("\n".join(["", *lines, ""]))
        sys.stdout.flush()


if __name__ == "__main__":
    main()
