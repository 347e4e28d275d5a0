"""An upload taken back, put back within two weeks, or gone with its bytes.

Taking back moves the upload's rows out of the tables that all pages read, so that no read can forget
to leave them out: what is not in the log cannot be told of. A solve that another file has too stays,
as that file has it. Putting back takes the rows in again as if they came now, by the upload's job.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Count, F, Q
from django.utils import timezone

from clubsite.accounts.models import User
from cubecore.book import Book
from logs.algorithms.selectors import book_of_member
from logs.errors import ConflictError, NotFoundError
from logs.jobs.models import ACTIVE, Job, JobKind, JobStatus
from logs.jobs.services import Lease, LeaseLostError, job_claim, jobs_deliver
from logs.people.locks import lock_log
from logs.people.models import Verb
from logs.people.services.trail import event_write
from logs.solves.models.kept_rows import TELLING, Fate, KeptRow, SolveChange
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from logs.solves.selectors.undo import KEPT_FOR, taken_back_get
from logs.solves.services.ingest import upload_read, upload_run
from logs.solves.services.labels import label_rows
from logs.solves.services.rows import CHUNK, COUNT_FIELDS, COUNTS, count_fates, order_of, refold
from logs.solves.services.sent import first_sent, place_of, sent_from_json, sent_to_json
from logs.solves.services.tallies import tallies_following
from logs.solves.services.uploads import REQUEST


@transaction.atomic
def upload_take_back(*, actor: User, upload_id: int, now: datetime, origin: str = "") -> Upload:
    """Take an upload out of the log: with every solve that no other file has.

    Args:
        actor: Whose upload it is.
        upload_id: Which.
        now: When.
        origin: The actor's network, for the trail.

    Raises:
        NotFoundError: There is none, it is somebody else's, or it is taken back already.
    """
    lock_log(actor.pk)
    upload = Upload.objects.filter(member=actor, pk=upload_id).defer("content").first()
    if upload is None:
        raise NotFoundError("upload")
    note_old_doubles(actor)
    _stop_job(upload, now)
    book = book_of_member(member=actor)
    ids = list(Solve.objects.filter(upload=upload).order_by("line").values_list("pk", flat=True))
    rows = KeptRow.objects.filter(upload=upload)
    told = set(
        rows.filter(fate__in=(Fate.COMPLETES, Fate.CORRECTS)).values_list("solve_number", flat=True)
    )
    with tallies_following({actor.pk: {*ids, *told}}):
        _fill_same(upload)
        rows.update(is_away=True)
        heirs = _heirs(upload)
        _hand_over_deleted(upload, heirs)
        for start in range(0, len(ids), CHUNK):
            _move_out(upload, ids[start : start + CHUNK], heirs)
        stay = sorted(told | (heirs.keys() & set(ids)))
        for start in range(0, len(stay), CHUNK):
            refold(actor.pk, stay[start : start + CHUNK], book)
    upload.taken_back_at = now
    _recount(upload)
    upload.save(update_fields=[*COUNT_FIELDS, "taken_back_at"])
    event_write(
        Verb.UPLOAD_TAKE_BACK,
        actor=actor,
        member=actor,
        now=now,
        detail={"upload": upload.pk},
        origin=origin,
    )
    return upload


def _stop_job(upload: Upload, now: datetime) -> None:
    """Stop taking in the rows of an upload; whoever does it has lost its lease."""
    Job.objects.filter(upload=upload, status__in=ACTIVE).update(
        status=JobStatus.CANCELLED, token="", lease_until=None, ended_at=now
    )


def _fill_same(upload: Upload) -> None:
    """Write down what an upload's rows say that were kept as the same as a solve's first row."""
    same = KeptRow.objects.filter(upload=upload, key="").order_by("line")
    while rows := list(same[:CHUNK]):
        numbers = {row.solve_number for row in rows}
        solves = {solve.pk: solve for solve in Solve.objects.filter(pk__in=numbers)}
        deleted = KeptRow.objects.filter(
            member=upload.member_id, fate=Fate.DELETED, is_away=False, solve_number__in=numbers
        )
        tombs = {tomb.solve_number: tomb for tomb in deleted}
        for row in rows:
            solve = solves.get(row.solve_number)
            if solve is not None:
                row.key, row.sent = solve.key, sent_to_json(first_sent(solve))
            else:
                tomb = tombs[row.solve_number]
                row.key, row.sent = tomb.key, tomb.sent
            row.place = place_of(sent_from_json(row.sent))
        KeptRow.objects.bulk_update(rows, ["key", "place", "sent"], batch_size=CHUNK // 2)


def _heirs(upload: Upload) -> dict[int, KeptRow]:
    """Of each solve or deletion of an upload that another file tells of, the row to stand for it.

    A row that is the same comes first, then the one that came first, then one that was decided upon.
    """
    numbers = Q(solve_number__in=Solve.objects.filter(upload=upload).values("pk")) | Q(
        solve_number__in=KeptRow.objects.filter(upload=upload, fate=Fate.DELETED).values(
            "solve_number"
        )
    )
    rows = KeptRow.objects.filter(
        numbers, member=upload.member_id, fate__in=TELLING, is_away=False
    ).exclude(upload=upload)
    by_number: dict[int, list[KeptRow]] = defaultdict(list)
    for row in rows.select_related("upload").defer("upload__content").iterator():
        by_number[row.solve_number].append(row)
    return {number: min(rows, key=_heirs_order) for number, rows in by_number.items()}


def _heirs_order(row: KeptRow) -> tuple[Any, ...]:
    return row.key != "", row.decided_at is not None, order_of(row)


def _move_out(upload: Upload, ids: Sequence[int], heirs: Mapping[int, KeptRow]) -> None:
    """Keep solves of an upload as rows that are away; those with an heir stand on as its row."""
    solves = list(Solve.objects.filter(pk__in=ids).order_by("line"))
    away = [_away(upload, solve, heirs.get(solve.pk)) for solve in solves]
    leaving = [solve.pk for solve in solves if solve.pk not in heirs]
    Sighting.objects.filter(solve__in=leaving).delete()
    Solve.objects.filter(pk__in=leaving).delete()
    for solve in solves:
        if solve.pk in heirs:
            _inherit(solve, heirs[solve.pk])
    KeptRow.objects.bulk_create(away, batch_size=CHUNK)


def _away(upload: Upload, solve: Solve, heir: KeptRow | None) -> KeptRow:
    sent = first_sent(solve)
    is_as_sent = solve.as_sent is None and solve.place is not None
    return KeptRow(
        upload=upload,
        line=solve.line,
        member_id=solve.member_id,
        fate=Fate.TAKEN if heir is None else _fate_beside(heir),
        decided_at=None if heir is None else heir.decided_at,
        is_away=True,
        solve_number=solve.pk,
        key=solve.key,
        place=solve.place if is_as_sent else place_of(sent),
        sent=sent_to_json(sent),
        correction=solve.correction,
    )


def _fate_beside(heir: KeptRow) -> Fate:
    """What becomes of a row whose heir stands for it: what was decided between the two holds on."""
    if heir.decided_at is None:
        return Fate.TAKEN
    return Fate.DOUBLED if heir.fate == Fate.CORRECTS else Fate.CORRECTS


def _inherit(solve: Solve, heir: KeptRow) -> None:
    """Have a solve stand as another row; what it says is folded anew by the caller."""
    solve.upload_id, solve.line = heir.upload_id, heir.line
    if heir.key:
        solve.key, solve.as_sent = heir.key, heir.sent
    solve.save(update_fields=["upload", "line", "key", "as_sent"])
    heir.delete()
    _count_moved(heir, Fate.TAKEN)


def _count_moved(row: KeptRow, fate: Fate) -> None:
    """Move a row from one count of its upload to another."""
    moved = {COUNTS[Fate(row.fate)]: -1, COUNTS[fate]: 1}
    Upload.objects.filter(pk=row.upload_id).update(
        **{name: F(name) + n for name, n in moved.items()}
    )


def _hand_over_deleted(upload: Upload, heirs: dict[int, KeptRow]) -> None:
    """What its member deleted stays deleted where another file has it too."""
    deleted = KeptRow.objects.filter(upload=upload, fate=Fate.DELETED, solve_number__in=heirs)
    for row in deleted:
        heir = heirs.pop(row.solve_number)
        beside, between = _fate_beside(heir), heir.decided_at
        _count_moved(heir, Fate.DELETED)
        if not heir.key:
            heir.key, heir.place, heir.sent = row.key, row.place, row.sent
        heir.fate, heir.correction, heir.decided_at = Fate.DELETED, row.correction, row.decided_at
        heir.save()
        row.fate, row.decided_at = beside, between
        row.save(update_fields=["fate", "decided_at"])


def _recount(upload: Upload) -> None:
    """Count an upload's rows that are away, and those set aside; not saved."""
    counts = KeptRow.objects.filter(upload=upload).values("fate").annotate(n=Count("pk"))
    fates = Counter({Fate(one["fate"]): one["n"] for one in counts.order_by("fate")})
    _clear_counts(upload)
    count_fates(upload, fates)
    upload.n_rows += fates.total()


