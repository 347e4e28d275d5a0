"""Words with one spelling each, such as the name of a stage."""

from enum import StrEnum


class Word(StrEnum):
    """An enumeration of texts whose members print as they are written in code."""

    def __repr__(self) -> str:
        """Such as ``Stage.OLL``."""
        return f"{type(self).__name__}.{self.name}"
