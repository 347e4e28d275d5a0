"""A driver that writes a demo solve down: it types the first two layers and picks what is offered."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice

from cubecore.algorithms import TURNS_TO_UP, normal_form
from cubecore.book import default_book
from cubecore.cube import SOLVED, Places, after_turns
from cubecore.errors import CubeError
from cubecore.looks import Look
from cubecore.notation import Token, format_tokens, format_turns, parse_script, parse_tokens
from cubecore.replay import replay_row
from cubecore.results import Replay
from cubecore.rows import Penalty, Row, parse_row
from cubecore.turns import Face, Turns, joined, layer_turn, renamed
from tests.demo.reading import FOLDER, read_log

BOOK = default_book()
Offers = Callable[[str], list[str]]
"""What is offered after a text: texts to go on with."""


@dataclass
class Written:
    """A solve written down.

    Attributes:
        text: Its solution as it was written.
        n_typed: Tokens typed.
        n_tokens: Tokens of the solution in the log.
    """

    text: str
    n_typed: int
    n_tokens: int


def demo_solves(log: str, n: int) -> Iterator[Row]:
    """Solves of a demo log that meet a last layer, without their times."""

    def solves() -> Iterator[Row]:
        for _, values in read_log(FOLDER / "logs" / log):
            try:
                row = parse_row(values)
                result = replay_row(row._replace(turn_ms=None), BOOK)
            except CubeError:
                continue
            if result.oll is not None and row.penalty is Penalty.NONE:
                yield row._replace(turn_ms=None)

    return islice(solves(), n)


def labels(row: Row) -> tuple[object, ...]:
    """What is said of a solve, how long it is in the hand aside."""
    result = replay_row(row, BOOK)
    assert result.oll is not None
    assert result.pll is not None
    looks = [(look.case, look.outcome, look.done, look.algorithm) for look in _looks(result)]
    skips = (result.oll.skip, result.pll.skip)
    return result.status, result.cross, result.kind, result.oll.case, result.pll.case, skips, looks


def _looks(result: Replay) -> list[Look]:
    return [look for stage in (result.oll, result.pll) if stage for look in stage.looks]


def write_down(row: Row, offers: Offers) -> Written:
    """The solve as the driver writes it, looking at nothing but what is offered."""
    assert row.solution is not None
    result = replay_row(row, BOOK)
    assert result.cross is not None
    assert result.f2l_turn is not None
    tokens = parse_tokens(row.solution)
    to_up = TURNS_TO_UP[result.cross.opposite]
    up_turns = renamed(result.turns, to_up)
    at = _after(tokens, row.scramble, result.f2l_turn)
    text, n_typed = format_tokens(tokens[:at]), at
    begin = parse_script(row.scramble).hold
    for look in _looks(result):
        hold = parse_script(text, begin).hold
        done = Turns(up_turns[look.start : look.end])
        ends = _up_to_auf(row, Turns(result.turns[: look.end]), result.cross.opposite)
        for offer in offers(text):
            turns = renamed(parse_script(offer, hold).turns, to_up)
            end = after_turns(
                after_turns(SOLVED, parse_script(row.scramble).turns),
                parse_script(f"{text} {offer}", begin).turns,
            )
            if end in ends and normal_form(turns).form == normal_form(done).form:
                text = f"{text} {offer}"
                break
        else:  # not offered: typed as it was turned, after the AUF that leads there
            own = _as_turned(row, text, look, result)
            n_typed += len(parse_tokens(own))
            text = f"{text} {own}"
    last = offers(text)
    if len(last) == 1:
        text = f"{text} {last[0]}"
    return Written(text, n_typed, len(tokens))


def _after(tokens: tuple[Token, ...], scramble: str, n_turns: int) -> int:
    """How many tokens make ``n_turns`` outer turns."""
    hold, made = parse_script(scramble).hold, 0
    for n, token in enumerate(tokens):
        if made >= n_turns:
            return n
        script = parse_script(token.text, hold)
        made, hold = made + len(script.turns), script.hold
    return len(tokens)


def _up_to_auf(row: Row, turns: Turns, last: Face) -> set[Places]:
    end = after_turns(after_turns(SOLVED, parse_script(row.scramble).turns), turns)
    return {after_turns(end, layer_turn(last, quarter_turns)) for quarter_turns in range(4)}


def _as_turned(row: Row, text: str, look: Look, result: Replay) -> str:
    """The turns of a look as they are typed after ``text``, which may have lined the layer up."""
    script = parse_script(text, parse_script(row.scramble).hold)
    start = after_turns(SOLVED, parse_script(row.scramble).turns)
    now = after_turns(start, script.turns)
    met = after_turns(start, Turns(result.turns[: look.start]))
    assert result.cross is not None
    last = result.cross.opposite
    auf = next(
        turns
        for turns in (layer_turn(last, quarter_turns) for quarter_turns in range(4))
        if after_turns(now, turns) == met
    )
    turns = joined(auf, Turns(result.turns[look.start : look.end]))
    return format_turns(renamed(turns, script.hold.solver_table))
