"""The step between a file of another shape and the log: which column is which, and what comes out."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.endings import Status
from cubecore.results import LastLayerStage
from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member
from logs.errors import RowProblem
from logs.intake.guess import open_questions, penalty_words
from logs.intake.guess_forms import has_plus_two
from logs.intake.mapped import read_mapped
from logs.intake.mapping import ColumnMapping, Role, faults, mapping_from_json
from logs.intake.rows import Clock
from logs.intake.sample import Sample, sample_of
from logs.intake.source import SourceFile
from logs.people.sight import ClubName, clubs_of, time_zone_of
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
from logs.words import case_title, find_case

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
    """

    index: int
    name: str
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CasePreview:
    """A case met in a row, or a skip.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL; ``skip`` for none.
        title: Stage, number and everyday name.
        angle: Clockwise quarter turns of the layer to the hold in which it is taught.
    """

    stage: Stage
    number: str
    title: str
    angle: int


@dataclass(frozen=True, slots=True)
class PreviewSolve:
    """A solve that a row would become.

    Attributes:
        done_at: When it was done; null where the row does not tell.
        time_ms: The timer's reading, without the penalty, ms.
        status: How it ended.
        oll: The OLL that was met; null where the last layer was not.
        pll: The PLL that was met; the same.
    """

    done_at: datetime | None
    time_ms: int
    status: Status
    oll: CasePreview | None
    pll: CasePreview | None

    @property
    def cases(self) -> tuple[CasePreview | None, CasePreview | None]:
        """Both cases, None where none was met."""
        return self.oll, self.pll


@dataclass(frozen=True, slots=True)
class PreviewLine:
    """What becomes of one of the first rows: a solve, or a problem.

    Attributes:
        line: Where it stands in the file; 0 for the file as a whole.
        code: Name of the reason why it cannot be taken, for programs; empty for a solve.
        message: The same for people.
        solve: What it would become; null where it cannot be taken.
    """

    line: int
    code: str = ""
    message: str = ""
    solve: PreviewSolve | None = None


@dataclass(frozen=True, slots=True)
class MappingReport:
    """A file that waits, how it would be read, and what would come out.

    Attributes:
        draft_id: Names it in addresses.
        file_name: Its name.
        waits_until: The last minute in which it is there.
        kept_name: The kept mapping that was proposed for it, or empty.
        mapping: How it would be read.
        questions: What must still be said, for people, by the field of the mapping it is about.
        above: The first rows as they stand, cell by cell.
        columns: Its columns.
        words: The words of its penalty column, in small letters.
        has_plus_two: Whether one of its first rows has a +2.
        preview: Its first rows as solves; empty while something is open.
        n_bad: How many of these could not be taken.
        is_without_cases: Whether there are solutions, and none of these rows shows a case.
        tables: The names of the sheets or lists in it; empty for a file of lines.
        clubs: The reader's clubs, for which a mapping can be kept.
        zone: Time zone that the member's log is read in, an IANA name.
    """

    draft_id: int
    file_name: str
    waits_until: datetime
    kept_name: str
    mapping: ColumnMapping
    questions: dict[str, str]
    above: tuple[tuple[str, ...], ...]
    columns: tuple[ColumnChoice, ...]
    words: tuple[str, ...]
    has_plus_two: bool
    preview: tuple[PreviewLine, ...]
    n_bad: int
    is_without_cases: bool
    tables: tuple[str, ...]
    clubs: tuple[ClubName, ...]
    zone: ZoneInfo


@dataclass(frozen=True, slots=True)
class WaitingFile:
    """A file that waits, on a line.

    Attributes:
        draft_id: Names it in addresses.
        file_name: Its name.
        sent_at: When it was sent.
        waits_until: The last minute in which it is there.
    """

    draft_id: int
    file_name: str
    sent_at: datetime
    waits_until: datetime


@dataclass(frozen=True, slots=True)
class ReadColumn:
    """A column that a mapping reads.

    Attributes:
        role: What it holds.
        number: Its place, from 1.
        name: The cell above it; empty when there is none.
    """

    role: Role
    number: int
    name: str


