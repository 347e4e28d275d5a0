"""Practice questions and drills, and how many a day."""
