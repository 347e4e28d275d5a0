"""The algorithms of a club, as stored and proved, and what is said of one. The pages of the book are in ``book``."""
