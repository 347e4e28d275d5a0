"""Invented worlds whose truth is known, and what the figures say in them."""
