"""A case by itself: how it is held, what to look at, its chance, what it takes to learn.

No log is read here: all of it follows from the engine and a book.
"""
