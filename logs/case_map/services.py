"""A member's own word on cases, written."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from clubsite.accounts.models import User
from cubecore.cases import CASES, CaseId
from logs.case_map.models import KnownByWord
from logs.people.locks import lock_log


@transaction.atomic
def known_by_word_set(
    *,
    actor: User,
    cases: Collection[CaseId],
    now: datetime,
    among: Collection[CaseId] = tuple(CASES),
) -> int:
    """Keep the actor's word that of ``among`` they know ``cases`` in one look; how many that are.

    What they said of cases that are not ``among`` those asked about stays; a word that stood
    before keeps its day.
    """
    lock_log(actor.pk)
    wanted = set(cases) & set(among)
    stored = {
        CaseId.read(row.stage, row.case): row for row in KnownByWord.objects.filter(member=actor)
    }
    gone = [row.pk for case, row in stored.items() if case in among and case not in wanted]
    KnownByWord.objects.filter(pk__in=gone).delete()
    KnownByWord.objects.bulk_create(
        KnownByWord(member=actor, stage=case.stage.value, case=case.text, said_at=now)
        for case in CASES
        if case in wanted and case not in stored
    )
    return len(wanted)
