"""Figures of a whole log: worked out once, kept until anything they stand on changes."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from cubecore.replay import ENGINE_VERSION
from logs.selectors.book import book_of_member
from logs.selectors.kept_figures import figures_kept, log_version
from logs.services.kept_figures import figures_keep

if TYPE_CHECKING:
    from clubsite.accounts.models import User

Plain = dict[str, Any]
Work = Callable[[Mapping[str, Plain]], Plain]
FIGURES_VERSION: Final = 1
"""Raised with every change of `logs.analytics`, `logs.charts` or `logs.reports.log_figures` that
moves a kept figure or its shape."""


def figures_key(*, version: int, book_version: str, zone: str) -> str:
    """All that figures stand on: the log and its labels, the book, the code, the days' zone.

    Args:
        version: Of the log (`logs.models.LogVersion`), read before the log itself: figures of a log
            that changed meanwhile are then kept under a key that nobody asks for again.
        book_version: Of the book that labels the log.
        zone: Name of the time zone that says when a day begins.
    """
    return f"log {version}, engine {ENGINE_VERSION}, book {book_version}, {FIGURES_VERSION}, {zone}"


def kept_figures(
    *, actor: "User", member: "User", zone: str, works: Mapping[str, Work]
) -> dict[str, Plain]:
    """Figures by name: those kept under today's key, the others worked out and kept.

    Args:
        actor: Who asks.
        member: Whose log.
        zone: The time zone of the member's club.
        works: Works out each by its name, in plain values fit for JSON, from those before it.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    key = figures_key(
        version=log_version(actor=actor, member=member),
        book_version=book_of_member(member=member).version,
        zone=zone,
    )
    kept = figures_kept(actor=actor, member=member, key=key)
    found: dict[str, Plain] = {}
    for name, work in works.items():
        if name in kept:
            found[name] = kept[name]
        else:
            found[name] = work(found)
            figures_keep(member_id=member.pk, name=name, key=key, content=found[name])
    return found
