"""An attempt as a log keeps it: the outer turns a sensor reports, or a text typed afterwards."""

from itertools import pairwise
from random import Random
from typing import NamedTuple

from logs.demo.cube import fixed_token, split
from logs.demo.hand import Made
from logs.demo.members import Member
from logs.demo.solver import Attempt


class Turn(NamedTuple):
    """An outer turn of the recording.

    Attributes:
        face: By its centre's colour.
        quarters: Clockwise quarter turns.
        ms: When it ended.
        is_mid_slice: Whether the other half of a slice ends with it, next.
    """

    face: int
    quarters: int
    ms: int
    is_mid_slice: bool


class Recording(NamedTuple):
    """What the log says of an attempt's turns.

    Attributes:
        solution: The text.
        turn_ms: What the log says of times, or None.
        turns: What a reader is to make of it.
        after: For each token made (and the start), how many turns had been recorded.
    """

    solution: str
    turn_ms: tuple[int, ...] | None
    turns: tuple[Turn, ...]
    after: tuple[int, ...]


def _turns_of(made: Made, since_ms: int, rng: Random, kind: str) -> list[Turn]:
    outer = list(made.outer)
    if len(outer) == 2 and kind in ("sensor", "quarters") and rng.random() < 0.5:
        outer.reverse()
    if kind != "quarters" or all(quarters != 2 for _, quarters in outer):
        parts = [(outer, made.end_ms)]
    else:
        half = made.end_ms - max(1, min(90, (made.end_ms - since_ms) // 2))
        single = [(face, 1) for face, _ in outer]
        if len(outer) == 2:
            single[1] = (single[1][0], 3)
        parts = [(single, half), (single, made.end_ms)]
    return [
        Turn(face, quarters, ms, index + 1 < len(part))
        for part, ms in parts
        for index, (face, quarters) in enumerate(part)
    ]


def record(attempt: Attempt, member: Member, kind: str, rng: Random) -> Recording:
    """The recording of ``attempt`` in a log of ``kind`` (see `members.Member.kinds`)."""
    turns: list[Turn] = []
    after = [0]
    since_ms = 0
    for made in attempt.hand.made:
        turns += _turns_of(made, since_ms, rng, kind)
        after.append(len(turns))
        since_ms = made.end_ms if made.outer else since_ms
    if kind in ("sensor", "quarters"):
        solution = " ".join(fixed_token((turn.face, turn.quarters)) for turn in turns)
        turn_ms: tuple[int, ...] | None = tuple(turn.ms for turn in turns)
    else:
        solution = Typist(member, rng).write(attempt)
        all_tokens = member.times == "tokens"
        turn_ms = tuple(made.end_ms for made in attempt.hand.made if made.outer or all_tokens)
    if kind == "typed_untimed":
        turn_ms = None
    return Recording(solution, turn_ms, tuple(turns), tuple(after))


class Typist:
    """Somebody who writes a solve down in their own spelling."""

    def __init__(self, member: Member, rng: Random) -> None:
        self.member = member
        self.rng = rng
        self.has_comments = rng.random() < member.comments
        self.has_groups = rng.random() < member.groups

    def write(self, attempt: Attempt) -> str:
        """The text of ``attempt``."""
        made = attempt.hand.made
        sections = [*attempt.hand.sections, (len(made), "")]
        lines = []
        for (start, name), (end, _) in pairwise(sections):
            words = [self._word(item.token) for item in made[start:end]]
            if not words:
                continue
            text = " ".join(self._grouped(words) if self.has_groups else words)
            lines.append(f"{text} // {name}" if self.has_comments else text)
        return ("\n" if self.has_comments else " ").join(lines)

    def _word(self, token: str) -> str:
        letter, quarters = split(token)
        if letter in "rludfb" and self.member.wide == "Rw":
            letter = letter.upper() + "w"
        if quarters == 2:
            return letter + ("2'" if self.rng.random() < 0.06 else "2")
        if quarters == 3:
            return letter + ("3" if self.rng.random() < 0.02 else self.member.prime)
        return letter

    def _grouped(self, words: list[str]) -> list[str]:
        """Runs of four that come twice as a group with its count; now and then a plain group."""
        out: list[str] = []
        at = 0
        while at < len(words):
            four = words[at : at + 4]
            if len(four) == 4 and words[at + 4 : at + 8] == four:
                count = self.rng.choice(("2", "x2"))
                out.append(f"({' '.join(four)}){count}")
                at += 8
            elif len(four) == 4 and not _turns_cube(four) and self.rng.random() < 0.15:
                out.append(f"({' '.join(four)})")
                at += 4
            else:
                out.append(words[at])
                at += 1
        return out


def _turns_cube(words: list[str]) -> bool:
    return any(word[0] in "xyz" for word in words)
