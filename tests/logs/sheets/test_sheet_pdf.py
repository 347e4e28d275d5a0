"""Sheets as PDF, read back by pypdf."""

import html
from datetime import UTC, datetime
from io import BytesIO

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from cubecore.book import default_book
from cubecore.cases import CASES, Case, CaseId, Stage
from cubecore.descriptions import default_triggers
from logs.limits import SHEET_CASES
from logs.sheets.pdf import sheet_pdf
from logs.sheets.report import Paper, Sheet, SheetCase, Teaching, sheet_case
from tests.desk import make_lesson, make_team, solves
from tests.factories import make_upload

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
TEACHING = Teaching(default_book(), default_triggers(), {}, {}, {}, "yellow")
AWKWARD = CASES[CaseId(Stage.OLL, 41)]
# ISO 216 A4 in mm; US Letter is 8.5 by 11 inches. A point is 1/72 inch.
SIZES = {Paper.A4: (210 / 25.4 * 72, 297 / 25.4 * 72), Paper.LETTER: (612, 792)}


NOTES_TOP = (13 + 26) / 25.4 * 72  # margin and box, from the paper's lower edge


def cases(n: int) -> tuple[SheetCase, ...]:
    """The PLLs have the longest algorithms and cues; then OLLs."""
    chosen = [*list(CASES.values())[57:], *list(CASES.values())[:57]]
    return tuple(sheet_case(case, TEACHING) for case in chosen[:n])


def read(sheet: Sheet, paper: Paper = Paper.A4) -> PdfReader:
    return PdfReader(BytesIO(sheet_pdf(sheet, paper=paper, now=NOW)))


def words(reader: PdfReader) -> str:
    """All words, line breaks as spaces."""
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def test_a_lesson_sheet_holds_hold_cue_triggers_mirror_and_room():
    sheet = Sheet(
        "Łukasz's evening", ("Riverbank, 3 March 2026",), "", (sheet_case(AWKWARD, TEACHING),)
    )
    said = words(read(sheet))
    for text in (
        "Łukasz's evening",
        "Riverbank, 3 March 2026",
        "OLL 41 Awkward",
        "Awkward, on the front left, its corners on the front.",
        "Turn to look: the back face's left corner is yellow, one of two headlights.",
        "R U R' U R U2 R' F R U R' U' F'",
        "Sune, then F, righty trigger, F'",
        "Mirror: OLL 42 Awkward",
        "Practice scrambles",
        "Notes",
    ):
        assert text in said


@pytest.mark.parametrize("paper", Paper)
def test_the_paper_is_of_its_standard_size(paper):
    reader = read(Sheet("Sheet", (), "", cases(SHEET_CASES)), paper)
    for page in reader.pages:
        assert [float(edge) for edge in page.mediabox[2:]] == pytest.approx(SIZES[paper], abs=0.1)
    assert len(reader.pages) == 5  # four blocks on a page


@pytest.mark.parametrize("n", range(1, SHEET_CASES + 1))
def test_no_page_of_a_lesson_s_sheet_is_much_emptier_than_another(n):
    sizes = [len(page) for page in Sheet("Sheet", (), "", cases(n)).pages]
    assert sum(sizes) == n
    assert max(sizes) <= 4
    assert max(sizes) - min(sizes) <= 1
    assert len(sizes) == -(-n // 4)


@pytest.mark.parametrize("is_homework", [False, True])
def test_each_case_has_a_code_that_leads_to_its_page(is_homework):
    """That the code says the link is the library's to hold; here, that each case has its own."""
    asked: list[str] = []

    def address(case: Case) -> str:
        asked.append(str(case))
        return f"https://notes.example/cases/{case.id.stage}/{case.id.text}/"

    sheet = Sheet("Sheet", (), "", cases(6), is_homework=is_homework)
    content = sheet_pdf(sheet, paper=Paper.A4, now=NOW, address=address)
    assert asked == [str(case.case) for case in sheet.cases]
    told = [text for text in alternatives(content) if "QR" in text]
    assert told == [f"QR code: {case.case}" for case in sheet.cases]
    plain = sheet_pdf(sheet, paper=Paper.A4, now=NOW)
    assert not any("QR" in text for text in alternatives(plain))


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("n", [1, 5, 6, 11, SHEET_CASES])
def test_homework_is_one_page_that_nothing_leaves(paper, n):
    note = "Slowly first, then with your eyes shut. " * 5
    sheet = Sheet("Homework", ("Riverbank", "Asked: one look."), note, cases(n), is_homework=True)
    reader = read(sheet, paper)
    assert len(reader.pages) == 1
    said = words(reader)
    assert all(str(case.case) in said and case.text in said for case in sheet.cases)
    in_notes: list[str] = []

    def visit(text: str, page: list[float], matrix: list[float], *_: object) -> None:
        # PDF 32000-1, 9.4.4: a text's place in its own space, then in the page's.
        y = matrix[4] * page[1] + matrix[5] * page[3] + page[5]
        if text.strip() and y < NOTES_TOP:
            in_notes.append(text.strip())

    reader.pages[0].extract_text(visitor_text=visit)
    assert in_notes == ["Notes"]


def test_pictures_keep_their_text_alternative():
    content = sheet_pdf(Sheet("Sheet", (), "", cases(1)), paper=Paper.A4, now=NOW)
    assert any("The front face's" in text for text in alternatives(content))


def alternatives(content: bytes) -> list[str]:
    """Every text alternative in the file."""
    reader = PdfReader(BytesIO(content))
    found = []
    for number in range(1, len(reader.xref_objStm) + len(reader.xref[0]) + 1):
        thing = reader.get_object(number)
        if isinstance(thing, DictionaryObject) and "/Alt" in thing:
            found.append(str(thing["/Alt"]))
    return found


def test_a_case_that_is_its_own_mirror_has_no_partner():
    h, sune = CASES[CaseId(Stage.OLL, 21)], CASES[CaseId(Stage.OLL, 27)]
    assert sheet_case(h, TEACHING).partner is None
    partner = sheet_case(sune, TEACHING).partner
    assert partner is not None
    assert (str(partner.case), partner.text) == ("OLL 26 Antisune", "L' U' L U' L' U2 L")


def test_the_same_sheet_is_the_same_file():
    sheet = Sheet("Sheet", (), "", cases(2))
    first, again = (sheet_pdf(sheet, paper=Paper.A4, now=NOW) for _ in range(2))
    assert first == again


@pytest.mark.django_db
def test_only_the_coach_s_copy_says_who_needs_a_case(client):
    _, coach, (member,) = make_team()
    make_upload(member.user, solves("000"))
    lesson = make_lesson(coach, [member])
    client.force_login(coach.user)
    for query, names in (("", False), ("?names=1", True)):
        page = client.get(f"/lessons/{lesson.pk}/sheet/{query}").content.decode()
        content = client.get(f"/lessons/{lesson.pk}/sheet.pdf{query}").content
        printed = words(PdfReader(BytesIO(content)))
        for text in (page, printed):
            assert (f"Needed by {member.display_name}" in text) is names
            assert ("coach's copy" in html.unescape(text)) is names
    client.force_login(member.user)
    assert client.get(f"/lessons/{lesson.pk}/sheet/?names=1").status_code == 404
