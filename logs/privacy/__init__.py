"""What is kept about a person: shown, copied, erased."""
