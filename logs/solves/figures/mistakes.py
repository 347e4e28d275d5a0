"""What a look was in place of the algorithm of the case it met. Nothing here touches the database."""

from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from cubecore.outcomes import Outcome
from cubecore.words import Word

KNOWN_FOR_US: Final = 365 * 24 * 3600 * 1_000_000
"""For how long a case that went in one look counts as known: a year, in microseconds."""


class MistakeKind(Word):
    """Another case's algorithm, or the case's own from a wrong hold."""

    OTHER_CASE = "other_case"
    WRONG_HOLD = "wrong_hold"


class Mistake(NamedTuple):
    """What a look was in place of the shown case's own algorithm.

    Attributes:
        done_stage: Stage of the case whose algorithm it was.
        done: That case.
        misfire_kind: A `MistakeKind`.
    """

    done_stage: str
    done: str
    misfire_kind: str


class FirstLook(NamedTuple):
    """What a first look may have been mistaken for.

    Attributes:
        mistake: None where there was none.
        if_known: Whether it counts only where the member knows the case: who does not takes steps.
        is_half: Whether it did half of the stage, as the two looks of somebody who does not know
            the case do: it counts only where the newest looks make it likely that they know it.
    """

    mistake: Mistake | None
    if_known: bool = False
    is_half: bool = False


def read_first_look(look: Mapping[str, Any]) -> FirstLook:
    """What a look may have been in place of the algorithm of the case it met.

    Args:
        look: As `cubecore.jsonlines.look_json` gives it.
    """
    done, outcome = look.get("done"), look["outcome"]
    if done is None or outcome in (Outcome.FINISHED, Outcome.REPAIR):
        return FirstLook(None)
    is_wrong_hold = done["quarter_turns"] is not None
    is_half = outcome in (Outcome.EDGES, Outcome.CORNERS)
    if is_wrong_hold and is_half:
        return FirstLook(None)  # Somebody who looks at half of the case holds it so.
    kind = MistakeKind.WRONG_HOLD if is_wrong_hold else MistakeKind.OTHER_CASE
    mistake = Mistake(done["stage"], str(done["case"]), kind.value)
    return FirstLook(mistake, if_known=not is_wrong_hold, is_half=is_half)


def is_known(one_looks_us: Sequence[int | None], at_us: int | None) -> bool:
    """Whether a case is known: done in one look within a year before; dates that lack count as near.

    Args:
        one_looks_us: When it went in one look before, in microseconds, None without a date.
        at_us: When it is met now.
    """
    return any(
        before_us is None or at_us is None or at_us - before_us <= KNOWN_FOR_US
        for before_us in one_looks_us
    )
