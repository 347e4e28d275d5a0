"""The step between a file of another shape and the log: which column is which, and what comes out."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.replay import LastLayerStage
from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member
from logs.intake.guess import open_questions, penalty_words
from logs.intake.guess_forms import has_plus_two
from logs.intake.mapped import read_mapped
from logs.intake.mapping import ROLE_WORDS, ColumnMapping, Role, faults, mapping_from_json
from logs.intake.rows import Clock
from logs.intake.sample import Sample, sample_of
from logs.intake.source import SourceFile
from logs.people.sight import clubs_of, time_zone_of
from logs.solves.models.solves import KeptMapping, UploadDraft
from logs.solves.selectors.solves import (
    DRAFT_LIFE,
    draft_get,
    draft_list,
    kept_mapping_list,
    may_change,
    usable_mapping_get,
)
from logs.solves.services.drafts import source_of
from logs.solves.services.labels import Labelled, label_rows
from logs.words import case_title, find_case, moment, reading

N_PREVIEW = 10


N_ABOVE = 5


N_EXAMPLES = 3


_MAX_SHOWN = 60


@dataclass(frozen=True, slots=True)
class ColumnChoice:
    """A column of the file.

    Attributes:
        index: Its place, from 0.
        name: The cell above it; empty when there is none.
        examples: The first cells that hold something, cut.
        reason: Why it was guessed to hold what it does, or left open; empty when it was not.
    """

    index: int
    name: str
    examples: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class CasePreview:
    """A case met in a row, or a skip.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL; ``skip`` for none.
        title: Stage, number and everyday name.
        angle: Angle of the hold in which it is taught.
    """

    stage: Stage
    number: str
    title: str
    angle: int


@dataclass(frozen=True, slots=True)
class PreviewLine:
    """What becomes of one of the first rows: a solve, or a problem."""

    line: int
    problem: str = ""
    done: str = ""
    time: str = ""
    oll: CasePreview | None = None
    pll: CasePreview | None = None

    @property
    def cases(self) -> tuple[CasePreview | None, CasePreview | None]:
        """Both cases, None where none was met."""
        return self.oll, self.pll


@dataclass(frozen=True, slots=True)
class MappingReport:
    """A file that waits, how it would be read, and what would come out.

    Attributes:
        draft_id: Names it in addresses.
        file_name: Its name.
        waits_until: When it is forgotten.
        kept_name: The kept mapping that was proposed for it, or empty.
        mapping: How it would be read.
        reasons: Why, by field of the mapping.
        questions: What must still be said, by field.
        above: The first rows as they stand.
        columns: Its columns.
        words: The words of its penalty column.
        has_plus_two: Whether one of its first rows has a +2.
        preview: Its first rows as solves; empty while something is open.
        n_bad: How many of these could not be taken.
        is_without_cases: Whether there are solutions, and none of these rows shows a case.
        tables: The names of the sheets or lists in it; empty for a file of lines.
        clubs: The reader's clubs, slug and name, for which a mapping can be kept.
    """

    draft_id: int
    file_name: str
    waits_until: str
    kept_name: str
    mapping: ColumnMapping
    reasons: dict[str, str]
    questions: dict[str, str]
    above: tuple[tuple[str, ...], ...]
    columns: tuple[ColumnChoice, ...]
    words: tuple[str, ...]
    has_plus_two: bool
    preview: tuple[PreviewLine, ...]
    n_bad: int
    is_without_cases: bool
    tables: tuple[str, ...]
    clubs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class WaitingFile:
    """A file that waits, on a line."""

    draft_id: int
    file_name: str
    sent: str
    waits_until: str


@dataclass(frozen=True, slots=True)
class KeptLine:
    """A kept mapping that the reader may use."""

    id: int
    name: str
    whose: str
    words: str
    changed: str
    may_change: bool


def mapping_report(*, actor: User, draft_id: int, now: datetime) -> MappingReport:
    """The step for one of the actor's files.

    Raises:
        NotFoundError: No such file of the actor's waits.
    """
    draft = draft_get(actor=actor, draft_id=draft_id, now=now)
    mapping = mapping_from_json(draft.mapping)
    source = source_of(draft)
    sample = sample_of(source, mapping)
    zone = time_zone_of(actor=actor)
    preview = () if faults(mapping) else _preview(actor, source, mapping, zone, now)
    return MappingReport(
        draft_id=draft.pk,
        file_name=draft.file_name,
        waits_until=_until(draft, zone),
        kept_name=draft.kept_name,
        mapping=mapping,
        reasons=draft.reasons,
        questions=open_questions(mapping, sample),
        above=tuple(
            tuple(map(_cut, cells)) for cells in sample.above[: N_ABOVE + mapping.n_before]
        ),
        columns=_columns(sample, mapping, draft.reasons),
        words=penalty_words(sample, mapping.place(Role.PENALTY)),
        has_plus_two=has_plus_two(sample, mapping),
        preview=preview,
        n_bad=sum(bool(line.problem) for line in preview),
        is_without_cases=_is_without_cases(preview, mapping),
        tables=sample.tables,
        clubs=tuple((club.slug, club.name) for club in clubs_of(actor=actor)),
    )


def _is_without_cases(preview: tuple[PreviewLine, ...], mapping: ColumnMapping) -> bool:
    """Whether rows that have solutions were read and none shows a case: columns may be swapped."""
    has_case = any(case is not None for line in preview for case in line.cases)
    return bool(preview) and Role.SOLUTION in mapping.roles and not has_case


def _columns(
    sample: Sample, mapping: ColumnMapping, reasons: dict[str, str]
) -> tuple[ColumnChoice, ...]:
    return tuple(
        ColumnChoice(
            index=index,
            name=sample.names[index] if index < len(sample.names) else "",
            examples=tuple(map(_cut, list(dict.fromkeys(sample.column(index)))[:N_EXAMPLES])),
            reason=reasons.get(f"column-{index}", ""),
        )
        for index in range(len(mapping.roles))
    )


def _cut(cell: str) -> str:
    flat = " ".join(cell.split())
    return flat if len(flat) <= _MAX_SHOWN else flat[: _MAX_SHOWN - 1] + "…"


def _preview(
    actor: User, source: SourceFile, mapping: ColumnMapping, zone: ZoneInfo, now: datetime
) -> tuple[PreviewLine, ...]:
    parsed = read_mapped(source, mapping, Clock(zone, now), limit=N_PREVIEW)
    if parsed.refusal is not None:
        return (PreviewLine(line=0, problem=parsed.refusal.message),)
    labelled = label_rows(parsed.rows, book=book_of_member(member=actor))
    lines = [
        PreviewLine(line=problem.line, problem=problem.message)
        for problem in (*parsed.problems, *labelled.problems)
    ]
    lines += [_solve_line(row, zone) for row in labelled.rows]
    return tuple(sorted(lines, key=lambda line: line.line))


def _solve_line(labelled: Labelled, zone: ZoneInfo) -> PreviewLine:
    read, replay = labelled.read, labelled.replay
    return PreviewLine(
        line=read.line,
        done=moment(read.done_at, zone),
        time=reading(read.row.time_ms, replay.status.value),
        oll=_case(Stage.OLL, replay.oll),
        pll=_case(Stage.PLL, replay.pll),
    )


def _case(stage: Stage, shown: LastLayerStage | None) -> CasePreview | None:
    if shown is None:
        return None
    case = find_case(stage.value, str(shown.case))
    title = case_title(stage.value, str(shown.case))
    return CasePreview(stage, str(shown.case), title, taught(case).angle if case else 0)


def _until(draft: UploadDraft, zone: ZoneInfo) -> str:
    return moment(draft.made_at + DRAFT_LIFE - timedelta(minutes=1), zone)


def waiting_files(*, actor: User, now: datetime) -> tuple[WaitingFile, ...]:
    """The actor's files that wait, the oldest first."""
    drafts = draft_list(actor=actor, now=now)
    if not drafts:
        return ()
    zone = time_zone_of(actor=actor)
    return tuple(
        WaitingFile(draft.pk, draft.file_name, moment(draft.made_at, zone), _until(draft, zone))
        for draft in drafts
    )


