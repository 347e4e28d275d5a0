"""Scrambles: random turns for solves; random last layers, solved and turned round, for drills."""

from collections.abc import Iterable
from dataclasses import replace
from random import Random

from logs.demo.algorithms import entries
from logs.demo.cross import rotation_down
from logs.demo.cube import COLOURS, FACES, SOLVED, SUFFIX, Outer, State, apply, fixed_token
from logs.demo.fate import Fate
from logs.demo.hand import Hand, Tempo
from logs.demo.last_layer import LastLayer
from logs.demo.members import Member
from logs.demo.recognise import turned


def random_scramble(rng: Random) -> tuple[str, ...]:
    """19 to 22 random outer turns, no two in a row on one face, no third on one axis."""
    faces: list[int] = []
    length = rng.randint(19, 22)
    while len(faces) < length:
        face = rng.randrange(6)
        if face in faces[-1:] or (len(faces) > 1 and {f % 3 for f in faces[-2:]} == {face % 3}):
            continue
        faces.append(face)
    return tuple(FACES[face] + rng.choice(tuple(SUFFIX.values())) for face in faces)


def drill_scramble(member: Member, rng: Random) -> tuple[str, ...]:
    """A scramble that leaves the first two layers home, for last-layer practice.

    A random last layer is made, solved by the demo's own solver in two looks a stage, and that
    solution is turned round. Scrambles of solves never come from a solution; these do.
    """
    setter = replace(
        member, oll=(), pll=(), corners=("T", "Y"), learns=(), mix_ups=(), wrong_holds=()
    )
    colour = COLOURS.index(member.colours[0])
    while True:
        hand = Hand(_random_last_layer(colour, rng))
        last = LastLayer(setter, member.since, hand, Tempo(rng, 100), rng, Fate.SOLVED, colour)
        last.solve()
        turns = merged(turn for made in hand.made for turn in made.outer)
        if len(last.done) > 1 and not any(look.plan.slip for look in last.done):
            return tuple(fixed_token((face, -quarters % 4)) for face, quarters in reversed(turns))


def _random_last_layer(colour: int, rng: Random) -> State:
    """A cube of which only the last layer is mixed, ``colour`` down."""
    pool = [entry for group in entries().values() for entry in group]
    state = SOLVED
    for _ in range(12):
        down = rotation_down(state, colour)
        state = turned(apply(state, [down] if down else []), rng.randrange(4))
        state = rng.choice(pool).move(state)
    down = rotation_down(state, colour)
    return turned(apply(state, [down] if down else []), rng.randrange(4))


def merged(turns: Iterable[Outer]) -> list[Outer]:
    """``turns`` with neighbours of one face added up."""
    out: list[Outer] = []
    for face, quarters in turns:
        before = out.pop()[1] if out and out[-1][0] == face else 0
        if (before + quarters) % 4:
            out.append((face, (before + quarters) % 4))
    return out
