"""Practice questions and drills, and how many a day.

An answer of the practice page is a `PracticeAnswer` and never a sighting: no tally, frame or figure
of solves reads that table. A question is not stored; it travels sealed
(`services.question_seal`) and counts once. The day ends at the club's ``practice_cap``. A row whose
scramble leaves F2L home is a drill: every frame and tally is of one kind, and
``test_drills_apart.py`` holds all pages still while a drill log comes in. A sheet is its address:
cases, number, colour and seed make it again.
"""
