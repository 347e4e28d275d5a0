"""The demo club: invented members whose solves are really solved, and the truth about each row."""
