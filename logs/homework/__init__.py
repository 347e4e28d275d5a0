"""Homework: set, learnt by a date, then seen in solves; told before and since.

Two parts stand apart for each member and case. *Learn it* is something a member can do this week
(drills, practice, or shown to the coach) and has a date; *it shows in solves* is a sequential check
without one, since chance decides when a case comes up. A date is never refused, and what has not
come up is never told as a failure. A coach sees of a member who hides the log that it is set, and
no more. `CaseState` is the one word for both parts.
"""
