"""What members would gain from each case by their clubs' own book, kept until their log changes."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from cubecore.book import Book
from cubecore.cases import CASES
from logs.analytics.next_up import Candidate
from logs.reports.kept_figures import figures_key
from logs.reports.ranking import Gains, gains
from logs.selectors.book import books_of_members
from logs.selectors.kept_figures import figures_kept_of, log_versions
from logs.selectors.next_up import next_up_frame, two_look_frame
from logs.services.kept_figures import figures_keep

if TYPE_CHECKING:
    from clubsite.accounts.models import User

NAME: Final = "gains"


def member_gains(*, actor: "User", members: Sequence["User"]) -> list[Gains]:
    """The gains of each member, worked out only where their log, book or the code is another.

    Raises:
        NotFoundError: A member's log is not the actor's to read.
    """
    books = books_of_members(member_ids=[member.pk for member in members])
    versions = log_versions(actor=actor, members=members)
    keys = {
        # Gains hang on no day, so on no zone; what the key lacks is which algorithms are taught.
        member.pk: figures_key(
            version=versions[member.pk],
            book_version=books[member.pk].version,
            zone=_taught(books[member.pk]),
        )
        for member in members
    }
    kept = figures_kept_of(actor=actor, members=members, name=NAME)
    found = {member: plain for member, (key, plain) in kept.items() if key == keys[member]}
    missing = [member for member in members if member.pk not in found]
    for member_id, plain in _worked_out(actor, missing, books).items():
        figures_keep(member_id=member_id, name=NAME, key=keys[member_id], content=plain)
        found[member_id] = plain
    return [_gains(found[member.pk]) for member in members]


def _worked_out(
    actor: "User", members: Sequence["User"], books: Mapping[int, Book]
) -> dict[int, dict[str, Any]]:
    if not members:
        return {}
    sightings = next_up_frame(actor=actor, members=members)
    two_looks = two_look_frame(actor=actor, members=members)
    return {
        member.pk: _plain(
            gains(
                sightings[sightings["member_id"] == member.pk],
                two_looks[two_looks["member_id"] == member.pk],
                books[member.pk],
            )
        )
        for member in members
    }


@lru_cache(maxsize=128)
def _taught(book: Book) -> str:
    """Which algorithm of each case comes first: the book's version does not tell."""
    firsts = [entries[0].text for case in CASES if (entries := book.algorithms(case))]
    return f"taught {hashlib.sha256(repr(firsts).encode()).hexdigest()[:12]}"


def _plain(found: Gains) -> dict[str, Any]:
    table = found.table.reset_index(names="code")
    return {
        "table": json.loads(table.to_json(orient="split", index=False, double_precision=15)),
        "candidates": [asdict(one) for one in found.candidates],
        "one_look": sorted(found.one_look),
        "n_sightings": found.n_sightings,
    }


def _gains(plain: dict[str, Any]) -> Gains:
    table = pd.DataFrame(plain["table"]["data"], columns=plain["table"]["columns"])
    table = table.set_index("code")
    numbers = {
        name: "float64" for name in table.columns if name not in ("n", "n_hits", "is_one_look")
    }
    return Gains(
        table.astype(numbers),
        tuple(Candidate(**one) for one in plain["candidates"]),
        frozenset(plain["one_look"]),
        plain["n_sightings"],
    )
