"""Solves, one by one and page by page.

Files that wait for a mapping, and the mappings kept for the actor or for their clubs.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from django.core.paginator import Page, Paginator
from django.db.models import Count, F, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.endings import Status
from cubecore.results import Kind
from cubecore.turns import Face
from logs.algorithms.selectors import books_of_members
from logs.errors import NotFoundError
from logs.intake.formats import format_csv_line, guard_line
from logs.intake.rows import Format
from logs.people.models import Club, Membership
from logs.people.sight import Sight, check_sight, coached_clubs, coaches, visible_memberships
from logs.solves.models.solves import KeptMapping, SetAsideRow, Sighting, Solve, Upload, UploadDraft
from logs.solves.selectors.alike import is_alike

PAGE_SIZE = 50


def _with_sightings(solves: QuerySet[Solve]) -> QuerySet[Solve]:
    """``solves`` with their sightings, OLL first."""
    return solves.prefetch_related(Prefetch("sightings", Sighting.objects.order_by("stage")))


class Behind(StrEnum):
    """A kind of figure, to list the solves behind it."""

    LOOKS = "looks"
    TIMES = "times"
    ONE_LOOK_TIMES = "one-look-times"
    MORE_LOOK_TIMES = "more-look-times"
    SPLITS = "splits"


@dataclass(frozen=True, slots=True)
class Window:
    """Solves of any kind but drills, up to one of them.

    Attributes:
        solve_id: Number of the last.
        n: How many.
    """

    solve_id: int
    n: int


_TIMED = Q(recognition_ms__gt=0, execution_ms__gt=0)


_SIGHTINGS_BEHIND: Final = {
    Behind.LOOKS: Q(n_looks__gt=0),
    Behind.TIMES: _TIMED,
    Behind.ONE_LOOK_TIMES: _TIMED & Q(is_one_look=True),
    Behind.MORE_LOOK_TIMES: _TIMED & Q(is_one_look=False),
}


_OF_TIMES: Final = (Behind.TIMES, Behind.ONE_LOOK_TIMES, Behind.MORE_LOOK_TIMES)


_HAS_SPLITS: Final = Q(
    kind=Kind.SOLVE, cross_ms__isnull=False, f2l_ms__isnull=False, final_auf_ms__isnull=False
) & ~Q(status=Status.DNF)


def _split_in(member: User, stage: Stage) -> QuerySet[Sighting, int]:
    timed = Sighting.objects.filter(member=member, stage=stage, recognition_ms__isnull=False)
    return timed.values_list("solve", flat=True)


def _of_window(member: User, window: Window) -> list[int]:
    solves = Solve.objects.filter(member=member).exclude(kind=Kind.DRILL)
    ids = list(
        solves.order_by(F("done_at").asc(nulls_first=True), "id").values_list("id", flat=True)
    )
    end = ids.index(window.solve_id) + 1 if window.solve_id in ids else 0
    return ids[max(0, end - window.n) : end]


def solve_list(
    *,
    actor: User,
    member: User | Sight,
    page: int = 1,
    page_size: int = PAGE_SIZE,
    kind: Kind | None = None,
    stage: Stage | None = None,
    case: str | None = None,
    behind: Behind | None = None,
    window: Window | None = None,
    span: tuple[datetime, datetime] | None = None,
) -> Page[Solve]:
    """A page of the member's solves with their sightings, newest first, undated ones last.

    Args:
        actor: Who asks.
        member: Whose solves.
        page: 1-based; past either end the nearest page is answered.
        page_size: Solves on a page.
        kind: Only solves, or only drills.
        stage: Together with ``case``: only solves that met this case in this stage.
        case: OLL number or PLL letters as text, or ``skip``.
        behind: Only those behind a figure; of a case's figures together with ``case``.
        window: Only those of an average.
        span: Only those done from the one moment on and before the other.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    solves = Solve.objects.filter(member=member)
    if kind is not None:
        solves = solves.filter(kind=kind)
    if stage is not None and case is not None:
        met = Sighting.objects.filter(member=member, stage=stage, case=case)
        if behind in _SIGHTINGS_BEHIND:
            met = met.filter(_SIGHTINGS_BEHIND[behind])
        if behind in _OF_TIMES:
            met = met.alias(is_alike=is_alike("solve__")).filter(is_alike=True)
        solves = solves.filter(pk__in=met.values("solve"))
    if behind is Behind.SPLITS:
        solves = solves.alias(is_alike=is_alike()).filter(is_alike=True)
        solves = solves.filter(_HAS_SPLITS, pk__in=_split_in(member, Stage.OLL))
        solves = solves.filter(pk__in=_split_in(member, Stage.PLL))
    if window is not None:
        solves = solves.filter(pk__in=_of_window(member, window))
    if span is not None:
        solves = solves.filter(done_at__gte=span[0], done_at__lt=span[1])
    newest_first = solves.order_by(F("done_at").desc(nulls_last=True), "-id")
    return Paginator(_with_sightings(newest_first), page_size).get_page(page)


