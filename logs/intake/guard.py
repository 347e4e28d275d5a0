"""Cells that a spreadsheet would run: guarded on the way out, bare again on the way in.

OWASP, "CSV Injection": a cell that begins with one of these is taken for a formula; an apostrophe
in front makes it text. A cell that begins with apostrophes and then one of these is guarded too,
which makes the pair exact for every text.
"""

GUARD = "'"
FORMULA_STARTS = frozenset("=+-@\t\r\n＝＋－＠")  # noqa: RUF001 - the full-width forms are meant


def _would_run(cell: str) -> bool:
    return cell.lstrip(GUARD)[:1] in FORMULA_STARTS


def guard_cell(cell: str) -> str:
    """``cell``, with an apostrophe in front if a spreadsheet would run it."""
    return GUARD + cell if _would_run(cell) else cell


def unguard_cell(cell: str) -> str:
    """``cell`` as it was before `guard_cell`."""
    return cell[1:] if cell.startswith(GUARD) and _would_run(cell) else cell
