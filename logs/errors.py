"""What the app refuses, each with a code that never changes once shipped."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RowProblem:
    """Why a row, or a whole file, cannot be taken as it stands.

    Attributes:
        line: 1-based number of the row's first line; 0 for the file as a whole.
        code: Snake-case name of the reason.
        field: Column it is about, or empty.
        message: What is wrong and what would be right.
        text: The row exactly as it stands in the file; empty for the file as a whole.
    """

    line: int
    code: str
    field: str
    message: str
    text: str


class LogsError(Exception):
    """Something a person asked for that cannot be done.

    Attributes:
        code: Snake-case name of the reason.
        message: Tested text, fit to be shown.
        field: What of the things sent it is about; empty where there is no one to name.
    """

    code = "error"
    field = ""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class NotFoundError(LogsError):
    """It is not there, or it is not the actor's to see: the two look alike."""

    code = "not_found"

    def __init__(self, noun: str) -> None:
        super().__init__(f"There is no such {noun}.")


class ConflictError(LogsError):
    """What was asked for no longer fits what is stored."""

    code = "conflict"


class UploadRejectedError(LogsError):
    """A file of which no row could be read.

    Attributes:
        problems: What is wrong with it; never empty.
    """

    code = "upload_rejected"

    def __init__(self, problems: Sequence[RowProblem]) -> None:
        super().__init__(problems[0].message)
        self.problems = tuple(problems)


class NotAllowedError(LogsError):
    """The actor may see it, and may not do this to it."""

    code = "not_allowed"


class TooManyTriesError(LogsError):
    """It was tried too often lately.

    Attributes:
        wait_s: Seconds until it may be tried again.
    """

    code = "too_many_tries"

    def __init__(self, message: str, *, wait_s: int) -> None:
        super().__init__(message)
        self.wait_s = wait_s


class AlgorithmRefusedError(LogsError):
    """An algorithm that does not do what it is entered for; the message says what it does."""

    code = "algorithm_refused"

    def __init__(self, message: str, *, field: str = "text") -> None:
        super().__init__(message)
        self.field = field
