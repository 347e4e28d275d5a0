"""The room's tables."""
