"""Rows to a JSON Lines log that `read_upload` reads back exactly."""

import json

from cubecore.rows import Row, format_time_exactly


def format_json_line(row: Row) -> str:
    """The row as one line with its line end; keys that would be empty are left out."""
    values = {
        "done_at": row.done_at,
        "scramble": row.scramble,
        "time": format_time_exactly(row.time_ms),
        "penalty": str(row.penalty) or None,
        "solution": row.solution,
        "turn_ms": None if row.turn_ms is None else list(row.turn_ms),
        "note": row.note or None,
    }
    kept = {key: value for key, value in values.items() if value is not None}
    return json.dumps(kept, ensure_ascii=False) + "\n"
