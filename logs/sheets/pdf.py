"""A sheet as a PDF, black on white, made by fpdf2; nothing else needs to be installed."""

from collections.abc import Callable, Sequence
from datetime import datetime
from importlib.resources import files
from io import BytesIO

import segno
from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import TTFFont

from cubecore.cases import Case
from cubecore.cues import cue_of, cue_stickers
from cubecore.pictures import Drawing, case_drawing
from cubecore.turns import FACE_BY_COLOUR
from logs.sheets.report import Paper, Room, Sheet, SheetCase

# All lengths in mm.
MARGIN = 13.0


HEADING_H = 9.0


LINE_H = 5.0


QR_SIDE = 15.0
"""Of a lesson's sheet; 13 mm on a homework's, where a module is a third of a millimetre."""


HOMEWORK_QR = 13.0


LESSON_PICTURE = 31.0


PARTNER_W = 46.0


PARTNER_PICTURE = 17.0


GAP = 4.0


CLOSE_ROW = 6.0
"""From one scramble to the next where nothing is to be written between."""


FACE = "Sheet"


TURNS = "Courier"
"""The face of algorithms: one of every PDF reader's own, in which l is no I."""


_FONTS = files("font_source_sans_pro").joinpath("files")


Address = Callable[[Case], str]
"""The address of a case's page, for its QR code; empty for none."""


def sheet_pdf(
    sheet: Sheet, *, paper: Paper, now: datetime, address: Address = lambda case: ""
) -> bytes:
    """The bytes of a PDF of ``sheet``.

    Args:
        sheet: What to print.
        paper: A4 or US Letter, upright.
        now: The moment that the file says it was made.
        address: Where a case's QR code leads.
    """
    pdf = opened(sheet.heading, paper=paper, now=now)
    write_heading(pdf, sheet.heading, [*sheet.lines, *([sheet.note] if sheet.note else [])])
    if sheet.is_homework:
        _homework(pdf, sheet, address)
    else:
        _lesson(pdf, sheet, address)
    return bytes(pdf.output())


def opened(title: str, *, paper: str, now: datetime) -> FPDF:
    """A PDF with its first page, its faces and its margins."""
    pdf = FPDF(orientation="portrait", unit="mm", format=paper)
    pdf.set_creation_date(now)
    pdf.set_title(title)
    pdf.set_lang("en-GB")
    pdf.set_margin(MARGIN)
    pdf.set_auto_page_break(auto=False)
    pdf.add_font(FACE, "", str(_FONTS.joinpath("SourceSansPro-Regular.ttf")))
    pdf.add_font(FACE, "B", str(_FONTS.joinpath("SourceSansPro-Semibold.ttf")))
    pdf.add_page()
    return pdf


def write_heading(pdf: FPDF, heading: str, lines: Sequence[str]) -> None:
    """The heading, and what stands under it line by line."""
    pdf.set_font(FACE, "B", 18)
    _write(pdf, heading, HEADING_H)
    pdf.set_font(FACE, "", 10.5)
    for line in lines:
        _write(pdf, line, LINE_H)
    pdf.ln(2)


def _lesson(pdf: FPDF, sheet: Sheet, address: Address) -> None:
    """A block for each case, with room for practice and notes; the blocks of a page fill it."""
    for number, cases in enumerate(sheet.pages):
        if number:
            pdf.add_page()
        begin = pdf.get_y()
        height = (pdf.h - MARGIN - begin) / max(1, len(cases))
        for place, case in enumerate(cases):
            top = begin + place * height
            _rule(pdf, top)
            _lesson_case(pdf, case, sheet.room, (top + 2, height), address(case.case))


