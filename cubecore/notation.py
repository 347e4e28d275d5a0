"""Turn texts to tokens, tokens to outer turns of the fixed frame, and back to text.

Source of the tokens: World Cube Association Regulations, Article 12, whose ``nRw`` is ``2Rw`` on a
cube of three layers. Common practice beyond it: lower-case wide turns, slices M E S, ``2'``, ``3``,
typographic primes, groups in parentheses with a repeat count (``(R U)2`` or ``(R U)x2``, no space
before the count), ``//`` comments to the end of the line, however a line ends.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple, NoReturn

from cubecore.errors import NotationError
from cubecore.turns import (
    HOLDS,
    HOME_HOLD,
    SUFFIXES,
    TURN_NAMES,
    Face,
    Hold,
    Turns,
    joined,
    make_turn,
    run_of,
)

MAX_TEXT = 5_000
MAX_TOKENS = 1_000
MAX_DEPTH = 8
MAX_REPEAT = 99
PRIMES = "'\u2019\u2018\u02bc\u2032\u00b4`"
_BASES = frozenset("URFDLBurfdlbMESxyz")
_DIGITS = frozenset("0123456789")
_TAIL = frozenset(PRIMES) | _DIGITS | {"w"}
_REPEATS = _DIGITS | {"x"}
_LINE_END = re.compile("[\\n\\v\\f\\r\\x1c-\\x1e\\x85\\u2028\\u2029]")  # those of str.splitlines
_BLOCK = re.compile(rf"[0-9][0-9-]*[A-Za-z]w?[0-9{PRIMES}]*")  # a turn with layers before it
_TWO_LAYERS = re.compile("2[URFDLB]w")
_USUAL = {base + s: q for base in _BASES for q, s in enumerate(SUFFIXES, start=1)}
_PLAIN_PRIMES = str.maketrans(dict.fromkeys(PRIMES, "'"))
_WIDE = {face.name + "w": face.name.lower() for face in Face}

# A base as the outer turns it makes, named in the hold after its rotation, and the rotation.
# Common practice: a slice turns as its neighbour does (M as L, E as D, S as F), a wide turn as
# its face. A slice's two outer turns always come in this order.
_ROTATIONS = {"x": (Face.R, 1), "y": (Face.U, 1), "z": (Face.F, 1)}
_MEANINGS: dict[str, tuple[tuple[tuple[Face, int], ...], str, int]] = {
    "r": (((Face.L, 1),), "x", 1),
    "l": (((Face.R, 1),), "x", -1),
    "u": (((Face.D, 1),), "y", 1),
    "d": (((Face.U, 1),), "y", -1),
    "f": (((Face.B, 1),), "z", 1),
    "b": (((Face.F, 1),), "z", -1),
    "M": (((Face.R, 1), (Face.L, -1)), "x", -1),
    "E": (((Face.U, 1), (Face.D, -1)), "y", -1),
    "S": (((Face.F, -1), (Face.B, 1)), "z", 1),
    "x": ((), "x", 1),
    "y": ((), "y", 1),
    "z": ((), "z", 1),
}


class Token(NamedTuple):
    """One written turn or rotation: ``base`` (as in ``RrMx``), 1-3 quarter turns, its column."""

    base: str
    quarter_turns: int
    column: int

    @property
    def text(self) -> str:
        """The token's normal spelling."""
        return self.base + SUFFIXES[self.quarter_turns - 1]

    @property
    def turns_a_layer(self) -> bool:
        """Whether it is no rotation."""
        return self.base not in _ROTATIONS


@dataclass(slots=True)
class _Group:
    column: int
    tokens: list[Token]