def _clear_counts(upload: Upload) -> None:
    """Have an upload count what is set aside alone."""
    for name in COUNT_FIELDS:
        setattr(upload, name, 0)
    n_aside = SetAsideRow.objects.filter(upload=upload, mended_at=None).count()
    upload.n_rows = upload.n_set_aside = n_aside


def note_old_doubles(member: User) -> None:
    """Write down which rows were doubled, of uploads from before such rows were kept."""
    kept = Count("kept_rows", filter=Q(kept_rows__fate=Fate.DOUBLED))
    old = Upload.objects.filter(member=member, n_doubled__gt=0).annotate(n_kept=kept)
    for upload in old.filter(n_doubled__gt=F("n_kept")):
        _note_doubles(upload, book_of_member(member=member))


def _note_doubles(upload: Upload, book: Book) -> None:
    lines = set(upload.solves.values_list("line", flat=True))
    lines |= set(upload.kept_rows.values_list("line", flat=True))
    lines |= set(upload.set_aside_rows.values_list("line", flat=True))
    rows = label_rows(upload_read(upload).rows, book=book).rows
    doubled = [row for row in rows if row.read.line not in lines]
    solves = Solve.objects.filter(member=upload.member_id)
    numbers = {
        key: number
        for start in range(0, len(doubled), CHUNK)
        for key, number in solves.filter(
            key__in=[row.key for row in doubled[start : start + CHUNK]]
        ).values_list("key", "pk")
    }
    KeptRow.objects.bulk_create(
        (
            KeptRow(
                upload=upload,
                line=row.read.line,
                member_id=upload.member_id,
                fate=Fate.DOUBLED,
                solve_number=numbers[row.key],
            )
            for row in doubled
            if row.key in numbers
        ),
        batch_size=CHUNK,
    )


