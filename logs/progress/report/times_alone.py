"""What is true of a member whose log has times and no solutions."""

from dataclasses import dataclass

from clubsite.accounts.models import User
from cubecore.cases import Stage
from cubecore.endings import Status
from logs.cases.facts import case_chances
from logs.people.sight import Sight
from logs.progress.figures.times_alone import LIKELY, solves_until, warm_up
from logs.solves.selectors.frames import solve_frame
from logs.stats import Range


@dataclass(frozen=True, slots=True)
class FirstOfSitting:
    """The first three solves of a sitting against its later ones.

    Attributes:
        slower_ms: By how much they are slower, mean over sittings, ms; negative where faster.
        range_ms: Where that mean lies.
        n_sittings: Sittings behind it.
    """

    slower_ms: float
    range_ms: Range
    n_sittings: int


@dataclass(frozen=True, slots=True)
class TimesAlone:
    """What times alone tell.

    Attributes:
        n: Solves.
        n_plus_two: Those with a +2.
        n_dnf: Those that did not finish.
        first: The first solves of a sitting; null with too few sittings.
        likely_share: How likely "likely" is in what follows, 0..1.
        n_until_oll: Solves until a usual OLL is likely to have come up.
        n_until_pll: The same of a usual PLL.
    """

    n: int
    n_plus_two: int
    n_dnf: int
    first: FirstOfSitting | None
    likely_share: float
    n_until_oll: int
    n_until_pll: int


def times_alone(*, actor: User, member: Sight) -> TimesAlone:
    """What times alone tell of a member.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    frame = solve_frame(actor=actor, member=member)
    first = warm_up(frame)
    # The most usual chance of a case: 4 in 216 of the OLLs, 4 in 72 of the PLLs.
    usual = {stage: max(case_chances(stage).values()) for stage in Stage}
    return TimesAlone(
        n=len(frame),
        n_plus_two=int((frame["status"] == Status.PLUS_TWO).sum()),
        n_dnf=int((frame["status"] == Status.DNF).sum()),
        first=None
        if first is None
        else FirstOfSitting(
            slower_ms=first.mean_ms, range_ms=first.range_ms, n_sittings=first.n_sittings
        ),
        likely_share=LIKELY,
        n_until_oll=solves_until(usual[Stage.OLL]),
        n_until_pll=solves_until(usual[Stage.PLL]),
    )
