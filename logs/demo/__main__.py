"""Make the demo club's logs anew: ``python -m logs.demo``."""

import sys
from pathlib import Path

from logs.demo.files import write_demo
from logs.demo.members import read_club

FOLDER = Path(__file__).parents[2] / "fixtures" / "demo"


def main() -> None:
    """Write fixtures/demo from its club.toml and say which files it has."""
    for path in write_demo(read_club(FOLDER / "club.toml"), FOLDER):
        sys.stdout.write(f"{path.relative_to(FOLDER)}\n")


if __name__ == "__main__":
    main()
