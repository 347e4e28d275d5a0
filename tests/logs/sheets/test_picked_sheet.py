"""A sheet of picked cases: its scrambles lead to its cases, and are the same each time."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from cubecore.cases import label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import Face
from logs.sheets.report import picked_sheet
from tests.factories import make_client, make_user

pytestmark = pytest.mark.django_db

CODES = ["oll-27", "pll-T"]
ADDRESS = "?case=oll-27&case=pll-T"


def test_its_scrambles_lead_to_its_cases_and_are_dealt_alike_each_time():
    """Where they lead is read by the engine, the yellow layer last."""
    sheet = picked_sheet(actor=make_user(), codes=CODES)
    for case in sheet.cases:
        assert len(set(case.scrambles)) == 3
        for scramble in case.scrambles:
            shown = label(after_turns(SOLVED, parse_script(scramble).turns), Face.D)
            assert case.case.id.number in (shown.oll, shown.pll)
    assert sheet.lines == ("Scramble white up, green front; the last layer is yellow.",)
    assert picked_sheet(actor=make_user(), codes=CODES) == sheet
    assert picked_sheet(actor=make_user(), codes=[]).lines == ()


def test_the_page_and_the_pdf_hold_the_same_scrambles():
    user = make_user()
    client, sheet = make_client(user), picked_sheet(actor=user, codes=CODES)
    page = client.get(f"/sheet/{ADDRESS}").content.decode().replace("&#x27;", "'")
    pdf = PdfReader(BytesIO(client.get(f"/sheet.pdf{ADDRESS}").content))
    printed = " ".join(" ".join(part.extract_text().split()) for part in pdf.pages)
    for case in sheet.cases:
        for scramble in case.scrambles:
            assert scramble in page
            assert scramble in printed
