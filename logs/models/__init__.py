"""The tables. Touched by services and selectors (and migrations) alone; no rule of the trade."""

from logs.models.audit import AuditEvent, Verb
from logs.models.book import BookAlgorithm, TriggerName
from logs.models.clubs import (
    COACHING_ROLES,
    MOST_PRACTICE,
    PRACTICE_CAP,
    Club,
    Membership,
    Role,
    Visibility,
)
from logs.models.figures import LONGEST_MARK, KeptFigures, LogVersion, TimeMark
from logs.models.homework import Assignment, Excuse, Goal, Homework, HomeworkCase
from logs.models.invitations import Invitation
from logs.models.jobs import ACTIVE, Job, JobKind, JobStatus
from logs.models.lessons import Lesson, LessonCase, LessonMember
from logs.models.mappings import KeptMapping, UploadDraft
from logs.models.next_up import Override
from logs.models.practice import MAX_RECOGNITION_MS, PracticeAnswer
from logs.models.solves import Sighting, Solve
from logs.models.tallies import CaseTally, CaseWeekTally, CoverageTally, MixUpTally, WeekTally
from logs.models.throttles import Throttle
from logs.models.tokens import ApiToken, Scope
from logs.models.uploads import SetAsideRow, Upload

__all__ = [
    "ACTIVE",
    "COACHING_ROLES",
    "LONGEST_MARK",
    "MAX_RECOGNITION_MS",
    "MOST_PRACTICE",
    "PRACTICE_CAP",
    "ApiToken",
    "Assignment",
    "AuditEvent",
    "BookAlgorithm",
    "CaseTally",
    "CaseWeekTally",
    "Club",
    "CoverageTally",
    "Excuse",
    "Goal",
    "Homework",
    "HomeworkCase",
    "Invitation",
    "Job",
    "JobKind",
    "JobStatus",
    "KeptFigures",
    "KeptMapping",
    "Lesson",
    "LessonCase",
    "LessonMember",
    "LogVersion",
    "Membership",
    "MixUpTally",
    "Override",
    "PracticeAnswer",
    "Role",
    "Scope",
    "SetAsideRow",
    "Sighting",
    "Solve",
    "Throttle",
    "TimeMark",
    "TriggerName",
    "Upload",
    "UploadDraft",
    "Verb",
    "Visibility",
    "WeekTally",
]
