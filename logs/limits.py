"""How long a text may be and how far a number may go: each once, for models, forms and the API.

Units are in the names; what has none is a number of characters.
"""

from decimal import Decimal

CLUB_NAME = 100
SLUG = 50
DISPLAY_NAME = 60
"""What a club calls a person."""
LABEL = 60
"""A name that somebody gives to a thing of theirs: a token, a kept mapping, a group."""
TIME_ZONE = 50

CONTACT = 100
"""Who answers for a club, and how to reach them."""

REASON = 300
"""Why a coach does something; the member reads it."""
NOTE = 1_000
"""A coach's words beside homework or a lesson."""
CASE_WORDS = 600
"""A coach's words beside a case of the book: a few lines."""
TITLE = 100
"""Of a lesson."""

STAGE = 3
CASE = 4
TRIED_ALGORITHM = 500
"""An algorithm as somebody writes it, before it is made short."""

SHA256 = 64

RECOGNITION_TARGET_MS = (100, 30_000)
RECOGNITION_TARGET_S = tuple(Decimal(ms) / 1000 for ms in RECOGNITION_TARGET_MS)
HOMEWORK_CASES = 20
PROPOSED_CASES = 10
DRAWN_AT_ONCE = (1, 50)
"""Solves that a draw asks to be written down."""
SHEET_CASES = 20
MEMBERS_CHOSEN = 200
"""Members named in one request."""
INVITATION_USES = (1, 60)
INVITATION_DAYS = (1, 60)
INVITATION_CODE = 40
WALL_CODE = 4
"""Letters of the code by which a room joins a lesson on the wall."""
TOKEN_DAYS = (1, 366)
TOKENS = 20
GROUPS = 30
"""Groups of one club."""
PAGE = 1_000_000
"""The last page that may be asked for."""
NUMBER = 2**63 - 1
"""The largest number that the database keeps."""
