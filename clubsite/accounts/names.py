"""The one form of a user name that accounts are found by, kept apart by and counted under."""

import unicodedata

_DOTLESS = {ord("\N{LATIN SMALL LETTER DOTLESS I}"): "i"}
_DOTTED = "i\N{COMBINING DOT ABOVE}"


def caseless_name(name: str) -> str:
    """``name`` as it is the same for every way to write it.

    Two names are one where they match caselessly by compatibility (Unicode 15, section 3.13, D146).
    Dotted and dotless i are one letter too: the capital of either is written I somewhere.
    """
    for _ in range(2):
        name = unicodedata.normalize("NFKD", name).casefold()
    return unicodedata.normalize("NFKC", name.translate(_DOTLESS).replace(_DOTTED, "i"))
