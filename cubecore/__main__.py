"""``python -m cubecore label | show | case``: the engine from the command line."""

import argparse
import sys
from collections.abc import Sequence
from typing import TextIO

from cubecore.book import default_book
from cubecore.cases import find_case
from cubecore.errors import CaseNameError, CubeError
from cubecore.jsonlines import label_json, parse_line
from cubecore.readable import case_text, solve_text
from cubecore.replay import replay_row
from cubecore.rows import parse_row


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; 0 when it did its work, 2 when its input could not be read."""
    parser = argparse.ArgumentParser(prog="python -m cubecore", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("label", help="JSON Lines in, one line of JSON out for each, in order")
    show = commands.add_parser("show", help="one solve of a JSON Lines log as a table")
    show.add_argument(
        "--line", type=int, default=1, help="which line of the input (1 is the first)"
    )
    case = commands.add_parser("case", help="one case: its look, chance and algorithms")
    case.add_argument("name", nargs="+", help="such as 27, OLL 27, T, PLL Ga")
    given = parser.parse_args(arguments)
    if given.command == "label":
        return _label(sys.stdin, sys.stdout)
    if given.command == "show":
        return _show(sys.stdin, given.line)
    return _case(" ".join(given.name))


def _label(source: TextIO, target: TextIO) -> int:
    book = default_book()
    for line in source:
        target.write(label_json(line, book) + "\n")
        target.flush()
    return 0


def _show(source: TextIO, number: int) -> int:
    line = next((text for index, text in enumerate(source, start=1) if index == number), None)
    if line is None:
        print(f"The input has no line {number}.", file=sys.stderr)
        return 2
    try:
        row = parse_row(parse_line(line))
        print(solve_text(row, replay_row(row, default_book())))
    except CubeError as error:
        print(f"Line {number}: {error.message}", file=sys.stderr)
        return 2
    return 0


def _case(name: str) -> int:
    try:
        print(case_text(find_case(name), default_book()))
    except CaseNameError as error:
        print(error.message, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    # Input that is no UTF-8 becomes rows that are refused, not the end of the run.
    for stream in (sys.stdin, sys.stdout):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    try:
        sys.exit(main())
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)
