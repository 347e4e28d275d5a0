"""Logs: uploads, waiting files, solves, sightings with their labels, and the tallies of them."""
