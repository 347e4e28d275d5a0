"""Lessons: proposed, planned, made into homework."""
