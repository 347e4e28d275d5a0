"""How an attempt is to end, drawn before it begins."""

from enum import StrEnum
from random import Random

from logs.demo.members import Member


class Fate(StrEnum):
    """The end of an attempt."""

    SOLVED = "solved"
    PLUS_TWO_SOLVED = "plus_two_solved"
    PLUS_TWO_LAST_TURN = "plus_two_last_turn"
    GAVE_UP_CROSS = "gave_up_cross"
    GAVE_UP_PAIRS = "gave_up_pairs"
    GAVE_UP_OLL = "gave_up_oll"
    GAVE_UP_PLL = "gave_up_pll"
    BOTCHED_OLL = "botched_oll"
    BOTCHED_PLL = "botched_pll"
    DNF_SOLVED = "dnf_solved"

    @property
    def penalty(self) -> str:
        """The penalty as the log writes it."""
        if self is Fate.SOLVED:
            return ""
        return "+2" if self.value.startswith("plus_two") else "DNF"

    @property
    def status(self) -> str:
        """The status the row is to be given."""
        return {"": "solved", "+2": "plus_two", "DNF": "dnf"}[self.penalty]


class GaveUpError(Exception):
    """The attempt ends here, unsolved, as its fate has it."""


_DNFS = (
    Fate.GAVE_UP_CROSS,
    Fate.GAVE_UP_PAIRS,
    Fate.GAVE_UP_OLL,
    Fate.GAVE_UP_PLL,
    Fate.BOTCHED_OLL,
    Fate.BOTCHED_PLL,
    Fate.BOTCHED_PLL,
    Fate.DNF_SOLVED,
)


def draw_fate(member: Member, rng: Random) -> Fate:
    """A fate, at the member's rates."""
    chance = rng.random()
    if chance < member.dnf:
        return rng.choice(_DNFS)
    if chance < member.dnf + member.plus_two:
        return rng.choice((Fate.PLUS_TWO_LAST_TURN, Fate.PLUS_TWO_LAST_TURN, Fate.PLUS_TWO_SOLVED))
    return Fate.SOLVED