class _Scanner:
    """One pass from left to right; each character is looked at once."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.groups = [_Group(0, [])]

    def refuse(self, code: str, start: int, end: int, expected: str) -> NoReturn:
        token = self.text[start:end]
        raise NotationError(
            code,
            f"Column {start + 1}: {token!r} cannot be read here; expected {expected}.",
            column=start + 1,
            token=token,
        )

    def run(self) -> tuple[Token, ...]:
        while self.at < len(self.text):
            self.step(self.text[self.at])
        if len(self.groups) > 1:
            start = self.groups[-1].column - 1
            self.refuse("open_group", start, start + 1, "a ')' that closes this group")
        return tuple(self.groups[0].tokens)

    def step(self, char: str) -> None:
        if char.isspace():
            self.at += 1
        elif char in _BASES:
            self.add([self.read_token(char)])
        elif char == "(":
            self.open_group()
        elif char == ")":
            self.close_group()
        elif self.text.startswith("//", self.at):
            line_end = _LINE_END.search(self.text, self.at)
            self.at = line_end.start() if line_end else len(self.text)
        elif block := _BLOCK.match(self.text, self.at):
            self.add([self.read_block(block)])
        else:
            expected = "one of the turns U R F D L B (wide: Rw or r), M E S, x y z, '(' or '//'"
            self.refuse("unknown_token", self.at, self.at + 1, expected)

    def read_token(self, base: str) -> Token:
        start = self.at
        for end in (start + 1, start + 2):
            amount = _USUAL.get(self.text[start:end])
            if amount and self.text[end : end + 1] not in _TAIL:
                self.at = end
                return Token(base, amount, start + 1)
        return self.read_unusual_token(base)

    def read_block(self, block: re.Match[str]) -> Token:
        if not _TWO_LAYERS.match(self.text, self.at):
            expected = "Rw or 2Rw for a block of two layers, x y z for all three, M E S for a slice"
            self.refuse("unknown_block", block.start(), block.end(), expected)
        self.at += 1
        return self.read_token(self.text[self.at])._replace(column=block.start() + 1)

    def read_unusual_token(self, base: str) -> Token:
        start = self.at
        self.at += 1
        if self.text.startswith("w", self.at) and base + "w" in _WIDE:
            base = _WIDE[base + "w"]
            self.at += 1
        digits_start = self.at
        amount = self.read_number("2 or 3 behind the turn", 3)
        has_prime = self.at < len(self.text) and self.text[self.at] in PRIMES
        self.at += has_prime
        if amount not in (None, 2, 3) or (amount == 3 and has_prime):
            spelled = self.text[start : self.at]
            expected = f"{spelled[: digits_start - start]}, with 2, 3 or ' behind it at most"
            self.refuse("unknown_amount", start, self.at, expected)
        quarter_turns = amount or 1
        return Token(base, 4 - quarter_turns if has_prime else quarter_turns, start + 1)

    def read_number(self, expected: str, limit: int) -> int | None:
        start = self.at
        while self.at < len(self.text) and self.text[self.at] in _DIGITS:
            self.at += 1
            if self.at - start > 2:
                self.refuse("number_too_long", start, self.at, expected)
        if start == self.at:
            return None
        number = int(self.text[start : self.at])
        if not 0 < number <= limit:
            self.refuse("unknown_amount", start, self.at, expected)
        return number

    def add(self, tokens: Iterable[Token]) -> None:
        self.groups[-1].tokens.extend(tokens)
        if len(self.groups[-1].tokens) > MAX_TOKENS:
            raise NotationError(
                "too_many_turns",
                f"The text has more than {MAX_TOKENS} turns; a solve has fewer.",
                column=self.at,
            )

    def open_group(self) -> None:
        if len(self.groups) > MAX_DEPTH:
            self.refuse("deep_group", self.at, self.at + 1, f"at most {MAX_DEPTH} groups in a row")
        self.groups.append(_Group(self.at + 1, []))
        self.at += 1

    def close_group(self) -> None:
        if len(self.groups) == 1:
            self.refuse("unopened_group", self.at, self.at + 1, "a '(' before this ')'")
        self.at += 1
        count_start = self.at
        limit = f"a repeat count from 1 to {MAX_REPEAT}"
        after_x = self.text[self.at + 1 : self.at + 2]
        if self.text.startswith("x", self.at) and after_x in _DIGITS and after_x:
            self.at += 1
        repeat = self.read_number(limit, MAX_REPEAT) or 1
        if self.text[self.at : self.at + 1] in (*PRIMES,):
            expected = f"{limit}, or a space before a rotation; a group undone is written out"
            self.refuse("primed_group", count_start, self.at + 1, expected)
        self.add(self.groups.pop().tokens * repeat)


def parse_tokens(text: str) -> tuple[Token, ...]:
    """The tokens of ``text``, groups written out, in time linear in its length.

    Raises:
        NotationError: The text is longer than ``MAX_TEXT`` characters, has more than
            ``MAX_TOKENS`` tokens, or holds something that is not notation.
    """
    if len(text) > MAX_TEXT:
        raise NotationError(
            "text_too_long",
            f"The text has {len(text)} characters; at most {MAX_TEXT} are read.",
            column=MAX_TEXT + 1,
        )
    return _Scanner(text).run()


def format_tokens(tokens: Iterable[Token]) -> str:
    """The normal spelling of ``tokens``, parted by spaces; `parse_tokens` reads it back."""
    return " ".join(token.text for token in tokens)


def format_turns(turns: Turns) -> str:
    """The outer turns of a run, in the fixed frame, parted by spaces."""
    return " ".join([TURN_NAMES[turn] for turn in turns])


class Script(NamedTuple):
    """A text as outer turns of the fixed frame.

    Attributes:
        turns: The outer turns; a slice makes two.
        lengths: How many of them each token makes, a byte each: none for a rotation.
        hold: How the cube is held at the end.
    """

    turns: Turns
    lengths: bytes
    hold: Hold

    @property
    def n_tokens(self) -> int:
        """How many tokens there are."""
        return len(self.lengths)

    @property
    def n_layer_tokens(self) -> int:
        """How many tokens move a layer."""
        return len(self.lengths) - self.lengths.count(0)

    @property
    def layer_tokens(self) -> list[int]:
        """For each outer turn, which of the tokens that move a layer made it."""
        return _tokens_of_turns(filter(None, self.lengths))

    @property
    def all_tokens(self) -> list[int]:
        """For each outer turn, which of all tokens made it."""
        return _tokens_of_turns(self.lengths)


def _tokens_of_turns(lengths: Iterable[int]) -> list[int]:
    return [index for index, length in enumerate(lengths) for _ in range(length)]


_new_script = Script.__new__  # at half the cost of calling the class


class _Held:
    """A hold, and what each spelling of a token does in it: outer turns and the hold after."""

    __slots__ = ("hold", "steps")

    def __init__(self, hold: Hold) -> None:
        self.hold = hold
        self.steps: dict[str, tuple[Turns, _Held]] = {}


def _meaning(base: str, quarter_turns: int, hold: Hold) -> tuple[Turns, Hold]:
    if base in Face.__members__:
        return run_of(make_turn(hold[Face[base]], quarter_turns)), hold
    moved, letter, sense = _MEANINGS[base]
    about, _ = _ROTATIONS[letter]
    after = hold.rotated(about, sense * quarter_turns % 4)
    turns = [make_turn(after[face], way * quarter_turns % 4) for face, way in moved]
    return run_of(*turns), after


def _spellings(base: str, quarter_turns: int) -> Iterator[str]:
    bases = [base]
    if base in "urfdlb":
        bases += [f"{base.upper()}w", f"2{base.upper()}w"]
    suffixes = {1: ("",), 2: ("2", "2'"), 3: ("'", "3")}[quarter_turns]
    for name in bases:
        for suffix in suffixes:
            yield name + suffix


def _all_held() -> dict[Hold, _Held]:
    every = {hold: _Held(hold) for hold in HOLDS}
    for held, base, amount in product(every.values(), sorted(_BASES), (1, 2, 3)):
        turns, after = _meaning(base, amount, held.hold)
        for spelling in _spellings(base, amount):
            held.steps[spelling] = turns, every[after]
    return every


_HELD = _all_held()
_outer_turn = {
    name: turns[0]
    for name, (turns, _) in _HELD[HOME_HOLD].steps.items()
    if name[0] in "URFDLB" and "w" not in name
}.__getitem__


def parse_script(text: str, hold: Hold = HOME_HOLD) -> Script:
    """The outer turns of ``text``, begun in ``hold``.

    Texts of plainly spaced tokens, as sensors and most programs write them, are looked up word by
    word; all others go through the scanner.

    Raises:
        NotationError: As `parse_tokens`.
    """
    words = _plain(text).split() if len(text) <= MAX_TEXT else []
    if 0 < len(words) <= MAX_TOKENS:
        if hold == HOME_HOLD:
            try:
                turns = Turns(bytes(map(_outer_turn, words)))
            except KeyError:
                pass  # Rotations, wide turns or slices: followed hold by hold below.
            else:
                return _new_script(Script, turns, b"\1" * len(turns), hold)
        try:
            return _follow(words, hold)
        except KeyError:
            pass  # Groups and runs without spaces: the scanner reads them, or names what is wrong.
    return _follow([token.text for token in parse_tokens(text)], hold)


def _plain(text: str) -> str:
    """``text`` with plain primes, without comments and without groups that are not repeated.

    Nested or repeated groups stay, for the scanner.
    """
    if not text.isascii() or "/" in text or "`" in text:
        lines = text.translate(_PLAIN_PRIMES).splitlines()
        text = "\n".join([line.partition("//")[0] for line in lines])
    if "(" in text:
        *groups, rest = text.split(")")
        is_simple = "(" not in rest and all(group.count("(") == 1 for group in groups)
        if is_simple and _REPEATS.isdisjoint(group[:1] for group in (*groups[1:], rest)):
            text = text.replace("(", " ").replace(")", " ")
    return text


def _follow(words: list[str], hold: Hold) -> Script:
    held = _HELD[hold]
    runs = []
    for word in words:
        run, held = held.steps[word]
        runs.append(run)
    return _new_script(Script, joined(*runs), bytes(map(len, runs)), held.hold)


class Metrics(NamedTuple):
    """The lengths of a text: face turns, quarter turns, slice turns, written tokens."""

    htm: int
    qtm: int
    stm: int
    etm: int


def count_metrics(tokens: Iterable[Token]) -> Metrics:
    """The four metrics of ``tokens``.

    HTM is the outer block turn metric of WCA Regulations 12a for this puzzle (a slice is two); QTM
    counts a half turn as two; STM counts a slice as one; ETM counts every token.
    """
    htm = qtm = stm = etm = 0
    for token in tokens:
        etm += 1
        if token.base in "xyz":
            continue
        blocks = 2 if token.base in "MES" else 1
        htm += blocks
        qtm += blocks * (2 if token.quarter_turns == 2 else 1)
        stm += 1
    return Metrics(htm, qtm, stm, etm)
