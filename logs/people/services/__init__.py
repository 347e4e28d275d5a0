"""Every write."""