def solve_get(*, actor: User, solve_id: int) -> Solve:
    """A solve with its sightings and its member.

    Raises:
        NotFoundError: There is none, or it is not the actor's to read.
    """
    if not actor.is_active:
        raise NotFoundError("solve")
    shown = Q(member=actor) | Q(member__in=visible_memberships(actor).values("user"))
    solves = _with_sightings(Solve.objects.filter(shown).select_related("member"))
    solve = solves.filter(pk=solve_id).first()
    if solve is None:
        raise NotFoundError("solve")
    return solve


def _own_uploads(actor: User) -> QuerySet[Upload]:
    """The actor's uploads with their jobs, without their bytes."""
    if not actor.is_active:
        return Upload.objects.none()
    return Upload.objects.filter(member=actor).select_related("job").defer("content")


def upload_list(*, actor: User) -> list[Upload]:
    """The actor's uploads, newest first."""
    return list(_with_left_out(_own_uploads(actor)).order_by("-received_at", "-id"))


def upload_get(*, actor: User, upload_id: int) -> Upload:
    """One of the actor's uploads.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    upload = _with_left_out(_own_uploads(actor)).filter(pk=upload_id).first()
    if upload is None:
        raise NotFoundError("upload")
    return upload


def _with_left_out(uploads: QuerySet[Upload]) -> QuerySet[Upload]:
    """The uploads, each with ``n_left_out``: its set-aside rows that wait no more."""
    rows = SetAsideRow.objects.filter(upload=OuterRef("pk"), mended_at=None)
    counts = rows.exclude(left_out_at=None).order_by().values("upload").annotate(n=Count("pk"))
    return uploads.annotate(n_left_out=Coalesce(Subquery(counts.values("n")), 0))


def set_aside_list(*, actor: User, upload: Upload | None = None) -> list[SetAsideRow]:
    """The actor's rows that still wait to be mended, in the order of their files.

    Args:
        actor: Who asks.
        upload: Of this upload alone; of all uploads when None.

    Raises:
        NotFoundError: The upload is somebody else's.
    """
    if upload is not None and (upload.member_id != actor.pk or not actor.is_active):
        raise NotFoundError("upload")
    rows = SetAsideRow.objects.filter(
        upload__in=_own_uploads(actor), mended_at=None, left_out_at=None
    )
    if upload is not None:
        rows = rows.filter(upload=upload)
    rows = rows.select_related("upload").defer("upload__content")
    return list(rows.order_by("-upload__received_at", "upload", "line"))


def set_aside_get(*, actor: User, set_aside_id: int) -> SetAsideRow:
    """One of the actor's set-aside rows, mended or not, with its upload.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    rows = SetAsideRow.objects.filter(upload__in=_own_uploads(actor))
    row = rows.select_related("upload").defer("upload__content").filter(pk=set_aside_id).first()
    if row is None:
        raise NotFoundError("set-aside row")
    return row


def set_aside_text(*, actor: User, upload: Upload) -> str:
    """The upload's rows that wait to be mended, as a file of the same format.

    Each row stands exactly as it came, but for cells that a spreadsheet would run, which are guarded
    and read as they were; a CSV file has its header on top, parted as the file is.

    Raises:
        NotFoundError: The upload is somebody else's.
    """
    separator = upload.mapping["separator"] if upload.mapping else ","
    has_header = upload.format != Format.JSON_LINES and upload.columns
    header = format_csv_line(upload.columns, separator) if has_header else ""
    rows = set_aside_list(actor=actor, upload=upload)
    texts = (row.text for row in rows)
    if upload.format != Format.JSON_LINES:
        texts = (guard_line(text, separator) for text in texts)
    return header + "".join(text + "\r\n" for text in texts)


