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
BOOK_NOTE = 300
TITLE = 100
"""Of a lesson."""

STAGE = 3
CASE = 4
ALGORITHM = 300
"""An algorithm as a book keeps it."""
TRIED_ALGORITHM = 500
"""An algorithm as somebody writes it, before it is made short."""
TRIGGER_NAME = 40
TRIGGER_TURNS = 100
MARK_WORD = 40
"""A word at a day on the axis of Progress."""

FILE_NAME = 200
ROW_TEXT = 100_000
"""A row set aside, as it is mended."""
SHA256 = 64

RECOGNITION_TARGET_MS = (100, 30_000)
RECOGNITION_TARGET_S = tuple(Decimal(ms) / 1000 for ms in RECOGNITION_TARGET_MS)
HOMEWORK_CASES = 20
LESSON_CASES = 20
PROPOSED_CASES = 10
SHEET_CASES = 20
MEMBERS_CHOSEN = 200
"""Members named in one request."""
PLACE = 78
"""The last place of a list of all cases: 57 of OLL and 21 of PLL."""
PRACTICE_A_DAY = (1, 200)
INVITATION_USES = (1, 60)
INVITATION_DAYS = (1, 60)
INVITATION_CODE = 40
TOKEN_DAYS = (1, 366)
TOKENS = 20
PAGE = 1_000_000
"""The last page that may be asked for."""
NUMBER = 2**63 - 1
"""The largest number that the database keeps."""
