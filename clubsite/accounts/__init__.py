"""Accounts: the user, signing in and out, passwords, limits. Knows nothing of clubs or logs."""
