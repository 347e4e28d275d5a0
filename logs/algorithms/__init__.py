"""The algorithms of a club, as stored and proved, and what is said of one. Their pages are in ``book``.

A club without rows in `BookAlgorithm` follows the standard book; its first change copies that. A
log is labelled by the union of its member's clubs' books (`selectors.book_of_member`), and a solve
keeps that book's version.
"""
