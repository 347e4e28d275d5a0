"""What other rooms are told of: they listen, and this room need not know them."""

from django.dispatch import Signal

membership_changed = Signal()
"""Somebody joined or left a club. Sent within the transaction, with ``member`` and ``now``."""
