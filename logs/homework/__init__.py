"""Homework: set, checked against solves, told before and since."""
