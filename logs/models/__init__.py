"""The tables. Touched by services and selectors (and migrations) alone; no rule of the trade."""

from logs.models.clubs import Club, Membership, Role, Visibility
from logs.models.solves import Sighting, Solve
from logs.models.uploads import SetAsideRow, Upload

__all__ = [
    "Club",
    "Membership",
    "Role",
    "SetAsideRow",
    "Sighting",
    "Solve",
    "Upload",
    "Visibility",
]
