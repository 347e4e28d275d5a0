"""One member's figures: over all, over time, by case; the page of a case.

What is worked out from a whole log is kept in `KeptFigures`, a row for each member and name, under a
key of all it stands on: the log's version, engine, book, zone, and a hash of the sources. Erasure
takes both by relation.
"""
