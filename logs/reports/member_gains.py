"""What members would gain from each case by their clubs' own book, kept until their log changes."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

import pandas as pd

from cubecore.book import Book
from cubecore.cases import CASES
from logs.analytics.next_up import Candidate
from logs.reports.kept_figures import kept_figures
from logs.reports.ranking import Gains, gains
from logs.selectors.book import book_of_member
from logs.selectors.next_up import next_up_frame, two_look_frame

if TYPE_CHECKING:
    from clubsite.accounts.models import User

NAME: Final = "gains"


def member_gains(*, actor: "User", members: Sequence["User"]) -> list[Gains]:
    """The gains of each member, worked out only where their log, book or the code is another.

    Raises:
        NotFoundError: A member's log is not the actor's to read.
    """
    return [_of(actor, member) for member in members]


def _of(actor: "User", member: "User") -> Gains:
    book = book_of_member(member=member)

    def work(_: Mapping[str, Any]) -> dict[str, Any]:
        return _plain(
            gains(
                next_up_frame(actor=actor, members=[member]),
                two_look_frame(actor=actor, members=[member]),
                book,
            )
        )

    # Gains hang on no day, so on no zone; what the key lacks is which algorithms are taught.
    kept = kept_figures(actor=actor, member=member, zone=_taught(book), works={NAME: work})
    return _gains(kept[NAME])


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
