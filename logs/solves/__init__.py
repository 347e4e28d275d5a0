"""Logs: uploads, waiting files, solves, sightings with their labels, and the tallies of them.

Labels are a pure function of the stored row, the engine and the book. Tallies are kept beside the
sightings for pages over a whole club: every cell that a change touches is counted anew in the
change's own transaction, a week from the rows of that week, a case from its weeks; nothing is ever
taken out of a count (`logs.solves.services.tallies`). Who adds solves calls ``tally_add``; who
changes or removes solves or sightings does it within ``tallies_following``. Both raise the log's
version, by which kept figures are told apart.

Each row that could be read stands in one place: as a `Solve` of the log, as a `KeptRow` (the log has
that solve from elsewhere, the row adds to it or contradicts it, its member deleted the solve, or its
upload is taken back), or as a `SetAsideRow`; the counts of its upload say how many stand where. What
is taken out of the log leaves the tables that pages read: no read has to leave anything out.
`logs.solves.services.deciding` says what becomes of a row, `rows` what a solve is that several rows
tell of. Of uploads `Upload.objects` leaves out those taken back.

A table that is not in our format waits as an `UploadDraft` with a guessed `ColumnMapping`; what its
cells leave open is None and is asked. The mapping is stored with the upload, so that a mended row
and a second reading go the same way; `KeptMapping` keeps one under a name and is found again by the
header's names. `Solve` keeps, beside the texts of its row, what labels need of them as bytes:
``scramble_turns``, ``solution_turns`` (a byte a turn) and ``turn_gaps`` (LEB128); what changes a
stored text must change them too.
"""
