"""Files that wait until their member has said how they are to be read."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from clubsite.accounts.models import User
from logs.errors import ConflictError, NotFoundError, RowProblem, UploadRejectedError
from logs.intake.guess import Guess, answer_guess, guess_mapping, open_questions
from logs.intake.mapping import ColumnMapping, Role, header_key, mapping_from_json, mapping_to_json
from logs.intake.reading import needs_mapping, read_upload
from logs.intake.rows import Clock
from logs.intake.sample import sample_of, take_sample
from logs.intake.source import SourceFile
from logs.people.locks import lock_log
from logs.solves.models.solves import KeptMapping, Upload, UploadDraft
from logs.solves.selectors.solves import (
    DRAFT_LIFE,
    draft_get,
    draft_list,
    kept_mapping_for,
    upload_get,
    upload_of_digest,
)
from logs.solves.services.mappings import mapping_keep
from logs.solves.services.undo import upload_take_back
from logs.solves.services.uploads import plain_name, upload_import

MAX_DRAFTS = 5
"""Files of one member that wait at a time."""


@transaction.atomic
def draft_add(*, actor: User, source: SourceFile, file_name: str, now: datetime) -> UploadDraft:
    """Keep a file with a first guess at its mapping, or with the kept mapping for its shape.

    A file that waits already is answered as it stands. Whose files have waited too long are
    forgotten on the way.

    Raises:
        UploadRejectedError: It is no text, or has no rows.
        ConflictError: As many wait as can.
    """
    UploadDraft.objects.filter(made_at__lte=now - DRAFT_LIFE).delete()
    lock_log(actor.pk)
    waiting = draft_list(actor=actor, now=now)
    for draft in waiting:
        if draft.sha256 == source.digest:
            return draft
    if len(waiting) >= MAX_DRAFTS:
        raise ConflictError(
            f"{len(waiting)} files wait already until you say how to read them."
            " Finish or discard one first."
        )
    guess = guess_mapping(take_sample(source))
    kept = kept_mapping_for(actor=actor, header_key=header_key(guess.mapping))
    fitted = fit_kept(kept, guess) if kept else None
    return UploadDraft.objects.create(
        member=actor,
        sha256=source.digest,
        content=source.content,
        file_name=plain_name(file_name),
        mapping=mapping_to_json(fitted or guess.mapping),
        reasons=guess.reasons if fitted is None else _of_the_file(guess.reasons),
        kept_name=kept.name if kept and fitted else "",
        made_at=now,
    )


@transaction.atomic
def draft_read_again(*, actor: User, upload_id: int, now: datetime) -> UploadDraft:
    """Have the file of an upload wait, to be read another way; the upload stays until that is done.

    It begins with how it was read, or with a guess where it is in one of our own formats.

    Raises:
        NotFoundError: There is none, it is somebody else's, or it is taken back.
        UploadRejectedError: No table can be made of it.
    """
    lock_log(actor.pk)
    upload = upload_get(actor=actor, upload_id=upload_id)
    draft = UploadDraft.objects.filter(member=actor, sha256=upload.sha256).first()
    if draft is not None:
        draft.delete()
    guess = guess_mapping(take_sample(SourceFile(bytes(upload.content))))
    return UploadDraft.objects.create(
        member=actor,
        sha256=upload.sha256,
        content=upload.content,
        file_name=upload.file_name,
        mapping=upload.mapping or mapping_to_json(guess.mapping),
        reasons={} if upload.mapping else guess.reasons,
        made_at=now,
        replaces=upload,
    )


def must_wait(*, actor: User, source: SourceFile, time_zone: ZoneInfo, now: datetime) -> bool:
    """Whether a file is a table of another shape, which the actor has not sent before."""
    is_repeat = upload_of_digest(actor=actor, digest=source.digest) is not None
    return not is_repeat and needs_mapping(source, Clock(time_zone, now))


def fit_kept(kept: KeptMapping, guess: Guess) -> ColumnMapping | None:
    """The kept mapping for the file of ``guess``; None when it has another number of columns."""
    mapping = mapping_from_json(kept.mapping)
    file = guess.mapping
    if len(mapping.roles) != len(file.roles):
        return None
    return replace(
        mapping,
        encoding=file.encoding,
        separator=file.separator,
        n_before=file.n_before,
        names=file.names,
        table=file.table,
    )


def _of_the_file(reasons: Mapping[str, str]) -> dict[str, str]:
    fields = ("encoding", "separator", "n_before", "has_header", "table")
    return {field: reasons[field] for field in fields if field in reasons}


@transaction.atomic
def draft_answer(
    *,
    actor: User,
    draft_id: int,
    roles: Sequence[Role | None],
    answers: Mapping[str, Any],
    now: datetime,
) -> UploadDraft:
    """Keep what was said about a file that waits.

    Args:
        actor: Whose file it is.
        draft_id: Which file.
        roles: What each column holds.
        answers: Values of the mapping's other fields, as far as they were asked.
        now: When.

    Raises:
        NotFoundError: No such file of the actor's waits.
        ConflictError: It has another number of columns by now.
    """
    draft = _locked(actor, draft_id, now)
    known = mapping_from_json(draft.mapping)
    if len(roles) != len(known.roles):
        raise ConflictError("The file was cut into other columns meanwhile: look at it again.")
    sample = sample_of(source_of(draft), known)
    guess = answer_guess(Guess(known, draft.reasons), sample, roles, answers)
    draft.mapping = mapping_to_json(guess.mapping)
    draft.reasons = guess.reasons
    draft.save(update_fields=["mapping", "reasons"])
    return draft


@transaction.atomic
def draft_guess(*, actor: User, draft_id: int, now: datetime, **fixed: Any) -> UploadDraft:
    """Guess the mapping of a file that waits anew, with what ``take_sample`` takes for granted.

    Raises:
        NotFoundError: No such file of the actor's waits.
        UploadRejectedError: It is no text that way, or has no rows.
    """
    draft = _locked(actor, draft_id, now)
    guess = guess_mapping(take_sample(source_of(draft), **fixed))
    draft.mapping = mapping_to_json(guess.mapping)
    draft.reasons = guess.reasons
    draft.kept_name = ""
    draft.save(update_fields=["mapping", "reasons", "kept_name"])
    return draft


def _locked(actor: User, draft_id: int, now: datetime) -> UploadDraft:
    """A file that waits, held against other writers until the transaction ends."""
    list(UploadDraft.objects.select_for_update().only("pk").filter(pk=draft_id, member=actor))
    return draft_get(actor=actor, draft_id=draft_id, now=now)


def draft_keep(*, actor: User, draft_id: int, name: str, slug: str, now: datetime) -> KeptMapping:
    """Keep the mapping of a file that waits under a name.

    Args:
        actor: Whose file it is.
        draft_id: Which file.
        name: What the mapping is called.
        slug: The club that may use it; empty for the actor alone.
        now: When.

    Raises:
        NotFoundError: No such file of the actor's waits, or the actor is not in the club.
        UploadRejectedError: Something must still be said of how it is read.
        ConflictError: The name stands for somebody else's, or as many are kept as can be.
        ValidationError: The name is empty or too long.
    """
    draft = draft_get(actor=actor, draft_id=draft_id, now=now)
    mapping = _settled(draft, source_of(draft))
    return mapping_keep(actor=actor, mapping=mapping, name=name, slug=slug, now=now)


def draft_import(
    *, actor: User, draft_id: int, time_zone: ZoneInfo, now: datetime, inline_rows: int
) -> Upload:
    """Take in a file that waits, as `upload_import` does; then it waits no more.

    The upload that it replaces is taken back, and can be put back in this one's place.

    Raises:
        NotFoundError: No such file of the actor's waits.
        UploadRejectedError: Something must still be said of how it is read, or no row of it can be
            read; it waits on.
    """
    draft = draft_get(actor=actor, draft_id=draft_id, now=now)
    source = source_of(draft)
    mapping = _settled(draft, source)
    refusal = read_upload(source, Clock(time_zone, now), mapping).refusal
    if refusal is not None:
        raise UploadRejectedError([refusal])
    if draft.replaces_id is not None:
        with suppress(NotFoundError):  # taken back already
            upload_take_back(actor=actor, upload_id=draft.replaces_id, now=now)
    upload = upload_import(
        member=actor,
        source=source,
        file_name=draft.file_name,
        time_zone=time_zone,
        now=now,
        inline_rows=inline_rows,
        mapping=mapping,
    )
    draft.delete()
    return upload


def source_of(draft: UploadDraft) -> SourceFile:
    """The file that waits."""
    return SourceFile(bytes(draft.content))


def _settled(draft: UploadDraft, source: SourceFile) -> ColumnMapping:
    """The mapping of a file that waits, once it leaves nothing open."""
    mapping = mapping_from_json(draft.mapping)
    asked = open_questions(mapping, sample_of(source, mapping))
    if asked:
        raise UploadRejectedError(
            [RowProblem(0, "mapping_open", field, words, "") for field, words in asked.items()]
        )
    return mapping


@transaction.atomic
def draft_discard(*, actor: User, draft_id: int, now: datetime) -> None:
    """Forget a file that waits.

    Raises:
        NotFoundError: No such file of the actor's waits.
    """
    draft_get(actor=actor, draft_id=draft_id, now=now).delete()
