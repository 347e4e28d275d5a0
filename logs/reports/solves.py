"""Solves on lines, page by page."""

from dataclasses import dataclass
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.reports.people import Whose, whose
from logs.reports.words import case_title, find_case, is_case, kind_words, moment, reading
from logs.selectors.solves import solve_list

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import Sighting, Solve


@dataclass(frozen=True, slots=True)
class SightingCell:
    """A case met in a solve, as a line of a list shows it."""

    stage: str
    case: str
    title: str
    has_page: bool
    n_looks: int
    is_one_look: bool
    has_misfire: bool


@dataclass(frozen=True, slots=True)
class SolveLine:
    """A solve on a line of a list."""

    id: int
    done: str
    time: str
    kind: str
    oll: SightingCell | None
    pll: SightingCell | None


@dataclass(frozen=True, slots=True)
class SolvesReport:
    """A page of a member's solves.

    Attributes:
        whose: The member.
        lines: The solves of this page.
        n: How many solves fit the filter, over all pages.
        page: This page, 1-based.
        n_pages: How many pages there are.
        kind: The kind filtered by, or empty.
        case: The case filtered by, as ``oll-27``, or empty.
        case_title: That case in words.
    """

    whose: Whose
    lines: tuple[SolveLine, ...]
    n: int
    page: int
    n_pages: int
    kind: str
    case: str
    case_title: str

    @property
    def previous_page(self) -> int:
        """The page of newer solves."""
        return self.page - 1

    @property
    def next_page(self) -> int:
        """The page of older solves."""
        return self.page + 1

    @property
    def is_filtered(self) -> bool:
        """Whether some of the member's solves may be hidden by the filter."""
        return bool(self.kind or self.case)


def solve_line(solve: "Solve", zone: ZoneInfo) -> SolveLine:
    """The line of a solve whose sightings have been read."""
    cells = {sighting.stage: _cell(sighting) for sighting in solve.sightings.all()}
    return SolveLine(
        id=solve.pk,
        done=moment(solve.done_at, zone),
        time=reading(solve.time_ms, solve.status),
        kind=kind_words(solve.kind),
        oll=cells.get(Stage.OLL.value),
        pll=cells.get(Stage.PLL.value),
    )


def _cell(sighting: "Sighting") -> SightingCell:
    return SightingCell(
        stage=sighting.stage,
        case=sighting.case,
        title=case_title(sighting.stage, sighting.case),
        has_page=is_case(sighting.case),
        n_looks=sighting.n_looks,
        is_one_look=sighting.is_one_look,
        has_misfire=any(look["outcome"] == "misfire" for look in sighting.looks),
    )


def solves_report(
    *,
    actor: "User",
    membership_id: int | None = None,
    page: int = 1,
    kind: str = "",
    case: str = "",
) -> SolvesReport:
    """A page of the solves of the actor, or of the member of the membership.

    Args:
        actor: Who asks.
        membership_id: Whose solves; the actor's own when None.
        page: 1-based.
        kind: ``solve``, ``drill``, or empty for both; anything else counts as empty.
        case: Such as ``oll-27`` or ``pll-skip``, or empty; anything else counts as empty.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = whose(actor=actor, membership_id=membership_id)
    wanted = Kind(kind) if kind in Kind.__members__.values() else None
    stage, number = _known_case(case)
    found = solve_list(
        actor=actor, member=member.user, page=page, kind=wanted, stage=stage, case=number
    )
    return SolvesReport(
        whose=member,
        lines=tuple(solve_line(solve, member.zone) for solve in found),
        n=found.paginator.count,
        page=found.number,
        n_pages=found.paginator.num_pages,
        kind=wanted.value if wanted else "",
        case=case if stage else "",
        case_title=case_title(stage.value, number) if stage and number else "",
    )


def _known_case(text: str) -> tuple[Stage | None, str | None]:
    stage, _, number = text.partition("-")
    is_known = stage in Stage.__members__.values() and (
        not is_case(number) or find_case(stage, number) is not None
    )
    return (Stage(stage), number) if is_known else (None, None)
