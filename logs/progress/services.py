"""Figures worked out from a whole log, kept for the next reader."""

import hashlib
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from functools import cache, lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

import cubecore
import logs
from clubsite.accounts.models import User
from cubecore.book import Book
from cubecore.cases import CASES
from logs.algorithms.selectors import book_of_member
from logs.errors import NotFoundError
from logs.people.locks import lock_log
from logs.people.sight import Sight, check_sight
from logs.progress.models import LONGEST_MARK, KeptFigures, TimeMark
from logs.progress.selectors import figures_kept, log_version


def figures_keep(*, member_id: int, name: str, key: str, content: Mapping[str, Any]) -> None:
    """Keep the member's figures of that name, in place of what was kept before.

    Not a change of anybody's data: whoever may read the log may cause it. A member who is erased
    meanwhile leaves nothing behind.

    Args:
        member_id: Whose log they are worked out from.
        name: Which figures.
        key: All that they stand on, read before the log was.
        content: Plain values, fit for JSON.
    """
    kept = KeptFigures(member_id=member_id, name=name, key=key, content=content)
    try:
        with transaction.atomic():
            KeptFigures.objects.bulk_create(
                [kept],
                update_conflicts=True,
                unique_fields=["member", "name"],
                update_fields=["key", "content"],
            )
    except IntegrityError:
        return  # the account went between reading and keeping


MAX_MARKS = 50


MAX_WORD = LONGEST_MARK


@transaction.atomic
def time_mark_add(*, actor: User, day: date, word: str, today: date) -> tuple[TimeMark, bool]:
    """Mark a day of the actor's own; the same mark again is the same. It, and whether it is new.

    Args:
        actor: Whose axis.
        day: Which day, ``today`` at the latest.
        word: What happened, 1 to ``LONGEST_MARK`` characters.
        today: The day that the actor has.

    Raises:
        ValidationError: There is no word, it is too long, the day is to come, or there are
            ``MAX_MARKS`` marks already.
    """
    word = " ".join(word.split())
    if not word:
        raise ValidationError({"word": "Give the mark a word, such as: new cube."})
    if len(word) > LONGEST_MARK:
        raise ValidationError({"word": f"Use {LONGEST_MARK} characters at most."})
    if day > today:
        raise ValidationError({"day": "That day is to come. Mark it when it is there."})
    lock_log(actor.pk)
    known = TimeMark.objects.filter(member=actor, day=day, word=word).first()
    if known is None and TimeMark.objects.filter(member=actor).count() >= MAX_MARKS:
        raise ValidationError(f"You have {MAX_MARKS} marks. Remove one first.")
    if known is not None:
        return known, False
    return TimeMark.objects.create(member=actor, day=day, word=word), True


@transaction.atomic
def time_mark_remove(*, actor: User, mark_id: int) -> None:
    """Remove a mark of the actor's own.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    n_removed, _ = TimeMark.objects.filter(member=actor, pk=mark_id).delete()
    if not n_removed:
        raise NotFoundError("mark")


Plain = dict[str, Any]


Work = Callable[[Mapping[str, Plain]], Plain]


PACKAGES: Final = (Path(cubecore.__file__).parent, Path(logs.__file__).parent)
"""What figures are worked out with: all of it, so that no file can be forgotten."""


LIBRARIES: Final = ("numpy", "pandas", "scipy")


def sources_digest(folders: Iterable[Path] = PACKAGES) -> str:
    """A hash of every source file in some folders, and of the libraries that count for them."""
    digest = hashlib.sha256(repr([version(name) for name in LIBRARIES]).encode())
    for folder in folders:
        for path in sorted(folder.rglob("*.py")):
            content = path.read_bytes()
            digest.update(f"{path.relative_to(folder)} {len(content)} ".encode() + content)
    return digest.hexdigest()[:16]


@cache
def _code() -> str:
    """The `sources_digest` of what this process runs: made once, as a process reads its code once."""
    return sources_digest()


@lru_cache(maxsize=128)
def _book_digest(book: Book) -> str:
    """Which algorithms a book holds and which of each case comes first."""
    texts = [[entry.text for entry in book.algorithms(case)] for case in CASES]
    return hashlib.sha256(repr((book.version, texts)).encode()).hexdigest()[:16]


def figures_key(*, log_version: int, book: Book, zone: str = "") -> str:
    """All that figures stand on: the log and its labels, the book, the code, the days' zone.

    Args:
        log_version: Of the log (`LogVersion`), read before the log itself: figures of a log that
            changed meanwhile are then kept under a key that nobody asks for again.
        book: The book that labels the log and teaches the member.
        zone: Name of the time zone that says when a day begins; empty for what hangs on no day.
    """
    return f"log {log_version}, book {_book_digest(book)}, code {_code()}, {zone}"


def kept_figures(
    *, actor: User, member: User | Sight, zone: str, works: Mapping[str, Work]
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
    user = check_sight(actor, member)
    key = figures_key(
        log_version=log_version(actor=actor, member=member),
        book=book_of_member(member=user),
        zone=zone,
    )
    kept = figures_kept(actor=actor, member=member, key=key)
    found: dict[str, Plain] = {}
    for name, work in works.items():
        if name in kept:
            found[name] = kept[name]
        else:
            found[name] = work(found)
            figures_keep(member_id=user.pk, name=name, key=key, content=found[name])
    return found
