"""Spreadsheets and JSON of any shape give the solves they were made of, or are refused with a mend.

The spreadsheets in ``fixtures/uploads/any`` hold the first eight rows of ``fixtures/demo/logs/wren.csv``
and were written by general libraries: ``two_sheets.xlsx`` by openpyxl 3.1.5 (merged cells, formulas, a
table that begins at B3, a row with a line break in a cell), ``no_names.xls`` by xlwt 1.3.0 (dates as
formatted numbers), ``one_sheet.ods`` by odfpy 1.4.1. The JSON shapes are invented here.
"""

import csv
import io
import json
import tracemalloc
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from logs.errors import UploadRejectedError
from logs.intake.guess import guess_mapping, open_questions
from logs.intake.mapping import ColumnMapping, Role, TurnTimes, Unit
from logs.intake.reading import needs_mapping, read_upload
from logs.intake.rows import Clock, ParsedUpload
from logs.intake.sample import Sample, take_sample
from logs.intake.source import Kind, SourceFile

FIXTURES = Path(__file__).parents[3] / "fixtures"
CLOCK = Clock(ZoneInfo("Europe/Oslo"), datetime(2100, 1, 1, tzinfo=UTC))
Solve = dict[str, str]


def demo_solves(name: str, n: int) -> list[Solve]:
    with (FIXTURES / "demo" / "logs" / name).open(newline="", encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["solution"]][:n]


WREN = demo_solves("wren.csv", 8)
PEPPER = [solve for solve in demo_solves("pepper.csv", 12) if solve["turn_ms"]][:8]


def ms_of(time: str) -> int:
    return round(float(time) * 1000)


def guessed(source: SourceFile) -> tuple[Sample, ColumnMapping]:
    sample = take_sample(source)
    return sample, guess_mapping(sample).mapping


def read(content: bytes, **answers: Any) -> ParsedUpload:
    source = SourceFile(content)
    assert needs_mapping(source, CLOCK)
    sample, mapping = guessed(source)
    mapping = replace(mapping, **answers)
    assert open_questions(mapping, sample) == {}
    return read_upload(source, CLOCK, mapping)


def assert_holds(parsed: ParsedUpload, solves: list[Solve]) -> None:
    assert parsed.refusal is None
    assert [row.row.scramble for row in parsed.rows] == [solve["scramble"] for solve in solves]
    assert [row.row.time_ms for row in parsed.rows] == [ms_of(solve["time"]) for solve in solves]
    solutions = [(row.row.solution or "").split() for row in parsed.rows]
    assert solutions == [solve["solution"].split() for solve in solves]


@pytest.mark.parametrize("name", ["two_sheets.xlsx", "no_names.xls", "one_sheet.ods"])
def test_a_spreadsheet_is_told_by_its_content_and_read_as_solves(name):
    content = (FIXTURES / "uploads" / "any" / name).read_bytes()
    assert SourceFile(content).kind is Kind.WORKBOOK
    parsed = read(content)
    assert_holds(parsed, WREN)
    local = [datetime.fromisoformat(solve["done_at"]) for solve in WREN]
    assert [row.done_at for row in parsed.rows] == [
        moment.replace(tzinfo=CLOCK.time_zone).astimezone(UTC) for moment in local
    ]


def test_rows_of_a_sheet_keep_their_numbers_and_what_is_wrong_with_one_is_said():
    parsed = read((FIXTURES / "uploads" / "any" / "two_sheets.xlsx").read_bytes())
    assert [row.line for row in parsed.rows] == [4, 5, 6, 7, 8, 9, 10, 11]
    (problem,) = parsed.problems
    assert (problem.line, problem.code, problem.field) == (13, "missing_field", "time")
    assert "made of two lines" in problem.text


def test_the_sheet_with_the_solves_is_found_and_said():
    sample = take_sample(
        SourceFile((FIXTURES / "uploads" / "any" / "two_sheets.xlsx").read_bytes())
    )
    assert (sample.table, sample.tables) == ("Log", ("Notes", "Log"))
    assert sample.reasons["table"] == "It is the one whose cells hold turns."


def plain(solve: Solve) -> dict[str, Any]:
    return {"mix": solve["scramble"], "secs": float(solve["time"]), "undone": solve["solution"]}


def timed(solve: Solve) -> list[int]:
    return [int(part) for part in solve["turn_ms"].split()]


