"""The rooms' models, gathered for Django; nothing else imports them from here."""

from logs.algorithms.models import BookAlgorithm, CaseWords, TriggerName
from logs.case_map.models import KnownByWord
from logs.home.models import CalendarFeed, DeskVisit, WeeklyLetter
from logs.homework.models import (
    Assignment,
    AssignmentCase,
    DrillAnswer,
    Excuse,
    Homework,
    HomeworkCase,
)
from logs.jobs.models import Job
from logs.lessons.models import Lesson, LessonCase, LessonMember
from logs.next_up.models import Override
from logs.people.models import ApiToken, AuditEvent, Club, Group, Invitation, Membership
from logs.practice.models import PracticeAnswer
from logs.progress.models import KeptFigures, TimeMark
from logs.solves.models.draws import Draw, DrawnSolve, WrittenSolve
from logs.solves.models.kept_rows import KeptRow, SolveChange
from logs.solves.models.solves import KeptMapping, SetAsideRow, Sighting, Solve, Upload, UploadDraft
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    LogVersion,
    MixUpTally,
    WeekTally,
)
from logs.wall.models import Wall, WallSeat
from logs.writeups.models import Writeup

__all__ = [
    "ApiToken",
    "Assignment",
    "AssignmentCase",
    "AuditEvent",
    "BookAlgorithm",
    "CalendarFeed",
    "CaseTally",
    "CaseWeekTally",
    "CaseWords",
    "Club",
    "CoverageTally",
    "DeskVisit",
    "Draw",
    "DrawnSolve",
    "DrillAnswer",
    "Excuse",
    "Group",
    "Homework",
    "HomeworkCase",
    "Invitation",
    "Job",
    "KeptFigures",
    "KeptMapping",
    "KeptRow",
    "KnownByWord",
    "Lesson",
    "LessonCase",
    "LessonMember",
    "LogVersion",
    "Membership",
    "MixUpTally",
    "Override",
    "PracticeAnswer",
    "SetAsideRow",
    "Sighting",
    "Solve",
    "SolveChange",
    "TimeMark",
    "TriggerName",
    "Upload",
    "UploadDraft",
    "Wall",
    "WallSeat",
    "WeekTally",
    "WeeklyLetter",
    "Writeup",
    "WrittenSolve",
]
