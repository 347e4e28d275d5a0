"""Practice questions and drills, and how many a day.

An answer of the practice page is a `PracticeAnswer` and never a sighting: no tally, frame or figure
of solves reads that table. A question is not stored; it travels sealed
(`services.question_seal`) and counts once. The day's drills end at the club's
``practice_cap``, a cube scrambled for an answer among them; answers by tapping at three times that.
A round is ten answers after one that its address names: nothing of it is stored. What is asked next
is what the member is likeliest to forget (`figures.next_case`). A row whose
scramble leaves F2L home is a drill: every frame and tally is of one kind, and
``test_drills_apart.py`` holds all pages still while a drill log comes in. A sheet is its address:
cases, number, colour and seed make it again.
"""
