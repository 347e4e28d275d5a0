"""Begin to write a solve down, keep what is written, send it into the log, or drop it."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Count

from clubsite.accounts.models import User
from clubsite.accounts.throttle import Limit
from cubecore.endings import scrambled
from cubecore.errors import CubeError, NotationError, RowError
from cubecore.notation import MAX_TEXT, parse_script, parse_tokens
from cubecore.rows import parse_time
from logs.errors import ConflictError, RowProblem, UploadRejectedError
from logs.people.services.passwords import try_count
from logs.solves.models.kept_rows import Fate
from logs.solves.selectors.undo import row_fate
from logs.solves.services.corrections import solve_correct
from logs.solves.services.draws import written_note
from logs.solves.services.tallies import rates_changed
from logs.solves.services.uploads import solve_add
from logs.writeups.models import Writeup
from logs.writeups.selectors import unwritten_get, writeup_get
from logs.writeups.timing import row_times, timing_fields, timing_of

MAX_WRITEUPS = 50
"""Begun at a time."""

READING = Limit(
    scope="writeup_read",
    n_account=60,
    n_address=300,
    window=timedelta(seconds=15),
    message="What is written was read very often just now.",
)


def writeup_begin(
    *, actor: User, now: datetime, scramble: str, time: str, penalty: str, done_at: str
) -> Writeup:
    """Begin to write a solve down that the log does not have.

    Raises:
        UploadRejectedError: Its scramble or its time cannot be taken.
        ConflictError: Too many are begun.
    """
    for field, check in (("scramble", _check_scramble), ("time", parse_time)):
        try:
            check(scramble if field == "scramble" else time)
        except CubeError as error:
            raise UploadRejectedError(
                [RowProblem(1, error.code, field, error.message, "")]
            ) from error
    _check_room(actor)
    return Writeup.objects.create(
        member=actor,
        scramble=scramble.strip(),
        time=time.strip(),
        penalty=penalty,
        done_at=done_at.strip(),
        begun_at=now,
        changed_at=now,
    )


def _check_scramble(scramble: str) -> None:
    scrambled(parse_script(scramble).turns)


def _check_room(actor: User) -> None:
    n = Writeup.objects.filter(member=actor).aggregate(n=Count("pk"))["n"]
    if n >= MAX_WRITEUPS:
        raise ConflictError(f"You have begun {n} solves: send or drop some first.")


def writeup_begin_for(*, actor: User, solve_id: int, now: datetime) -> Writeup:
    """Begin to write down a solve of the log that has no solution, or go on where that was begun.

    Raises:
        NotFoundError: There is no such solve of the actor's without a solution.
        ConflictError: Too many are begun.
    """
    solve = unwritten_get(actor=actor, solve_id=solve_id)
    begun = Writeup.objects.filter(member=actor, solve=solve).first()
    if begun is not None:
        return begun
    _check_room(actor)
    fields = {"scramble": solve.scramble, "penalty": solve.penalty}
    begun, _ = Writeup.objects.get_or_create(
        member=actor, solve=solve, defaults=fields | {"begun_at": now, "changed_at": now}
    )
    return begun


@transaction.atomic
def writeup_write(
    *,
    actor: User,
    writeup_id: int,
    sent: Mapping[str, str],
    edition: int,
    now: datetime,
) -> Writeup:
    """Keep what a form sent, unless something newer is kept already.

    Args:
        actor: Who writes.
        writeup_id: What.
        sent: The turns under ``solution``; their times, where the form has any, as
            `timing.timing_fields` reads them.
        edition: How often the page has sent.
        now: When.

    Raises:
        NotFoundError: There is no such writeup of the actor's.
    """
    list(Writeup.objects.select_for_update().filter(pk=writeup_id, member=actor).only("pk"))
    own = writeup_get(actor=actor, writeup_id=writeup_id)
    if edition >= own.edition:
        times = timing_fields(sent) if "turn_ms" in sent else {}
        kept = {"solution": sent.get("solution", "")[:MAX_TEXT], "edition": edition, **times}
        for name, value in kept.items():
            setattr(own, name, value)
        own.changed_at = now
        own.save(update_fields=[*kept, "changed_at"])
    return own


def reading_count(*, actor: User, address: str, now: datetime) -> None:
    """Count that what is written was read.

    Raises:
        TooManyTriesError: It was read too often just now.
    """
    try_count(READING, actor=actor, address=address, now=now)


@transaction.atomic
def writeup_send(
    *,
    actor: User,
    writeup_id: int,
    solution: str,
    time_zone: ZoneInfo,
    now: datetime,
    origin: str = "",
    is_timed: bool = True,
) -> int:
    """Send what was written into the log, with its times unless ``is_timed`` is False.

    Returns:
        The solve's number in the log.

    Raises:
        NotFoundError: There is no such writeup of the actor's.
        UploadRejectedError: It cannot be taken as it stands; it stays as it was written.
        ConflictError: The log has that very solve already.
    """
    own = writeup_get(actor=actor, writeup_id=writeup_id)
    if not solution.strip():
        message = "solution: nothing is written yet; write the turns of the solve."
        raise UploadRejectedError([RowProblem(1, "no_solution", "solution", message, "")])
    times = _times(own, solution) if is_timed else {}
    if own.solve is not None:
        solve = solve_correct(
            actor=actor,
            solve_id=own.solve.pk,
            values={"solution": solution, **times},
            time_zone=time_zone,
            now=now,
            origin=origin,
        )
        own.delete()
        return solve.pk
    values = {
        "scramble": own.scramble,
        "time": own.time,
        "penalty": own.penalty,
        "solution": solution,
        "done_at": own.done_at,
    }
    said = {name: value for name, value in values.items() if value} | times
    upload = solve_add(member=actor, values=said, time_zone=time_zone, now=now)
    fate, number = row_fate(actor=actor, upload_id=upload.pk, line=1)
    if fate is not Fate.DOUBLED:
        written_note(member_id=actor.pk, solve_number=number, now=now)
        rates_changed(member_id=actor.pk)
    own.delete()
    return number


def _times(own: Writeup, solution: str) -> dict[str, Any]:
    try:
        return row_times(timing_of(own, parse_tokens(solution)))
    except NotationError:  # the row says it better, with all that was expected
        return {}
    except RowError as error:
        problem = RowProblem(1, error.code, error.field or "", error.message, "")
        raise UploadRejectedError([problem]) from error


def writeup_drop(*, actor: User, writeup_id: int) -> None:
    """Forget what was written.

    Raises:
        NotFoundError: There is no such writeup of the actor's.
    """
    writeup_get(actor=actor, writeup_id=writeup_id).delete()
