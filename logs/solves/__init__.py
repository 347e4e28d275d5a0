"""Logs: uploads, waiting files, solves, sightings with their labels, and the tallies of them.

Labels are a pure function of the stored row, the engine and the book. Tallies are kept beside the
sightings for pages over a whole club: every cell that a change touches is counted anew in the
change's own transaction, a week from the rows of that week, a case from its weeks; nothing is ever
taken out of a count (`logs.solves.services.tallies`). Who adds solves calls ``tally_add``; who
changes or removes solves or sightings does it within ``tallies_following``. Both raise the log's
version, by which kept figures are told apart.
"""
