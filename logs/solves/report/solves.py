"""Solves on lines, page by page."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.endings import Status, counted_ms
from cubecore.results import Kind
from logs.cases.report import CaseName
from logs.people.sight import Whose, sight_of
from logs.solves.models.solves import Sighting, Solve
from logs.solves.selectors.solves import Behind, Window, solve_list
from logs.words import case_title, find_case, is_case


@dataclass(frozen=True, slots=True)
class MetCase:
    """A case met in a solve.

    Attributes:
        stage: ``oll`` or ``pll``.
        number: Number of an OLL, letters of a PLL; ``skip`` where there was nothing to do.
        title: Stage, number and everyday name.
        n_looks: Looks that it took.
        is_one_look: Whether it went in one look.
        has_misfire: Whether a look lost something that stood.
    """

    stage: Stage
    number: str
    title: str
    n_looks: int
    is_one_look: bool
    has_misfire: bool


@dataclass(frozen=True, slots=True)
class SolveLine:
    """A solve on a line of a list.

    Attributes:
        id: Its number.
        done_at: When it was done; null where the log does not tell.
        time_ms: The timer's reading, without the penalty, ms.
        counted_ms: As it counts, with the two seconds of a +2, ms; null for a DNF.
        status: How it ended.
        kind: A whole solve or a drill; null for a row without a solution.
        oll: The OLL that was met; null where the last layer was not.
        pll: The PLL that was met; the same.
    """

    id: int
    done_at: datetime | None
    time_ms: int
    counted_ms: int | None
    status: Status
    kind: Kind | None
    oll: MetCase | None
    pll: MetCase | None


@dataclass(frozen=True, slots=True)
class FigureAsked:
    """A figure whose solves are asked for.

    Attributes:
        behind: A kind of figure; null where none is asked for.
        window: An average; null where none is asked for.
        since: First day of a day or a week; null where none is asked for.
        n_days: Its days.
    """

    behind: Behind | None = None
    window: Window | None = None
    since: date | None = None
    n_days: int = 1

    @property
    def is_asked(self) -> bool:
        """Whether a figure is asked for at all."""
        return self != NO_FIGURE

    def span(self, zone: ZoneInfo) -> tuple[datetime, datetime] | None:
        """From midnight to midnight in ``zone``."""
        if self.since is None:
            return None
        begin = datetime.combine(self.since, datetime.min.time(), zone)
        end = datetime.combine(self.since + timedelta(days=self.n_days), datetime.min.time(), zone)
        return begin, end


NO_FIGURE: Final = FigureAsked()


def figure_asked(
    *, behind: str = "", until: int = 0, last: int = 0, since: date | None = None, days: int = 1
) -> FigureAsked:
    """The figure that an address asks for; an average needs its last solve and its length.

    Args:
        behind: A kind of figure, or empty.
        until: Number of the last solve of an average; 0 for none.
        last: How many solves an average has; 0 for none.
        since: First day of a day or a week.
        days: 7 for a week; anything else is a day.
    """
    if since is not None and since.year in (date.min.year, date.max.year):
        since = None  # its midnights are no moments everywhere
    return FigureAsked(
        behind=Behind(behind) if behind in Behind.__members__.values() else None,
        window=Window(until, last) if last and until else None,
        since=since,
        n_days=7 if days == 7 else 1,
    )


@dataclass(frozen=True, slots=True)
class SolvesReport:
    """A page of a member's solves.

    Attributes:
        whose: The member.
        lines: The solves of this page.
        n: How many solves fit the filter, over all pages.
        page: Number of this page, from 1.
        n_pages: How many pages there are.
        kind: The kind filtered by; null for all.
        case: The case filtered by; null for all.
        figure: The figure whose solves these are.
    """

    whose: Whose
    lines: tuple[SolveLine, ...]
    n: int
    page: int
    n_pages: int
    kind: Kind | None
    case: CaseName | None
    figure: FigureAsked

    @property
    def previous_page(self) -> int:
        """The page of newer solves."""
        return self.page - 1

    @property
    def next_page(self) -> int:
        """The page of older solves."""
        return self.page + 1

    @property
    def case_code(self) -> str:
        """The case filtered by as addresses have it, or empty."""
        return f"{self.case.stage}-{self.case.number}" if self.case else ""

    @property
    def is_filtered(self) -> bool:
        """Whether some of the member's solves may be hidden by the filter."""
        return bool(self.kind or self.case or self.figure.is_asked)


def name_of_met(stage: Stage, number: str) -> CaseName:
    """A case that was met, or a skip, by name."""
    return CaseName(stage, number, case_title(stage, number))


def solve_line(solve: Solve) -> SolveLine:
    """The line of a solve whose sightings have been read."""
    cases = {sighting.stage: _met_case(sighting) for sighting in solve.sightings.all()}
    status = Status(solve.status)
    return SolveLine(
        id=solve.pk,
        done_at=solve.done_at,
        time_ms=solve.time_ms,
        counted_ms=counted_ms(solve.time_ms, status),
        status=status,
        kind=Kind(solve.kind) if solve.kind else None,
        oll=cases.get(Stage.OLL.value),
        pll=cases.get(Stage.PLL.value),
    )


def _met_case(sighting: Sighting) -> MetCase:
    return MetCase(
        stage=Stage(sighting.stage),
        number=sighting.case,
        title=case_title(sighting.stage, sighting.case),
        n_looks=sighting.n_looks,
        is_one_look=sighting.is_one_look,
        has_misfire=any(look["outcome"] == "misfire" for look in sighting.looks),
    )


def solves_report(
    *,
    actor: User,
    membership_id: int | None = None,
    page: int = 1,
    kind: str = "",
    case: str = "",
    figure: FigureAsked = NO_FIGURE,
) -> SolvesReport:
    """A page of the solves of the actor, or of the member of the membership.

    Args:
        actor: Who asks.
        membership_id: Whose solves; the actor's own when None.
        page: 1-based.
        kind: ``solve``, ``drill``, or empty for both; anything else counts as empty.
        case: Such as ``oll-27`` or ``pll-skip``, or empty; anything else counts as empty.
        figure: Only the solves behind it.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    member = sight_of(actor=actor, membership_id=membership_id)
    kind_asked = Kind(kind) if kind in Kind.__members__.values() else None
    case_asked = _case_of(case)
    solves = solve_list(
        actor=actor,
        member=member,
        page=page,
        kind=kind_asked,
        stage=case_asked.stage if case_asked else None,
        case=case_asked.number if case_asked else None,
        behind=figure.behind,
        window=figure.window,
        span=figure.span(member.zone),
    )
    return SolvesReport(
        whose=member,
        lines=tuple(map(solve_line, solves)),
        n=solves.paginator.count,
        page=solves.number,
        n_pages=solves.paginator.num_pages,
        kind=kind_asked,
        case=case_asked,
        figure=figure,
    )


def _case_of(text: str) -> CaseName | None:
    stage, _, number = text.partition("-")
    is_known = stage in Stage.__members__.values() and (
        not is_case(number) or find_case(stage, number) is not None
    )
    return name_of_met(Stage(stage), number) if is_known else None
