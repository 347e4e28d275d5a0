"""The demo club as it was made (its truth) and what its members' rows were made as."""

import json
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from functools import cache
from math import log
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from scipy.stats import beta

from cubecore.cases import CASES
from fixtures.demo.maker.algorithms import entries
from fixtures.demo.maker.members import Club, Member, read_club
from tests.demo.reading import FOLDER, LOGS, read_log

Case = tuple[str, str]
"""Stage and number, as the tables have them."""


class Slip(NamedTuple):
    """A first look that went wrong as the member's description has it."""

    member: str
    shown: Case
    done: Case
    is_wrong_hold: bool


def demo_club() -> Club:
    return read_club(FOLDER / "club.toml")


ZONE = ZoneInfo(demo_club().zone)


def known_on(member: Member, day: date) -> set[Case]:
    """The cases that the member was made to do in one look on that day."""
    return {
        (case.stage.value, str(case.number))
        for case in CASES
        if member.knows((case.stage.value, case.number), day)
    }


def known_at_the_end(member: Member) -> set[Case]:
    """The cases that the member was made to do in one look on their last day."""
    return known_on(member, member.until)


def solves_of(name: str) -> Iterator[dict[str, Any]]:
    """The truth of the member's solves, in the order of their logs; drills left out."""
    for path in sorted((FOLDER / "truth").glob(f"{name}*.jsonl")):
        for line in path.read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            is_taken = not (row.get("doubled") or "problem" in row)
            if is_taken and row.get("kind") == "solve":
                yield row


@cache
def sightings_of(name: str) -> dict[Case, list[dict[str, Any]]]:
    """The truth of each case's sightings with a look, oldest first."""
    found: dict[Case, list[dict[str, Any]]] = defaultdict(list)
    for row in solves_of(name):
        for stage in ("oll", "pll"):
            shown = row.get(stage)
            if shown and shown["looks"]:
                open_to = row.get("open", ())
                found[stage, str(shown["case"])].append(shown | {"open": open_to})
    return dict(found)


def steps_of(name: str) -> set[Case]:
    """The cases whose algorithms the member makes to do half of a stage."""
    owners = {entry.name: case for case, group in entries().items() for entry in group}
    looks = [look for row in sightings_of(name).values() for one in row for look in one["looks"]]
    steps = {look["algorithm"] for look in looks if look["goal"] != "case"} - {None}
    return {(stage, str(number)) for stage, number in (owners[text] for text in steps)}


def slips_of(name: str) -> Counter[Slip]:
    """How often the first look, meant to do the case, was begun for another, or from a wrong hold.

    A step's wrong hold mistakes no case.
    """
    owners = {entry.name: case for case, group in entries().items() for entry in group}
    slips: Counter[Slip] = Counter()
    for shown_case, sightings in sightings_of(name).items():
        for look in (one["looks"][0] for one in sightings):
            if look["goal"] == "case" and look.get("slip") in ("mix_up", "wrong_hold"):
                stage, number = owners[look["algorithm"]]
                slip = look["slip"] == "wrong_hold"
                slips[Slip(name, shown_case, (stage, str(number)), slip)] += 1
    return slips


def verdict(hits: Sequence[bool], before: Sequence[bool] = ()) -> str:
    """Wald's test: one look 85 times in 100 against what counts as no gain; two restarts.

    No gain is 30 in 100, or what the newest 24 sightings before may well have been: the upper end of
    60 % of their Beta(1/2, 1/2), at most 70 in 100. The first run may err in .05, in .03 against such
    a rate; a restarted one in .01.
    """
    null, learnt, first = 0.30, 0.85, 0.05
    n, n_hits = len(before[-24:]), sum(before[-24:])
    own = float(beta.ppf(0.8, n_hits + 0.5, n - n_hits + 0.5)) if n else 0.0
    if own > null:
        null, first = min(own, 0.70), 0.03
        learnt = max(learnt, 1 - (1 - null) / 3)
    evidence, n_rejected = 0.0, 0
    state = "open"
    for hit in hits:
        evidence += log(learnt / null) if hit else log((1 - learnt) / (1 - null))
        state = "open"
        alpha = 0.01 if n_rejected else first
        if evidence >= log(0.90 / alpha):
            return "verified"
        if evidence <= log(0.10 / (1 - alpha)):
            n_rejected += 1
            if n_rejected == 3:
                return "ask_coach"
            evidence, state = 0.0, "not_yet"
    return state


def made_as(
    member: Member, *, kind: str = "solve", days: int = 0
) -> dict[Case, list[tuple[datetime, bool]]]:
    """When each case was met in rows of a kind, so many days later than in the log as it is kept,
    and whether it was made in one finished look.
    """
    met: dict[Case, list[tuple[datetime, bool]]] = defaultdict(list)
    for path in LOGS:
        if path.stem.partition("-")[0] != member.nickname.lower():
            continue
        truths = (FOLDER / "truth" / f"{path.stem}.jsonl").read_text(encoding="utf-8").splitlines()
        for (_, values), text in zip(read_log(path), truths, strict=True):
            row = json.loads(text)
            if row.get("kind") != kind or row.get("doubled") or not values.get("done_at"):
                continue
            at = datetime.fromisoformat(str(values["done_at"]).replace("Z", "+00:00"))
            at = at + timedelta(days=days)
            at = at if at.tzinfo else at.replace(tzinfo=ZONE)
            for stage in ("oll", "pll"):
                shown = row.get(stage)
                if shown and shown["looks"]:
                    looks = shown["looks"]
                    is_hit = len(looks) == 1 and looks[0]["outcome"] == "finished"
                    met[stage, str(shown["case"])].append((at, is_hit))
    return {case: sorted(rows) for case, rows in met.items()}
