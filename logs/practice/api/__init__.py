"""The room's endpoints."""