def _lesson_case(
    pdf: FPDF, case: SheetCase, asked: Room, place: tuple[float, float], link: str
) -> None:
    top, height = place
    _picture(pdf, cued_drawing(case), MARGIN, top + 1, LESSON_PICTURE)
    left = MARGIN + LESSON_PICTURE + GAP
    right = pdf.w - MARGIN
    width = right - left - (PARTNER_W + GAP if case.partner else 0)
    _words(pdf, case, left, top, width)
    if case.partner:
        x = right - PARTNER_W
        other = case.partner.case
        text = f"{other}, the mirror of {case.case}"
        last = FACE_BY_COLOUR[case.colour]
        drawing = case_drawing(other, angle=case.partner.angle, text=text, last=last)
        _picture(pdf, drawing, x, top + 6, PARTNER_PICTURE)
        pdf.set_font(FACE, "", 9)
        _at(pdf, x, top, PARTNER_W, 4.5, f"Mirror: {case.partner.case}")
        beside = x + PARTNER_PICTURE + 2
        pdf.set_font(TURNS, "", 9)
        _at(pdf, beside, top + 6, right - beside, 4.2, case.partner.text)
    room = max(top + LESSON_PICTURE + 3, pdf.get_y())
    _room(pdf, case, asked, (room, top + height - 6))
    _qr(pdf, link, case, (MARGIN, room), QR_SIDE)


def _qr(pdf: FPDF, link: str, case: SheetCase, place: tuple[float, float], side: float) -> None:
    """A code that opens the case's page."""
    if link:
        code = BytesIO()
        segno.make_qr(link, error="m").save(code, kind="png", scale=8, border=4)
        pdf.image(code, *place, w=side, h=side, alt_text=f"QR code: {case.case}")


def _words(pdf: FPDF, case: SheetCase, left: float, top: float, width: float) -> None:
    """Title, cue, algorithm and how it is read out, one under the other."""
    pdf.set_font(FACE, "B", 13)
    _at(pdf, left, top, width, 6, str(case.case))
    pdf.set_font(FACE, "", 10)
    _at(pdf, left, pdf.get_y(), width, 4.4, case.look_at)
    pdf.set_font(TURNS, "B", 11.5)
    _at(pdf, left, pdf.get_y() + 1, width, 5, case.text)
    pdf.set_font(FACE, "", 10)
    needed = f"Needed by {', '.join(case.needed_by)}." if case.needed_by else ""
    for words in (case.read_out, written(pdf, case.note), needed):
        if words:
            _at(pdf, left, pdf.get_y(), width, 4.4, words)


def _room(pdf: FPDF, case: SheetCase, asked: Room, place: tuple[float, float]) -> None:
    """Practice scrambles, lines to write on, and a box for notes."""
    (top, bottom), left = place, MARGIN + QR_SIDE + GAP
    right, height = pdf.w - MARGIN, bottom - top
    box = right - (right - MARGIN) * 0.36
    pdf.set_font(FACE, "", 8)
    if asked.n_scrambles or asked.has_lines:
        _at(pdf, left, top, box - left, 4, "Practice scrambles")
    n_rows = max(asked.n_lines, len(case.scrambles))
    step = (height - 4) / max(1, n_rows)
    if not asked.has_lines:
        step = min(step, CLOSE_ROW)
    pdf.set_line_width(0.15)
    for line in range(1, n_rows + 1):
        y = top + 4 + line * step
        if asked.has_lines:
            pdf.line(left, y, box - GAP, y)
        if line <= len(case.scrambles):
            _fitted(pdf, case.scrambles[line - 1], (left, y - 4), box - GAP - left)
    pdf.set_font(FACE, "", 8)
    pdf.rect(box, top, right - box, height)
    _at(pdf, box + 1.5, top + 0.5, 20, 4, "Notes")


def _fitted(pdf: FPDF, turns: str, place: tuple[float, float], width: float) -> None:
    """Turns on one line, their letters made smaller until they fit."""
    letters = 9.0
    pdf.set_font(TURNS, "", letters)
    while pdf.get_string_width(turns) + 2 * pdf.c_margin > width:
        letters -= 0.25
        pdf.set_font(TURNS, "", letters)
    pdf.set_xy(*place)
    pdf.cell(width, 4, turns)


