"""The demo club as it was made (its truth) and what its members' rows were made as."""

import json
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Any, NamedTuple

from cubecore.cases import CASES
from fixtures.demo.maker.algorithms import entries
from fixtures.demo.maker.members import Club, Member, read_club
from tests.demo.reading import FOLDER

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


def sightings_of(name: str) -> dict[Case, list[dict[str, Any]]]:
    """The truth of each case's sightings with a look, oldest first."""
    found: dict[Case, list[dict[str, Any]]] = defaultdict(list)
    for row in solves_of(name):
        for stage in ("oll", "pll"):
            shown = row.get(stage)
            if shown and shown["looks"]:
                open_to = row.get("open", ())
                found[stage, str(shown["case"])].append(shown | {"open": open_to})
    return found


def slips_of(name: str) -> Counter[Slip]:
    """How often the first look was begun for another case, or from a wrong hold."""
    owners = {entry.name: case for case, group in entries().items() for entry in group}
    slips: Counter[Slip] = Counter()
    for shown_case, sightings in sightings_of(name).items():
        for look in (one["looks"][0] for one in sightings):
            if look.get("slip") in ("mix_up", "wrong_hold"):
                stage, number = owners[look["algorithm"]]
                slip = look["slip"] == "wrong_hold"
                slips[Slip(name, shown_case, (stage, str(number)), slip)] += 1
    return slips
