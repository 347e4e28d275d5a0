"""Many rows changed by one statement."""

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any

from django.db import connection, models

ROWS = 500
"""Rows in a statement: with a dozen fields well below the 32,766 values that SQLite takes."""


def update_rows(rows: Sequence[models.Model], names: Sequence[str]) -> None:
    """Write the fields ``names`` of stored rows of one model: a join with the values.

    Django's ``bulk_update`` asks for every row and field in turn which value is meant, so that its
    cost grows with the square of the rows in a statement; tests/bench measures both.
    """
    for start in range(0, len(rows), ROWS):
        _update(rows[start : start + ROWS], names)


def _update(rows: Sequence[models.Model], names: Sequence[str]) -> None:
    meta = rows[0]._meta
    fields = [field for field in meta.concrete_fields if field.name in names]
    quote = connection.ops.quote_name
    columns = [quote(_column(field)) for field in fields]
    changes = [
        f"{column} = CAST(given.{column} AS {field.cast_db_type(connection)})"
        for column, field in zip(columns, fields, strict=True)
    ]
    row_of_marks = f"({', '.join(['%s'] * (len(columns) + 1))})"
    statement = (
        f"WITH given (pk, {', '.join(columns)}) AS"  # noqa: S608 - names of our own columns alone
        f" (VALUES {', '.join([row_of_marks] * len(rows))})"
        f" UPDATE {quote(meta.db_table)} SET {', '.join(changes)} FROM given"
        f" WHERE {quote(meta.db_table)}.{quote(_column(meta.pk))} = given.pk"
    )
    with connection.cursor() as cursor:
        cursor.execute(statement, list(chain.from_iterable(_values(rows, fields))))


def _column(field: "models.Field[Any, Any]") -> str:
    assert field.column is not None
    return field.column


def _values(
    rows: Sequence[models.Model], fields: "Sequence[models.Field[Any, Any]]"
) -> Iterator[list[Any]]:
    for row in rows:
        yield [
            row.pk,
            *(field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields),
        ]
