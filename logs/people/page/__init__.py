"""The room's pages."""
