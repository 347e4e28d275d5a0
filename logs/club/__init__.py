"""The club in figures: coverage, compare, mistaken for, weeks; for members whose log the reader may read.

A page reads tallies, never solves, so that it costs the same for a long log as for a short one.
Who hides the log is counted and not named.
"""
