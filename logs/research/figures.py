"""The research export: its columns, told once, and the Parquet file made of them.

``COLUMNS`` is the data dictionary. The file's schema, what the file says of itself, the page and the
Markdown are all made from it. Format: Apache Parquet, written by pyarrow.
"""

import hashlib
import hmac
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Any, Final

import pyarrow as pa
import pyarrow.parquet as pq

from logs.solves.figures.counts import week_of

MIN_MEMBERS: Final = 5
"""Fewer members than this make no export. With four, each who knows their own rows has three left to
guess among; five is what releases of statistics commonly ask for at the least (k-anonymity: Sweeney
2002, International Journal of Uncertainty, Fuzziness and Knowledge-Based Systems 10(5))."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Attributes:
        name: Its name in the file.
        type: As Arrow names it.
        unit: Of its values; empty for what has none.
        meaning: In plain words.
        missing: When there is no value; empty where there always is one.
    """

    name: str
    type: str
    unit: str
    meaning: str
    missing: str = ""


_NO_LOOK = "no look was made: the stage was skipped, or the solve ended before it"


_UNTIMED = "the log has no times of turns, or the goal of the stage was not reached"


_NO_MISFIRE = "nothing was done in the place of another case's algorithm that could be named"


COLUMNS: Final = (
    Column("member", "string", "", "Who solved, by a name made up for this file alone."),
    Column("solve", "string", "", "Which solve, by a name made up for this file alone: its OLL and its PLL have the same."),
    Column("week", "date32[day]", "", "Monday of the week of the solve, in UTC.", "the log has no date"),
    Column("kind", "string", "", "solve, or drill: a last layer practised by itself."),
    Column("status", "string", "", "solved; plus_two, with two seconds on top; dnf, did not finish."),
    Column("stage", "string", "", "oll or pll."),
    Column("case", "string", "", "The case met: the OLL's number, the PLL's letters, or skip."),
    Column("angle", "int32", "quarter turns", "Clockwise turns of the layer to the case's reference hold, 0 to 3."),
    Column("n_looks", "int32", "looks", "How many looks were taken at the stage."),
    Column("first_outcome", "string", "", "What the first look came to: finished, edges, corners, misfire and so on.", _NO_LOOK),
    Column("is_one_look", "bool", "", "Whether the stage went in one look."),
    Column("is_reached", "bool", "", "Whether the goal of the stage was reached."),
    Column("recognition_ms", "int32", "ms", "From the end of what came before to the end of the first turn of the layer, over all looks.", _UNTIMED),
    Column("execution_ms", "int32", "ms", "The rest of the stage.", _UNTIMED),
    Column("misfire_kind", "string", "", "What went wrong in the first look that could be named: other_case or wrong_hold.", _NO_MISFIRE),
    Column("misfire_case", "string", "", "The case whose algorithm was done there.", _NO_MISFIRE),
    Column("engine_version", "string", "", "Which version of the engine read the solve."),
)  # fmt: skip


def schema() -> pa.Schema:
    """The file's schema: each column with its meaning, and the whole dictionary for the file."""
    fields = [
        pa.field(
            column.name,
            pa.type_for_alias(column.type),
            nullable=bool(column.missing),
            metadata={"unit": column.unit, "meaning": column.meaning, "missing": column.missing},
        )
        for column in COLUMNS
    ]
    told = [
        {name: getattr(column, name) for name in ("name", "type", "unit", "meaning", "missing")}
        for column in COLUMNS
    ]
    return pa.schema(
        fields,
        metadata={
            "title": "Sightings of last-layer cases, by members who agreed",
            "data_dictionary": json.dumps(told, ensure_ascii=False),
            "about": " ".join(ABOUT),
        },
    )


ABOUT: Final = (
    "One row is one case met in one solve.",
    "Only members who agreed are in it; who they are is not, nor any text they wrote.",
    "Names of members and solves are made up for each file anew: two files cannot be joined by them.",
    "Rows are in no order of time.",
    "The members chose themselves and are no sample of anybody.",
)


def dictionary_markdown() -> str:
    """The data dictionary as a Markdown page."""
    lines = [
        "# Research export: data dictionary",
        "",
        *(f"- {sentence}" for sentence in ABOUT),
        "",
        "| column | type | unit | meaning | missing when |",
        "|---|---|---|---|---|",
    ]
    lines += [
        f"| `{c.name}` | {c.type} | {c.unit or '-'} | {c.meaning} | {c.missing or 'never'} |"
        for c in COLUMNS
    ]
    return "\n".join(lines) + "\n"


def pseudonym(key: bytes, what: str, number: int) -> str:
    """A made-up name: 64 bits of HMAC-SHA-256 (RFC 2104) under a key that is thrown away.

    Args:
        key: Random, of one export.
        what: ``member`` or ``solve``.
        number: Its id.
    """
    return hmac.new(key, f"{what} {number}".encode(), hashlib.sha256).hexdigest()[:16]


def export_write(
    file: IO[bytes],
    members: Iterable[tuple[int, Iterable[dict[str, Any]]]],
    *,
    key: bytes,
) -> int:
    """Write the Parquet file, a member at a time; how many rows it has.

    Args:
        file: Where to.
        members: Each member's id and rows: the values of ``COLUMNS`` but for ``member``, ``solve``
            and ``week``, with ``solve_id`` and ``done_at``; empty text is a missing value.
        key: For the made-up names, by which the rows are ordered too.
    """
    n_rows = 0
    named = sorted((pseudonym(key, "member", number), rows) for number, rows in members)
    kept = schema()
    with pq.ParquetWriter(file, kept, compression="zstd") as writer:
        for name, rows in named:
            table = _table(name, rows, key, kept)
            n_rows += table.num_rows
            if table.num_rows:
                writer.write_table(table)
    return n_rows


def _table(member: str, rows: Iterable[dict[str, Any]], key: bytes, kept: pa.Schema) -> pa.Table:
    values: dict[str, list[Any]] = {name: [] for name in kept.names}
    for row in rows:
        at: datetime | None = row["done_at"]
        made = {
            "member": member,
            "solve": pseudonym(key, "solve", row["solve_id"]),
            "week": None if at is None else week_of(at),
        }
        for name, column in values.items():
            value = made[name] if name in made else row[name]
            column.append(None if value == "" else value)
    return pa.table(values, schema=kept).sort_by([("solve", "ascending"), ("stage", "ascending")])
