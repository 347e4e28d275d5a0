"""Bytes to rows and problems. Knows no Django, and never raises on bad data."""
