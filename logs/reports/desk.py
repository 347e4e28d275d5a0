"""The club a coach's page belongs to, as the tabs of a club's pages name it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ClubName:
    """A club by its name and its place in addresses."""

    name: str
    slug: str


@dataclass(frozen=True, slots=True)
class Desk:
    """What the tabs of a club read, on a page that only its coaches have."""

    club: ClubName
    is_coach: bool = True
