"""Homework as its pages and the API tell it, as data."""