def kept_lines(*, actor: User) -> tuple[KeptLine, ...]:
    """The kept mappings that the actor may use."""
    zone = time_zone_of(actor=actor)
    return tuple(_kept_line(actor, kept, zone) for kept in kept_mapping_list(actor=actor))


def kept_line(*, actor: User, mapping_id: int) -> KeptLine:
    """One of the kept mappings that the actor may use.

    Raises:
        NotFoundError: There is none, or it is not theirs to use.
    """
    kept = usable_mapping_get(actor=actor, mapping_id=mapping_id)
    return _kept_line(actor, kept, time_zone_of(actor=actor))


def _kept_line(actor: User, kept: KeptMapping, zone: ZoneInfo) -> KeptLine:
    return KeptLine(
        id=kept.pk,
        name=kept.name,
        whose="you alone" if kept.club is None else kept.club.name,
        words=mapping_words(mapping_from_json(kept.mapping)),
        changed=moment(kept.changed_at, zone),
        may_change=may_change(actor=actor, kept=kept),
    )


def mapping_words(mapping: ColumnMapping) -> str:
    """What is read from which column, in words."""
    columns = [
        f"{ROLE_WORDS[role]} from {mapping.column(index)}"
        for index, role in enumerate(mapping.roles)
        if role is not None
    ]
    return "; ".join(columns)
