"""The club in figures: coverage, compare, mistaken for, weeks."""
