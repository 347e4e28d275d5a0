"""The name of a file that somebody sent, as it is kept for show."""

from pathlib import PurePosixPath, PureWindowsPath

MAX_FILE_NAME = 200


def plain_name(name: str) -> str:
    """The last part of a path, without what does not print, cut to what is kept."""
    last = PurePosixPath(PureWindowsPath(name).as_posix()).name
    printable = "".join(char for char in last if char.isprintable()).strip()
    return printable[:MAX_FILE_NAME] or "log"
