"""Solves on lines, page by page."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.replay import Kind
from logs.people.sight import Whose, sight_of
from logs.solves.models.solves import Sighting, Solve
from logs.solves.selectors.solves import Behind, Window, solve_list
from logs.words import case_title, day_words, find_case, is_case, kind_words, moment, reading


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
class FigureAsked:
    """A figure whose solves are asked for.

    Attributes:
        behind: A kind of figure.
        window: An average.
        since: First day of a day or a week.
        n_days: Its days.
    """

    behind: Behind | None = None
    window: Window | None = None
    since: date | None = None
    n_days: int = 1

    def span(self, zone: ZoneInfo) -> tuple[datetime, datetime] | None:
        """From midnight to midnight in ``zone``."""
        if self.since is None:
            return None
        begin = datetime.combine(self.since, datetime.min.time(), zone)
        end = datetime.combine(self.since + timedelta(days=self.n_days), datetime.min.time(), zone)
        return begin, end

    @property
    def words(self) -> str:
        """The figure in words, or empty."""
        if self.behind is not None:
            return _BEHIND_WORDS[self.behind]
        if self.window is not None:
            return f"the {self.window.n} behind one average"
        if self.since is not None:
            days = "day" if self.n_days == 1 else f"{self.n_days} days"
            return f"the {days} from {day_words(self.since)}"
        return ""


NO_FIGURE: Final = FigureAsked()


_BEHIND_WORDS: Final = {
    Behind.LOOKS: "those in which a look was made",
    Behind.TIMES: "those that were timed",
    Behind.ONE_LOOK_TIMES: "those that went in one look and were timed",
    Behind.SPLITS: "those that hold every split",
}


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
        behind: The figure whose solves these are, in words, or empty.
    """

    whose: Whose
    lines: tuple[SolveLine, ...]
    n: int
    page: int
    n_pages: int
    kind: str
    case: str
    case_title: str
    behind: str

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
        return bool(self.kind or self.case or self.behind)


def solve_line(solve: Solve, zone: ZoneInfo) -> SolveLine:
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


def _cell(sighting: Sighting) -> SightingCell:
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
    wanted = Kind(kind) if kind in Kind.__members__.values() else None
    stage, number = _known_case(case)
    found = solve_list(
        actor=actor,
        member=member.user,
        page=page,
        kind=wanted,
        stage=stage,
        case=number,
        behind=figure.behind,
        window=figure.window,
        span=figure.span(member.zone),
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
        behind=figure.words,
    )


def _known_case(text: str) -> tuple[Stage | None, str | None]:
    stage, _, number = text.partition("-")
    is_known = stage in Stage.__members__.values() and (
        not is_case(number) or find_case(stage, number) is not None
    )
    return (Stage(stage), number) if is_known else (None, None)
