"""A sheet of drills as a PDF: each scramble with a line for its time."""

from datetime import datetime

from logs.reports.drills import DrillSheet
from logs.reports.sheets import Paper
from logs.web.sheet_pdf import FACE, MARGIN, TURNS, opened, write_heading

# All lengths in mm.
ROW_H = 8.4
NUMBER_W = 9.0
TIME_W = 32.0
HANDS = "Mind your hands: stop when it hurts, rest, and see a doctor if the pain stays."


def drill_pdf(sheet: DrillSheet, *, paper: Paper, now: datetime) -> bytes:
    """The bytes of a PDF of ``sheet``.

    Args:
        sheet: What to print.
        paper: A4 or US Letter, upright.
        now: The moment that the file says it was made.
    """
    pdf = opened(sheet.heading, paper=paper, now=now)
    write_heading(pdf, sheet.heading, [f"{line}." for line in sheet.lines])
    pdf.set_line_width(0.15)
    for one in sheet.drills:
        if pdf.get_y() + 2 * ROW_H > pdf.h - MARGIN:
            pdf.add_page()
        y, right = pdf.get_y(), pdf.w - MARGIN
        pdf.set_font(FACE, "", 10)
        pdf.set_xy(MARGIN, y)
        pdf.cell(NUMBER_W, ROW_H, f"{one.number}.")
        pdf.set_font(TURNS, "", 11)
        pdf.cell(right - TIME_W - MARGIN - NUMBER_W, ROW_H, one.scramble)
        pdf.line(right - TIME_W, y + ROW_H - 2, right, y + ROW_H - 2)
        pdf.set_xy(MARGIN, y + ROW_H)
    pdf.set_font(FACE, "", 9)
    pdf.set_xy(MARGIN, pdf.get_y() + 2)
    pdf.cell(0, 4, HANDS)
    return bytes(pdf.output())