def _homework(pdf: FPDF, sheet: Sheet, address: Address) -> None:
    """All cases on what is left of the page, in one column or two, and notes below."""
    n_columns = 1 if len(sheet.cases) <= 5 else 2
    n_rows = max(1, -(-len(sheet.cases) // n_columns))
    notes_h = 26.0
    top = pdf.get_y()
    height = min(42.0, (pdf.h - MARGIN - notes_h - GAP - top) / n_rows)
    width = (pdf.w - 2 * MARGIN - (n_columns - 1) * GAP) / n_columns
    for place, case in enumerate(sheet.cases):
        column, row = divmod(place, n_rows)
        x, y = MARGIN + column * (width + GAP), top + row * height
        pdf.set_line_width(0.15)
        pdf.line(x, y, x + width, y)
        _homework_case(pdf, case, (x, y + 1), (width, height - 2), address(case.case))
    pdf.set_line_width(0.15)
    notes = pdf.h - MARGIN - notes_h
    pdf.rect(MARGIN, notes, pdf.w - 2 * MARGIN, notes_h)
    pdf.set_font(FACE, "", 8)
    _at(pdf, MARGIN + 1.5, notes + 0.5, 40, 4, "Notes")


def _homework_case(
    pdf: FPDF,
    case: SheetCase,
    place: tuple[float, float],
    size: tuple[float, float],
    link: str,
) -> None:
    """A case in its room, its letters made smaller until it fits."""
    (x, y), (width, height) = place, size
    picture = min(30.0, height, width * 0.26)
    _picture(pdf, cued_drawing(case), x, y, picture)
    side = min(HOMEWORK_QR, height) if link else 0.0
    _qr(pdf, link, case, (x + width - side, y), side)
    left, room = x + picture + 3, width - picture - 3 - side
    for letters in (10.5, 9.5, 8.5, 7.5, 6.5):
        if _small_words(pdf, case, (left, y), room, letters, is_dry=True) <= y + height:
            break
    _small_words(pdf, case, (left, y), room, letters, is_dry=False)


def _small_words(
    pdf: FPDF,
    case: SheetCase,
    place: tuple[float, float],
    width: float,
    letters: float,
    *,
    is_dry: bool,
) -> float:
    """Write a case's words ``letters`` points high, or only measure them; where they end."""
    left, y = place
    parts = [
        (FACE, "B", 1.15, str(case.case)),
        (FACE, "", 1.0, case.look_at),
        (TURNS, "B", 1.0, case.text),
    ]
    parts += [(FACE, "", 1.0, words) for words in (case.read_out, written(pdf, case.note)) if words]
    for face, style, scale, words in parts:
        pdf.set_font(face, style, letters * scale)
        pdf.set_xy(left, y)
        line_h = letters * scale * 0.43
        height = pdf.multi_cell(width, line_h, words, align="L", dry_run=is_dry, output="HEIGHT")
        assert isinstance(height, float | int)
        y += height
    return y


def written(pdf: FPDF, words: str) -> str:
    """A coach's words, or where they are to be read if the face lacks a letter of theirs."""
    face = pdf.fonts[FACE.lower()]
    assert isinstance(face, TTFFont)  # it was read from a file
    if all(ord(letter) in face.cmap or letter.isspace() for letter in words):
        return words
    return "In the coach's words: on the page behind the code."


def _write(pdf: FPDF, words: str, line_h: float) -> None:
    pdf.multi_cell(0, line_h, words, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)


def _at(pdf: FPDF, x: float, y: float, width: float, line_h: float, words: str) -> None:
    pdf.set_xy(x, y)
    pdf.multi_cell(width, line_h, words, align="L", new_x=XPos.LEFT, new_y=YPos.NEXT)


def _rule(pdf: FPDF, y: float) -> None:
    pdf.set_line_width(0.4)
    pdf.line(MARGIN, y, pdf.w - MARGIN, y)


def cued_drawing(case: SheetCase) -> Drawing:
    """The picture of a sheet's case, what to look at ringed and read out."""
    marks = cue_stickers(cue_of(case.case, case.angle))
    text = f"{case.case}: {case.look_at}"
    last = FACE_BY_COLOUR[case.colour]
    return case_drawing(case.case, angle=case.angle, text=text, marks=marks, last=last)


def _picture(pdf: FPDF, drawing: Drawing, x: float, y: float, size: float) -> None:
    """A picture in black, with its text alternative."""
    svg = drawing.svg(size=round(size), ink="#000", has_letters=True)
    pdf.image(BytesIO(svg.encode()), x=x, y=y, w=size, h=size, alt_text=drawing.text)
