"""Clubs and who is in them, who sees whose log, invitations, tokens, the trail."""
