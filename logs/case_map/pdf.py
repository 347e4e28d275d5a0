"""The poster as a PDF: every case on one page, each in the hold it is taught in."""

from datetime import datetime
from enum import StrEnum
from io import BytesIO
from math import ceil

from fpdf import FPDF

from cubecore.cases import CASES, CaseId
from cubecore.pictures import case_drawing
from logs.case_map.report import CaseMap, MapCase
from logs.sheets.pdf import FACE, MARGIN, TURNS, opened, write_heading
from logs.solves.figures.standing import Standing

COLUMNS = 10
LEGEND_H = 7.0


class PosterPaper(StrEnum):
    """The paper a poster is printed on; the larger has the algorithms too."""

    A4 = "a4"
    A3 = "a3"


def poster_pdf(report: CaseMap, *, paper: PosterPaper, now: datetime) -> bytes:
    """The bytes of a PDF with all cases of ``report`` on one page.

    Args:
        report: The map.
        paper: A4, or A3 with the algorithms.
        now: The moment that the file says it was made.
    """
    title = "All last-layer cases"
    pdf = opened(title, paper=paper, now=now)
    write_heading(pdf, title, [])
    n_tiles = sum(1 + len(family.cases) for family in report.families)
    width = (pdf.w - 2 * MARGIN) / COLUMNS
    top = pdf.get_y()
    height = (pdf.h - MARGIN - LEGEND_H - top) / ceil(n_tiles / COLUMNS)
    tiles: list[str | MapCase] = []
    for family in report.families:
        tiles += [f"{family.stage.upper()}: {family.name}", *family.cases]
    for place, tile in enumerate(tiles):
        row, column = divmod(place, COLUMNS)
        x, y = MARGIN + column * width, top + row * height
        if isinstance(tile, str):
            pdf.set_font(FACE, "B", 9 * width / 18)
            pdf.set_xy(x, y + height / 3)
            pdf.multi_cell(width - 1, 3.6 * width / 18, tile, align="L")
        else:
            _tile(pdf, tile, (x, y), (width, height), has_turns=paper is PosterPaper.A3)
    _legend(pdf)
    return bytes(pdf.output())


def _tile(
    pdf: FPDF,
    one: MapCase,
    place: tuple[float, float],
    size: tuple[float, float],
    *,
    has_turns: bool,
) -> None:
    (x, y), (width, height) = place, size
    scale = width / 18
    side = min(width - 4, height - (13 if has_turns else 9) * scale)
    case = CASES[CaseId.read(one.case.stage, one.case.number)]
    drawing = case_drawing(case, angle=one.case.angle, text=one.case.title)
    svg = drawing.svg(size=round(side), ink="#000", has_letters=True)
    pdf.image(BytesIO(svg.encode()), x=x + 1, y=y, w=side, h=side, alt_text=drawing.text)
    below = y + side + 0.6 * scale
    _mark(pdf, (x + 1, below + 0.3 * scale), 2.4 * scale, one.standing)
    pdf.set_font(FACE, "B", 8 * scale)
    pdf.set_xy(x + 3.6 * scale, below)
    pdf.cell(width - 4 * scale, 3 * scale, one.case.number)
    pdf.set_font(FACE, "", 5.5 * scale)
    pdf.set_xy(x + 1, below + 3 * scale)
    is_named = one.case.name.lower() != one.case.family.lower()
    name = "by my word" if one.is_known_by_word else one.case.name if is_named else ""
    if name:
        pdf.multi_cell(width - 2, 2.1 * scale, name, align="L", new_y="NEXT", new_x="LEFT")
    if has_turns:
        pdf.set_font(TURNS, "", 5 * scale)
        pdf.set_x(x + 1)
        pdf.multi_cell(width - 2, 2 * scale, one.case.algorithm, align="L")


def _mark(pdf: FPDF, place: tuple[float, float], side: float, standing: Standing) -> None:
    """A square by fill, as on the pages: open, a corner, half, full."""
    x, y = place
    pdf.set_line_width(0.2)
    pdf.set_fill_color(0)
    if standing is Standing.TWO_LOOK:
        pdf.polygon([(x, y + side / 3), (x, y + side), (x + 2 * side / 3, y + side)], style="F")
    if standing is Standing.ONE_LOOK:
        pdf.rect(x, y + side / 2, side, side / 2, style="F")
    pdf.rect(x, y, side, side, style="DF" if standing is Standing.FLUENT else "D")


def _legend(pdf: FPDF) -> None:
    x, y = MARGIN, pdf.h - MARGIN - LEGEND_H + 3
    pdf.set_font(FACE, "", 8)
    for standing in Standing:
        _mark(pdf, (x, y + 0.6), 2.6, standing)
        pdf.set_xy(x + 3.4, y)
        pdf.cell(16, 4, standing)
        x += 22
    pdf.set_xy(x, y)
    pdf.cell(0, 4, "OLL: from above, the notch in front. PLL: as you hold it.")
