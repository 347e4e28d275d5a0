"""The tables. Touched by services and selectors (and migrations) alone; no rule of the trade."""

from logs.models.clubs import Club, Membership, Role, Visibility
from logs.models.homework import Assignment, Excuse, Goal, Homework, HomeworkCase
from logs.models.lessons import Lesson, LessonCase, LessonMember
from logs.models.next_up import Override
from logs.models.solves import Sighting, Solve
from logs.models.tallies import CaseTally, CoverageTally, MixUpTally
from logs.models.uploads import SetAsideRow, Upload

__all__ = [
    "Assignment",
    "CaseTally",
    "Club",
    "CoverageTally",
    "Excuse",
    "Goal",
    "Homework",
    "HomeworkCase",
    "Lesson",
    "LessonCase",
    "LessonMember",
    "Membership",
    "MixUpTally",
    "Override",
    "Role",
    "SetAsideRow",
    "Sighting",
    "Solve",
    "Upload",
    "Visibility",
]
