"""The demo club: invented members whose solves are really solved. It imports nothing of the app.

``python -m logs.demo`` reads fixtures/demo/club.toml (written by hand: the club, its members, what
each knows and how each solves; `members.Member` explains every key) and writes, the same to the
byte each time:

- ``fixtures/demo/logs/*.csv`` and ``*.jsonl``: the logs as members would upload them, one a member
  (two that overlap by three rows where ``two_files`` says so), some rows of one of them wrong;
- ``fixtures/demo/truth/*.jsonl``: for each row of the log of the same name, in order, what it was
  made as: ``row`` and ``line`` in the log, ``log`` (the kind of row), ``fate``, the engine's own
  keys, and in each look what the solver meant (``goal``, ``slip``) beside what it is to be read as.
  ``doubled`` marks a row that an earlier file of the member has, ``problem`` the reason why a row is
  to be set aside, ``open`` why its looks may be read in two ways (`truth` lists the reasons).

The solver knows nothing of the engine: its cube (`cube`), its eyes (`recognise`, `stages`) and its
account of the times (`truth`) are its own, so that labels can be held against the truth. It takes
the algorithms' texts from the engine's tables. Scrambles are random turns; those of drills come
from random last layers, solved and turned round (`scrambles`).
"""
