"""One attempt from scramble to end: a member, a day, a fate, and what came of it."""

from dataclasses import dataclass, replace
from datetime import date
from random import Random

from logs.demo.cube import COLOURS, SOLVED, apply
from logs.demo.fate import Fate, GaveUpError
from logs.demo.first_layers import FirstLayers
from logs.demo.hand import Hand, Tempo
from logs.demo.last_layer import Done, LastLayer
from logs.demo.members import Member


@dataclass(frozen=True)
class Attempt:
    """What was done.

    Attributes:
        scramble: The scramble's tokens, white up, green front.
        cross: The cross colour (its face) the solver chose.
        hand: Every token made.
        looks: The last layer's looks that came to their end.
        fate: How it ended.
        reached_f2l: Whether the first two layers came home.
    """

    scramble: tuple[str, ...]
    cross: int
    hand: Hand
    looks: tuple[Done, ...]
    fate: Fate
    reached_f2l: bool


def attempt(
    scramble: tuple[str, ...], member: Member, day: date, rng: Random, fate: Fate, *, drill: bool
) -> Attempt:
    """Solve ``scramble`` as ``member`` does on ``day``.

    Args:
        scramble: From the solved cube, white up, green front.
        member: Whose hands and knowledge.
        day: Decides what they know and how fast they are.
        rng: Where chance comes from.
        fate: How it is to end; where it cannot (a skip leaves nothing to botch), it ends otherwise.
        drill: Whether the scramble leaves the first two layers home.
    """
    hand = Hand(apply(SOLVED, scramble))
    tempo = Tempo(rng, _gap_ms(member, day, rng))
    first = FirstLayers(member, hand, tempo, rng, fate)
    cross = COLOURS.index(first.hold_cross_down())
    last = LastLayer(member, day, hand, tempo, rng, fate, cross)
    reached_f2l = False
    try:
        if not drill:
            first.cross()
            first.pairs()
        reached_f2l = True
        last.solve()
    except GaveUpError:
        return Attempt(scramble, cross, hand, tuple(last.done), fate, reached_f2l)
    fate, looks = _end(hand, last.done, fate)
    return Attempt(scramble, cross, hand, looks, fate, reached_f2l)


def _gap_ms(member: Member, day: date, rng: Random) -> float:
    slow, fast = member.turns_per_second
    turns_per_second = slow + (fast - slow) * member.progress(day)
    return 1000 / turns_per_second * rng.lognormvariate(0, 0.06)


def _end(hand: Hand, looks: list[Done], fate: Fate) -> tuple[Fate, tuple[Done, ...]]:
    """The fate as it came about on a solved cube, and the looks that stand."""
    hand.drop_last_rotations()
    left = len(hand.made)
    if fate is Fate.PLUS_TWO_LAST_TURN:
        if hand.take_back_last():
            looks = [look for look in looks if look.end < left]
        else:
            fate = Fate.PLUS_TWO_SOLVED
    elif fate.penalty == "DNF":
        fate = Fate.DNF_SOLVED
    return fate, tuple(replace(look, end=min(look.end, len(hand.made))) for look in looks)