def upload_put_back(
    *, actor: User, upload_id: int, now: datetime, inline_rows: int | None = None, origin: str = ""
) -> Upload:
    """Put an upload back that was taken back: its rows come into the log again, as if sent now.

    Args:
        actor: Whose upload it is.
        upload_id: Which.
        now: When.
        inline_rows: One of more rows is left to a worker; None puts back any here.
        origin: The actor's network, for the trail.

    Raises:
        NotFoundError: There is none, it is somebody else's, is not taken back, or is gone.
        ConflictError: The same file was sent again since.
    """
    upload, lease = _begin(actor, upload_id, now, inline_rows, origin)
    if lease is not None:
        with suppress(LeaseLostError):  # stopped by the member, or gone on with elsewhere
            upload_run(lease, is_stopping=lambda: False)
        upload.refresh_from_db()
    return upload


@transaction.atomic
def _begin(
    actor: User, upload_id: int, now: datetime, inline_rows: int | None, origin: str
) -> tuple[Upload, Lease | None]:
    """Have an upload's rows wait to be put back; the lease of the job when it is done here."""
    lock_log(actor.pk)
    upload = taken_back_get(actor=actor, upload_id=upload_id, now=now)
    if Upload.objects.filter(member=actor, sha256=upload.sha256).exists():
        raise ConflictError("You sent this very file again since: take that upload back first.")
    n_rows = upload.n_rows
    _clear_counts(upload)
    upload.taken_back_at = None
    upload.save(update_fields=[*COUNT_FIELDS, "taken_back_at"])
    job = Job.objects.filter(upload=upload).first() or Job(
        kind=JobKind.UPLOAD, member=actor, upload=upload, n_total=n_rows
    )
    job.status, job.token, job.lease_until, job.ended_at = JobStatus.QUEUED, "", None, None
    job.error_code = job.error_message = ""
    job.attempts, job.made_at, job.started_at = 0, now, None
    job.n_taken = job.n_doubled = 0
    job.n_read = job.n_set_aside = upload.n_set_aside
    job.save()
    event_write(
        Verb.UPLOAD_PUT_BACK,
        actor=actor,
        member=actor,
        now=now,
        detail={"upload": upload.pk},
        origin=origin,
    )
    if inline_rows is None or job.n_total <= inline_rows:
        return upload, job_claim(job.pk, worker=REQUEST, now=timezone.now())
    jobs_deliver([job.pk], now=now)
    return upload, None


def uploads_purge(*, now: datetime) -> int:
    """Delete uploads that were taken back too long ago, with their bytes; how many rows went.

    What was changed by hand goes too, where no row of the solve is left.
    """
    n_gone = 0
    old = Upload.all_uploads.filter(taken_back_at__lte=now - KEPT_FOR)
    for upload_id, member_id in list(old.values_list("pk", "member_id")):
        with transaction.atomic():
            lock_log(member_id)
            upload = old.filter(pk=upload_id).defer("content").first()
            if upload is None:
                continue
            numbers = set(upload.kept_rows.values_list("solve_number", flat=True))
            n_gone += upload.delete()[0]
            _forget_changes(member_id, numbers)
    return n_gone


def _forget_changes(member_id: int, numbers: set[int]) -> None:
    """Forget what was changed of solves of which no row is left."""
    changed = SolveChange.objects.filter(member=member_id)
    gone = set(changed.values_list("solve_number", flat=True)) & numbers
    gone -= set(Solve.objects.filter(pk__in=gone).values_list("pk", flat=True))
    kept = KeptRow.objects.filter(member=member_id, solve_number__in=gone)
    gone -= set(kept.values_list("solve_number", flat=True))
    changed.filter(solve_number__in=gone).delete()
