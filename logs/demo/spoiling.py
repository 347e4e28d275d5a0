"""Rows that are not right, as people and programs get them wrong."""

from typing import Any

SPOILT = {
    19: "not_solved",
    42: "off_by_one",
    63: "unknown_token",
    88: "turn_ms_count",
    105: "bad_time",
    127: "bad_penalty",
    141: "missing_field",
}
"""Which row (counted from 1) is set aside, by the code of its reason."""


def spoil(
    values: dict[str, Any], truth: dict[str, Any], code: str
) -> tuple[dict[str, Any], dict[str, Any]]:
    """A typed row's columns, made wrong, and the truth about it."""
    changed = dict(values)
    if code == "not_solved":  # A turn of the scramble left out.
        changed["scramble"] = values["scramble"].rpartition(" ")[0]
    elif code == "off_by_one":
        changed["penalty"] = ""
    elif code == "unknown_token":
        first, *rest = values["solution"].split(" ")
        changed["solution"] = " ".join([first, "Q", *rest])
    elif code == "turn_ms_count":
        changed["turn_ms"] = values["turn_ms"][:-1]
    elif code == "bad_time":
        changed["time"] = values["time"].replace(".", ",")
    elif code == "bad_penalty":
        changed["penalty"] = "+4"
    elif code == "missing_field":
        changed["scramble"] = ""
    status = "not_solved" if code in ("not_solved", "off_by_one") else "refused"
    return changed, {"log": truth["log"], "status": status, "problem": code}