SHAPES: dict[str, Callable[[], tuple[Any, list[Solve]]]] = {
    "one list": lambda: ([plain(solve) for solve in WREN], WREN),
    "evenings with solves": lambda: (
        {
            "club": "Oak Hill",
            "evenings": [
                {"day": "2026-02-04", "solves": [plain(solve) for solve in WREN[:5]]},
                {"day": "2026-02-11", "solves": [plain(solve) for solve in WREN[5:]]},
            ],
        },
        WREN,
    ),
    "lists in a list": lambda: (
        [[at, s["scramble"], float(s["time"]), s["solution"]] for at, s in enumerate(WREN)],
        WREN,
    ),
    "parallel lists": lambda: (
        {
            "version": 3,
            "columns": {
                "mixes": [s["scramble"] for s in WREN],
                "took": [float(s["time"]) for s in WREN],
                "undone": [s["solution"].split() for s in WREN],
            },
        },
        WREN,
    ),
    "by number": lambda: ({str(at): plain(solve) for at, solve in enumerate(WREN)}, WREN),
    "a solve alone": lambda: (plain(WREN[0]), WREN[:1]),
    "deeper things": lambda: (
        {"a": {"b": [{"c": {"mix": s["scramble"], "s": {"secs": s["time"]}, "undone": s["solution"].split()}} for s in WREN]}},
        WREN,
    ),
    "turns and times as lists": lambda: (
        [
            {"mix": s["scramble"].split(), "secs": s["time"], "turns": s["solution"].split(), "ends": timed(s)}
            for s in PEPPER
        ],
        PEPPER,
    ),
    "turns with their times": lambda: (
        {
            "log": [
                {
                    "mix": s["scramble"],
                    "secs": float(s["time"]),
                    "turns": [
                        {"turn": turn, "at": at / 1000}
                        for turn, at in zip(s["solution"].split(), timed(s), strict=True)
                    ],
                }
                for s in PEPPER
            ]
        },
        PEPPER,
    ),
    "pairs of turn and time": lambda: (
        [
            {
                "mix": s["scramble"],
                "secs": float(s["time"]),
                "turns": list(zip(s["solution"].split(), timed(s), strict=True)),
            }
            for s in PEPPER
        ],
        PEPPER,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("indent", [None, 2])
def test_json_of_any_shape_is_read_as_solves(name, indent):
    document, solves = SHAPES[name]()
    parsed = read(json.dumps(document, indent=indent).encode())
    assert_holds(parsed, solves)
    assert parsed.problems == ()
    if solves is PEPPER:
        assert [row.row.turn_ms for row in parsed.rows] == [tuple(timed(s)) for s in solves]


def test_lines_of_json_under_other_names_are_read_and_a_bad_line_is_set_aside():
    lines = [json.dumps(plain(solve)) for solve in WREN]
    parsed = read("\n".join([*lines[:3], "{not json", *lines[3:]]).encode())
    assert_holds(parsed, WREN)
    assert [(p.code, "{not json" in p.text) for p in parsed.problems] == [("missing_field", True)]


def test_what_the_cells_cannot_tell_is_asked_of_json_too():
    rows = [{"one": "R U R' U R U2 R'", "other": "R U2 R' U' R U' R'", "secs": 3.5}] * 2
    sample, mapping = guessed(SourceFile(json.dumps(rows).encode()))
    assert "roles" in open_questions(mapping, sample)
    assert mapping.roles == (None, None, Role.TIME)
    # 15 s, or 150 s in hundredths:
    rows = [{"mix": "R U F' D2", "ms": ms} for ms in (15_000, 15_010, 16_000)]
    sample, mapping = guessed(SourceFile(json.dumps(rows).encode()))
    assert set(open_questions(mapping, sample)) == {"time_unit"}


def test_turn_times_of_json_are_told_from_gaps_by_whether_they_fall():
    rows = [
        {"mix": s["scramble"], "secs": s["time"], "turns": s["solution"], "gaps": [b - a for a, b in zip([0, *timed(s)], timed(s), strict=False)]}
        for s in PEPPER
    ]  # fmt: skip
    _, mapping = guessed(SourceFile(json.dumps(rows).encode()))
    assert mapping.turn_times is TurnTimes.GAPS
    assert mapping.turn_unit is Unit.MILLISECONDS
    parsed = read(json.dumps(rows).encode())
    assert [row.row.turn_ms for row in parsed.rows] == [tuple(timed(s)) for s in PEPPER]


# Hostile files.

SHEET = "xl/worksheets/sheet1.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"  # ECMA-376 part 1, annex A
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"


def xlsx(rows: str, padding: bytes = b"") -> bytes:
    """The least workbook of ECMA-376 with ``rows`` as the XML of its only sheet's rows."""
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/{SHEET}" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="r1" Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets><sheet name="Log" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="r1" Type="{RELATIONS}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        SHEET: f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>',
    }
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
        if padding:
            archive.writestr("xl/media/padding", padding)
    return content.getvalue()


def cell(place: str, text: str) -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


HONEST = f'<row r="1">{cell("A1", "R U F D2")}<c r="B1"><v>12.5</v></c></row>'


def lying_bomb() -> bytes:
    """A sheet with 256 MB of spaces whose directory says that it has a hundred bytes."""
    content = bytearray(xlsx(HONEST + " " * 2**28))
    with zipfile.ZipFile(io.BytesIO(bytes(content))) as archive:
        size = archive.getinfo(SHEET).file_size.to_bytes(4, "little")
    return bytes(content.replace(size, (100).to_bytes(4, "little")))


def ods(columns: int, rows: int) -> bytes:
    """An OpenDocument sheet (1.3 part 3, 9.1.3) whose one cell is repeated so often."""
    names = "urn:oasis:names:tc:opendocument:xmlns:"
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    body = (
        f'<office:document-content xmlns:office="{names}office:1.0" xmlns:table="{names}table:1.0"'
        f' xmlns:text="{names}text:1.0"><office:body><office:spreadsheet><table:table table:name="T">'
        f'<table:table-row table:number-rows-repeated="{rows}"><table:table-cell'
        f' office:value-type="string" table:number-columns-repeated="{columns}"><text:p>R U F</text:p>'
        "</table:table-cell></table:table-row></table:table></office:spreadsheet></office:body>"
        "</office:document-content>"
    )
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("mimetype"), kind)
        archive.writestr("content.xml", body)
        archive.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{names}manifest:1.0"><manifest:file-entry'
            f' manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>',
        )
    return content.getvalue()