_OPPOSITE = {
    face.colour: other.colour
    for face in Face
    for other in Face
    if face != other and face % 3 == other % 3
}


USUAL = "yellow"
"""The last layer of who begins with a white cross, as most do (common practice, no source)."""


def usual_last_colour(*, actor: User) -> str:
    """The colour of the last layer in most of the actor's solves; yellow for want of any."""
    crosses = Solve.objects.filter(member=actor, kind=Kind.SOLVE).exclude(cross="")
    most = crosses.values_list("cross").annotate(n=Count("id")).order_by("-n", "cross").first()
    return USUAL if most is None else _OPPOSITE[most[0]]


def is_relabelled(*, actor: User, club: Club) -> bool:
    """Whether the solves of ``club``'s members are all labelled by their books as they stand.

    It tells a coach that labels are behind, and nothing of whose.

    Raises:
        NotFoundError: ``actor`` does not coach the club.
    """
    if not coaches(actor=actor, club_id=club.pk):
        raise NotFoundError("club")
    members = Membership.objects.filter(club=club).values_list("user", flat=True)
    books = books_of_members(member_ids=members)
    by_version: dict[str, list[int]] = {}
    for member, book in books.items():
        by_version.setdefault(book.version, []).append(member)
    return not any(
        Solve.objects.filter(member__in=ids).exclude(book_version=version).exists()
        for version, ids in by_version.items()
    )


DRAFT_LIFE = timedelta(days=7)
"""How long a file waits for its member to say how it is to be read."""


def _drafts(actor: User, now: datetime) -> QuerySet[UploadDraft]:
    if not actor.is_active:
        return UploadDraft.objects.none()
    return UploadDraft.objects.filter(member=actor, made_at__gt=now - DRAFT_LIFE)


def draft_list(*, actor: User, now: datetime) -> list[UploadDraft]:
    """The actor's files that wait, the oldest first, without their bytes."""
    return list(_drafts(actor, now).defer("content").order_by("made_at", "id"))


def draft_get(*, actor: User, draft_id: int, now: datetime) -> UploadDraft:
    """One of the actor's files that wait.

    Raises:
        NotFoundError: There is none, it is somebody else's, or it has waited too long.
    """
    draft = _drafts(actor, now).filter(pk=draft_id).first()
    if draft is None:
        raise NotFoundError("file")
    return draft


def upload_of_digest(*, actor: User, digest: str) -> Upload | None:
    """The actor's upload of these very bytes; None when they have not sent them before."""
    return Upload.objects.filter(member=actor, sha256=digest).defer("content").first()


def _usable(actor: User) -> QuerySet[KeptMapping]:
    if not actor.is_active:
        return KeptMapping.objects.none()
    own = Q(member=actor) | Q(club__memberships__user=actor)
    return KeptMapping.objects.filter(own).select_related("club")


def kept_mapping_list(*, actor: User) -> list[KeptMapping]:
    """The mappings that the actor may use: their own, then each club's, by name."""
    found = _usable(actor).order_by("name", "id")
    return sorted(found, key=lambda kept: "" if kept.club is None else kept.club.name)


def kept_mapping_for(*, actor: User, header_key: str) -> KeptMapping | None:
    """The mapping for files of one shape; of several the one changed last."""
    return _usable(actor).filter(header_key=header_key).order_by("-changed_at", "-id").first()


def kept_mapping_get(*, actor: User, mapping_id: int) -> KeptMapping:
    """A mapping that the actor may change: one they made, or one of a club that they coach.

    Raises:
        NotFoundError: There is none, or it is not theirs to change.
    """
    kept = _usable(actor).filter(pk=mapping_id).first()
    if kept is None or not may_change(actor=actor, kept=kept):
        raise NotFoundError("mapping")
    return kept


def usable_mapping_get(*, actor: User, mapping_id: int) -> KeptMapping:
    """A mapping that the actor may use.

    Raises:
        NotFoundError: There is none, or it is not theirs to use.
    """
    kept = _usable(actor).filter(pk=mapping_id).first()
    if kept is None:
        raise NotFoundError("mapping")
    return kept


def may_change(*, actor: User, kept: KeptMapping) -> bool:
    """Whether the actor may change a mapping that they may use: its maker, or a coach."""
    if kept.member_id == actor.pk or kept.made_by_id == actor.pk:
        return True
    return any(club.pk == kept.club_id for club in coached_clubs(actor=actor))
