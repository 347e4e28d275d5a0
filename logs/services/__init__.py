"""Every write: one verb, one transaction, keyword arguments only."""
