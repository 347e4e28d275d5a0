"""A sheet of picked cases: its scrambles lead to its cases, and are the same each time."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from cubecore.cases import CaseId, Stage, label
from cubecore.cube import SOLVED, after_turns
from cubecore.notation import parse_script
from cubecore.turns import Face
from logs.algorithms.services import case_words_write
from logs.people.models import Role
from logs.sheets.pdf import sheet_pdf
from logs.sheets.report import MOST_SCRAMBLES, Paper, Room, picked_sheet
from tests.factories import NOW, make_client, make_club, make_membership, make_user

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


@pytest.mark.parametrize(("query", "n", "has_lines"), [("&scrambles=0", 0, False), ("&scrambles=0&lines=1", 0, True), ("&scrambles=6&lines=1", 6, True), ("&scrambles=99", 6, False), ("&scrambles=x", 3, False)])  # fmt: skip
def test_how_many_scrambles_and_whether_there_are_lines_is_the_coach_s(query, n, has_lines):
    client = make_client(make_user())
    page = client.get(f"/sheet/{ADDRESS}{query}").content.decode()
    assert page.count('<p class="moves small">') - page.count("Mirror:") == n * len(CODES)
    assert ("sheet-practice has-lines" in page) == has_lines
    assert ("Scramble white up" in page) == bool(n)
    pdf = PdfReader(BytesIO(client.get(f"/sheet.pdf{ADDRESS}{query}").content)).pages[0]
    text = " ".join(pdf.extract_text().split())
    assert ("Practice scrambles" in text) == (bool(n) or has_lines)
    contents = pdf.get_contents()
    assert contents is not None
    drawn = contents.get_data()
    n_lines = len(re.findall(rb" l S", drawn)) - len(CODES)  # less the rule above each case
    assert n_lines == has_lines * (n or 3) * len(CODES)


def test_more_scrambles_leave_room_for_fewer_cases_on_a_page():
    user, codes = make_user(), [f"oll-{n}" for n in range(1, 9)]
    sizes = {
        n: [len(page) for page in picked_sheet(actor=user, codes=codes, room=Room(n)).pages]
        for n in (3, 4)
    }
    assert sizes == {3: [4, 4], 4: [3, 3, 2]}


def test_words_in_a_script_that_the_sheet_s_face_lacks_are_left_to_the_page_behind_the_code():
    coach = make_membership(make_club(), role=Role.COACH)
    texts = {27: "Langsam, mit Gefühl; σιγά", 26: "右手から"}
    for number, text in texts.items():
        case_words_write(
            actor=coach.user,
            slug=coach.club.slug,
            case=CaseId(Stage.OLL, number),
            text=text,
            now=NOW,
        )
    client = make_client(coach.user)
    pdf = PdfReader(BytesIO(client.get("/sheet.pdf?case=oll-27&case=oll-26").content)).pages[0]
    text = " ".join(pdf.extract_text().split())
    assert texts[27] in text
    assert text.count("In the coach's words: on the page behind the code.") == 1
    assert texts[26] in client.get("/sheet/?case=oll-26").content.decode()


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_no_scramble_runs_into_the_notes(paper):
    """A letter of Courier is 0.6 of its size wide (the face's published metrics, from memory)."""
    codes = [f"oll-{number}" for number in range(1, 16)]
    sheet = picked_sheet(actor=make_user(), codes=codes, room=Room(MOST_SCRAMBLES))
    reader = PdfReader(BytesIO(sheet_pdf(sheet, paper=paper, now=NOW)))
    ends: dict[str, float] = {}
    for page in reader.pages:

        def note(text, cm, tm, _, size):
            ends[text.strip()] = tm[4] * cm[0] + cm[4] + 0.6 * size * len(text.strip())

        page.extract_text(visitor_text=note)
    width, margin = float(reader.pages[0].mediabox.width), 13 / 25.4 * 72
    notes = width - margin - (width - 2 * margin) * 0.36
    scrambles = [scramble for case in sheet.cases for scramble in case.scrambles]
    assert set(scrambles) <= set(ends)
    assert max(ends[scramble] for scramble in scrambles) < notes
