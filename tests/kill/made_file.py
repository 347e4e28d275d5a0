"""A file of 5,000 rows, and what must become of each: written down while it is made."""

from dataclasses import dataclass
from datetime import timedelta

from cubecore.rows import Row
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_csv, make_row

N_ROWS = 5_000
SENT_BEFORE = range(110, 150)
"""The places in the file of the rows that the member has sent before."""


@dataclass(frozen=True)
class MadeFile:
    """A file and its model.

    Attributes:
        content: Its bytes.
        before: The bytes of the file that was sent before.
        fates: ``taken``, ``doubled`` or ``set_aside`` of each row, in the order of the file.
        notes: What each row says, unique but for rows that are doubled.
        n_sightings: Cases met in each row.
    """

    content: bytes
    before: bytes
    fates: tuple[str, ...]
    notes: tuple[str, ...]
    n_sightings: tuple[int, ...]

    @property
    def lines(self) -> range:
        """The line of each row: under the header, one line a row."""
        return range(2, N_ROWS + 2)


def make_file() -> MadeFile:
    """Dated rows with and without a solution, undated ones all alike, repeated ones, broken ones."""
    full = make_row(LAST_PAIR, SUNE, T_PERM)
    bare = full._replace(solution=None, turn_ms=None)
    alike = bare._replace(done_at=None, note="alike")
    rows: list[Row] = []
    fates: list[str] = []
    for place in range(N_ROWS):
        if place % 97 == 5:
            rows.append(alike)  # undated: each is another solve, through all chunks
            fates.append("taken")
            continue
        if place % 101 == 100:
            rows.append(rows[place - 100])  # the same instant: the same solve
            again = rows[place].done_at is not None and fates[place - 100] != "set_aside"
            fates.append("doubled" if again else fates[place - 100])
            continue
        kind = full if place % 10 == 0 else bare
        at = (NOW + timedelta(minutes=place)).isoformat()
        rows.append(kind._replace(done_at=at, note=f"row {place}"))
        fates.append("taken")
        if place in SENT_BEFORE:
            fates[place] = "doubled"
        elif place % 89 == 3:
            rows[place] = rows[place]._replace(scramble="R X", note=f"row {place}")
            fates[place] = "set_aside"
    before = [rows[place] for place in SENT_BEFORE if rows[place].done_at is not None]
    return MadeFile(
        content=make_csv(rows),
        before=make_csv([row for row in before if row.scramble != "R X"]),
        fates=tuple(fates),
        notes=tuple(row.note for row in rows),
        n_sightings=tuple(2 if row.solution else 0 for row in rows),
    )
