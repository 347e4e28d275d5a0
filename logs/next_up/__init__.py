"""What to learn next: gains of each case, their order, the coach's own words."""