@dataclass(frozen=True, slots=True)
class KeptLine:
    """A kept mapping that the reader may use.

    Attributes:
        id: Its number.
        name: What it is called.
        club: The club that may use it; null for the reader alone.
        columns: What it reads, in the order of the columns.
        changed_at: When it was changed last.
        may_change: Whether the reader may rename and forget it.
    """

    id: int
    name: str
    club: ClubName | None
    columns: tuple[ReadColumn, ...]
    changed_at: datetime
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
        waits_until=_waits_until(draft),
        kept_name=draft.kept_name,
        mapping=mapping,
        questions=open_questions(mapping, sample),
        above=tuple(
            tuple(map(_cut, cells)) for cells in sample.above[: N_ABOVE + mapping.n_before]
        ),
        columns=_columns(sample, mapping),
        words=penalty_words(sample, mapping.place(Role.PENALTY)),
        has_plus_two=has_plus_two(sample, mapping),
        preview=preview,
        n_bad=sum(line.solve is None for line in preview),
        is_without_cases=_is_without_cases(preview, mapping),
        tables=sample.tables,
        clubs=tuple(ClubName(club.name, club.slug) for club in clubs_of(actor=actor)),
        zone=zone,
    )


def _is_without_cases(preview: tuple[PreviewLine, ...], mapping: ColumnMapping) -> bool:
    """Whether rows that have solutions were read and none shows a case: columns may be swapped."""
    solves = [line.solve for line in preview if line.solve is not None]
    has_case = any(case is not None for solve in solves for case in solve.cases)
    return bool(preview) and Role.SOLUTION in mapping.roles and not has_case


def _columns(sample: Sample, mapping: ColumnMapping) -> tuple[ColumnChoice, ...]:
    return tuple(
        ColumnChoice(
            index=index,
            name=sample.names[index] if index < len(sample.names) else "",
            examples=tuple(map(_cut, list(dict.fromkeys(sample.column(index)))[:N_EXAMPLES])),
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
        return (_problem_line(parsed.refusal),)
    labelled = label_rows(parsed.rows, book=book_of_member(member=actor))
    lines = [_problem_line(problem) for problem in (*parsed.problems, *labelled.problems)]
    lines += [_solve_line(row) for row in labelled.rows]
    return tuple(sorted(lines, key=lambda line: line.line))


def _problem_line(problem: RowProblem) -> PreviewLine:
    return PreviewLine(line=problem.line, code=problem.code, message=problem.message)


def _solve_line(labelled: Labelled) -> PreviewLine:
    read, replay = labelled.read, labelled.replay
    solve = PreviewSolve(
        done_at=read.done_at,
        time_ms=read.row.time_ms,
        status=replay.status,
        oll=_case(Stage.OLL, replay.oll),
        pll=_case(Stage.PLL, replay.pll),
    )
    return PreviewLine(line=read.line, solve=solve)


def _case(stage: Stage, sighting: LastLayerStage | None) -> CasePreview | None:
    if sighting is None:
        return None
    number = str(sighting.case)
    case = find_case(stage.value, number)
    title = case_title(stage.value, number)
    return CasePreview(stage, number, title, taught(case).angle if case else 0)


def _waits_until(draft: UploadDraft) -> datetime:
    return draft.made_at + DRAFT_LIFE - timedelta(minutes=1)


def waiting_files(*, actor: User, now: datetime) -> tuple[WaitingFile, ...]:
    """The actor's files that wait, the oldest first."""
    return tuple(
        WaitingFile(draft.pk, draft.file_name, draft.made_at, _waits_until(draft))
        for draft in draft_list(actor=actor, now=now)
    )


def kept_lines(*, actor: User) -> tuple[KeptLine, ...]:
    """The kept mappings that the actor may use."""
    return tuple(_kept_line(actor, kept) for kept in kept_mapping_list(actor=actor))


def kept_line(*, actor: User, mapping_id: int) -> KeptLine:
    """One of the kept mappings that the actor may use.

    Raises:
        NotFoundError: There is none, or it is not theirs to use.
    """
    return _kept_line(actor, usable_mapping_get(actor=actor, mapping_id=mapping_id))


def _kept_line(actor: User, kept: KeptMapping) -> KeptLine:
    mapping = mapping_from_json(kept.mapping)
    return KeptLine(
        id=kept.pk,
        name=kept.name,
        club=None if kept.club is None else ClubName(kept.club.name, kept.club.slug),
        columns=tuple(
            ReadColumn(role, index + 1, mapping.names[index] if index < len(mapping.names) else "")
            for index, role in enumerate(mapping.roles)
            if role is not None
        ),
        changed_at=kept.changed_at,
        may_change=may_change(actor=actor, kept=kept),
    )
