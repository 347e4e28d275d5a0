"""Lessons: proposed for who comes, planned, held, made into homework, looked back on.

Each case names the members who need it on the coach's pages and on the coach's copy of the sheet,
never on the members' sheet. Of people without a log nothing is said but that they came.
"""
