"""Files that wait until their member has said how they are to be read."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db import transaction

from logs.errors import ConflictError
from logs.intake.guess import Guess, answer_guess, guess_mapping
from logs.intake.mapping import (
    ColumnMapping,
    Role,
    header_key,
    mapping_from_json,
    mapping_to_json,
)
from logs.intake.sample import sample_of, take_sample
from logs.models import KeptMapping, UploadDraft
from logs.selectors.mappings import DRAFT_LIFE, draft_get, draft_list, kept_mapping_for
from logs.services.file_names import plain_name
from logs.services.locks import lock_log

if TYPE_CHECKING:
    from clubsite.accounts.models import User

MAX_DRAFTS = 5
"""Files of one member that wait at a time."""


@transaction.atomic
def draft_add(*, actor: "User", content: bytes, file_name: str, now: datetime) -> UploadDraft:
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
    digest = hashlib.sha256(content).hexdigest()
    for draft in waiting:
        if draft.sha256 == digest:
            return draft
    if len(waiting) >= MAX_DRAFTS:
        raise ConflictError(
            f"{len(waiting)} files wait already until you say how to read them."
            " Finish or discard one first."
        )
    guess = guess_mapping(take_sample(content))
    kept = kept_mapping_for(actor=actor, header_key=header_key(guess.mapping))
    fitted = fit_kept(kept, guess) if kept else None
    return UploadDraft.objects.create(
        member=actor,
        sha256=digest,
        content=content,
        file_name=plain_name(file_name),
        mapping=mapping_to_json(fitted or guess.mapping),
        reasons=guess.reasons if fitted is None else _of_the_file(guess.reasons),
        kept_name=kept.name if kept and fitted else "",
        made_at=now,
    )


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
    )


def _of_the_file(reasons: Mapping[str, str]) -> dict[str, str]:
    fields = ("encoding", "separator", "n_before", "has_header")
    return {field: reasons[field] for field in fields if field in reasons}


@transaction.atomic
def draft_answer(
    *,
    actor: "User",
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
    """
    draft = draft_get(actor=actor, draft_id=draft_id, now=now)
    known = mapping_from_json(draft.mapping)
    sample = sample_of(bytes(draft.content), known)
    guess = answer_guess(Guess(known, draft.reasons), sample, roles, answers)
    draft.mapping = mapping_to_json(guess.mapping)
    draft.reasons = guess.reasons
    draft.save(update_fields=["mapping", "reasons"])
    return draft


@transaction.atomic
def draft_guess(*, actor: "User", draft_id: int, now: datetime, **fixed: Any) -> UploadDraft:
    """Guess the mapping of a file that waits anew, with what ``take_sample`` takes for granted.

    Raises:
        NotFoundError: No such file of the actor's waits.
        UploadRejectedError: It is no text that way, or has no rows.
    """
    draft = draft_get(actor=actor, draft_id=draft_id, now=now)
    guess = guess_mapping(take_sample(bytes(draft.content), **fixed))
    draft.mapping = mapping_to_json(guess.mapping)
    draft.reasons = guess.reasons
    draft.kept_name = ""
    draft.save(update_fields=["mapping", "reasons", "kept_name"])
    return draft


@transaction.atomic
def draft_discard(*, actor: "User", draft_id: int, now: datetime) -> None:
    """Forget a file that waits.

    Raises:
        NotFoundError: No such file of the actor's waits.
    """
    draft_get(actor=actor, draft_id=draft_id, now=now).delete()
