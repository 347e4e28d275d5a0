"""Figures worked out from a whole log, kept for the next reader."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from clubsite.accounts.models import User
from cubecore.replay import ENGINE_VERSION
from logs.algorithms.selectors import book_of_member
from logs.errors import NotFoundError
from logs.people.locks import lock_log
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


MOST_MARKS = 50


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
            ``MOST_MARKS`` marks already.
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
    if known is None and TimeMark.objects.filter(member=actor).count() >= MOST_MARKS:
        raise ValidationError(f"You have {MOST_MARKS} marks. Remove one first.")
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


FIGURES_VERSION: Final = 1
"""Raised with every change of `logs.analytics`, `logs.charts` or `logs.progress.report.log_figures` that
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
    *, actor: User, member: User, zone: str, works: Mapping[str, Work]
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
