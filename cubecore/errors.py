"""What the engine refuses, each with the place and the mend in its message."""


class CubeError(ValueError):
    """A row, a text or an algorithm that cannot be taken as it stands.

    Attributes:
        code: Snake-case name of the reason; never changes once shipped.
        message: What is wrong, where, and what would be right.
        field: Key of the row the error is about, or None.
        column: 1-based column in the notation text, or None.
        token: The text that was refused, or None.
    """

    def __init__(
        self,
        code: str,
        message: str,
        *,
        field: str | None = None,
        column: int | None = None,
        token: str | None = None,
    ) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.field = field
        self.column = column
        self.token = token


class NotationError(CubeError):
    """A turn text that is not notation: names column, token and what was expected."""


class RowError(CubeError):
    """A row whose fields are missing, malformed, or contradict one another."""


class NotSolvedError(CubeError):
    """A solution that does not bring the scramble home, and is not a DNF."""


class AlgorithmError(CubeError):
    """An algorithm that does not do what it is entered for; says what it does instead."""


class CaseNameError(CubeError):
    """A name that no case has."""

    def __init__(self, name: str) -> None:
        super().__init__(
            "unknown_case",
            f"No case is called {name!r}; OLLs are 1-57, PLLs Aa-Z, as in 'OLL 27', 'PLL T'",
            token=name,
        )