HOSTILE: dict[str, tuple[Callable[[], bytes], str, str]] = {
    "a bomb": (lambda: xlsx(HONEST, b"\x00" * 300_000_000), "workbook_too_large", "Save the sheet"),
    "a bomb that lies": (lying_bomb, "", ""),
    "a cell far off": (
        lambda: xlsx(HONEST + f'<row r="1048576">{cell("XFD1048576", "x")}</row>'),
        "workbook_too_large",
        "Delete what stands far off the table",
    ),
    "a million columns": (lambda: ods(1_000_000, 3), "", "columns"),
    "a million rows": (lambda: ods(2, 1_000_000), "", ""),
    "a damaged archive": (lambda: xlsx(HONEST)[:-30], "not_text", "no spreadsheet"),
    "a damaged sheet": (lambda: xlsx("<row><c><v>"), "not_a_workbook", "Save it anew"),
    "another file of that kind": (
        lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 4_000,
        "not_a_workbook",
        "Save it anew",
    ),
    "deep lists": (lambda: b"[" * 200_000, "json_too_deep", "nested too deep"),
    "many lists": (lambda: b"[" + b"[]," * 700_000 + b"[]]", "too_much_json", "Split it"),
    "a million keys": (
        lambda: json.dumps([{f"k{at}": "R U F" for at in range(250_000)}] * 2).encode()[
            :10_000_000
        ],
        "",
        "",
    ),
    "broken JSON": (lambda: b'{"a": [1, 2', "bad_json", "Mend that place"),
    "JSON without turns": (lambda: b'{"a": [1, 2]}', "no_turns", "each solve needs one"),
    "a number without end": (lambda: b'[{"a": ' + b"9" * 1_000_000 + b"}]", "", ""),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_read_or_refused_with_place_and_mend_in_bounded_memory(name):
    make, code, words = HOSTILE[name]
    content = make()
    tracemalloc.start()
    try:
        needs_mapping(SourceFile(content), CLOCK)
        sample, _ = guessed(SourceFile(content))
    except UploadRejectedError as error:
        (problem,) = error.problems
        assert problem.code == code or not code
        assert words in problem.message
        assert problem.message.endswith(".")
    else:
        assert not code
        assert sample.n_columns <= 60
    finally:
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
    assert peak < 400_000_000


def test_the_least_workbook_is_read():  # so that the hostile ones are refused for what they are
    parsed = read(xlsx(HONEST))
    assert [row.row.time_ms for row in parsed.rows] == [12_500]
