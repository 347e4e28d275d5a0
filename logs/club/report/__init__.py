"""What is shown, as data."""
