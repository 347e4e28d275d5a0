"""The club's book: its pages, what members use of it, labels made anew after a change.

A change labels the club's solves anew in the same request up to ``RELABEL_LIMIT`` of
`logs.solves.services.relabel`; above it, and after somebody joins or leaves a club with
another book, a job does, and the page shows how far it is.
"""
