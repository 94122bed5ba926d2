"""Kinds of file: separators, encodings, workbooks, and what is no scorecard at all."""

from __future__ import annotations

import datetime as dt
import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from sgputt.scorecard import CardOptions, Reading, read_scorecard
from sgputt.scorecard import files as source
from tests.robust.make_corpus import with_strings

TODAY = dt.date(2026, 6, 1)
OPTIONS = CardOptions(date=dt.date(2026, 5, 3), today=TODAY)
Cell = str | float | dt.datetime | None
CARD = "player,hole,putts,putt1\nZoë Öberg,1,1,12.5\n,2,1,9\n"


def read(data: bytes | Path, options: CardOptions = OPTIONS) -> Reading:
    return read_scorecard(data, None if isinstance(data, Path) else "card", options)


def only_problem(data: bytes | Path, options: CardOptions = OPTIONS) -> str:
    reading = read(data, options)
    (problem,) = reading.problems
    assert reading.putts.is_empty()
    assert reading.rounds == []
    return str(problem)


@pytest.mark.parametrize(
    "data",
    [
        CARD.encode(),
        CARD.encode("utf-8-sig"),
        CARD.encode("utf-16"),
        b"\xfe\xff" + CARD.encode("utf-16-be"),
        CARD.encode("cp1252"),
        CARD.replace("\n", "\r\n").encode(),
        CARD.replace("\n", "\r").encode(),
        CARD.replace(",", "\t").encode(),
        CARD.replace(",", ";").replace(".", ",").encode(),
        ("sep=;\n" + CARD.replace(",", ";")).encode(),
        CARD.replace("12.5", '"12,5"').encode(),
        CARD.replace("12.5", "12'6\"").encode(),
        CARD.replace("12.5", '"12\'6"""').encode(),
        CARD.rstrip().encode(),
    ],
)
def test_separators_and_encodings(data: bytes) -> None:
    reading = read(data)
    assert not reading.problems, "\n".join(map(str, reading.problems))
    assert reading.putts["player"].to_list() == ["Zoë Öberg"] * 2
    assert reading.putts["distance_ft"].to_list() == [12.5, 9]


def test_windows_letters_are_noted() -> None:
    assert any("Windows-1252" in note for note in read(CARD.encode("cp1252")).notes)


def test_the_line_naming_the_separator_counts_as_a_row() -> None:
    reading = read(b"sep=;\nhole;putts;putt1\n1;1;9\n")
    assert reading.putts["source_row"].to_list() == [3]


def test_reads_a_file_and_takes_its_name(tmp_path: Path) -> None:
    path = tmp_path / "saltmarsh.csv"
    path.write_text(CARD, encoding="utf-8")
    reading = read(path)
    assert reading.putts["source"].unique().to_list() == ["saltmarsh.csv"]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "the file is empty"),
        (b" \n\n", "the file is empty"),
        (b"\xef\xbb\xbf", "no row reads as the header"),
        (b"\x00\x01\x02", "this is not text"),
        (b"hole,putts,putt1\n1,1,\x00\n", "this is not text"),
        (b"\x81\x8d\x8f", "this is not text"),
        (b"\xff\xfea", "this is not text"),
        (b"%PDF-1.7 hello", "no row reads as the header"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old", "workbook of the old .xls kind"),
        (b"PK\x03\x04 broken", "not an .xlsx workbook, or it is damaged"),
        (b"hole,putts,putt1\n1,1," + b"9" * 200_000, "a cell is far too long"),
    ],
)
def test_what_is_no_scorecard(data: bytes, said: str) -> None:
    assert said in only_problem(data)


def test_paths_that_cannot_be_read(tmp_path: Path) -> None:
    assert "there is no such file" in only_problem(tmp_path / "none.csv")
    assert "this is a folder" in only_problem(tmp_path)
    assert "there is no such file" in only_problem(Path("a\0b"))
    assert "this is not an ordinary file" in only_problem(Path(os.devnull))


def test_a_file_that_may_not_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path, flags: int) -> int:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "closed.csv"
    path.write_text(CARD, encoding="utf-8")
    monkeypatch.setattr(f"{source.__name__}.os.open", refuse)
    assert "the file cannot be read (Permission denied)" in only_problem(path)


def test_limits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(source, "MAX_BYTES", 40)
    path = tmp_path / "large.csv"
    path.write_text(CARD, encoding="utf-8")
    assert "the file is larger than" in only_problem(path)
    assert "the file is larger than" in only_problem(CARD.encode())


def test_too_many_rows() -> None:
    text = "hole,putts,putt1\n" + "1,1,9\n" * source.MAX_ROWS
    assert "the file has more than 100,000 rows" in only_problem(text.encode())


def test_a_stray_quote_swallows_no_rows() -> None:
    text = 'hole,putts,putt1,notes\n1,1,9,"\n2,1,9,\n3,1,9,"\n4,1,9,\n'
    assert "row 2: a quoted cell runs over several rows" in only_problem(text.encode())


def book(*rows: tuple[Cell, ...], others: tuple[str, ...] = ()) -> bytes:
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    sheet.title = "Card"
    for cells in rows:
        sheet.append(cells)
    for title in others:
        made.create_sheet(title).append(("hole", "putts", "putt1"))
    packed = io.BytesIO()
    made.save(packed)
    made.close()
    return packed.getvalue()


HEADER = ("Date", "Player", "Hole", "Par", "Putts", "Putt1", "Putt 2", "Grade")


def test_reads_a_workbook() -> None:
    day = dt.datetime(2026, 5, 1)
    reading = read(
        book(
            ("Saltmarsh Links",),
            (),
            HEADER,
            (day, "Mara Lindqvist", 1.0, 4, 2, 12.5, "1'6\"", 0.025),
            (None, None, 2, 3, 1, 9, None, None, None, "a remark"),
        )
    )
    assert not reading.problems, "\n".join(map(str, reading.problems))
    assert reading.putts["distance_ft"].to_list() == [12.5, 1.5, 9]
    assert reading.putts["grade"].to_list() == [0.025, None, None]
    assert reading.putts["source_row"].to_list() == [4, 4, 5]
    assert reading.rounds[0].date == dt.date(2026, 5, 1)
    assert "column 10 has no name: left out" in reading.notes


def test_a_length_that_became_a_date_is_explained() -> None:
    said = [
        str(p) for p in read(book(HEADER, (None, "M", 1, 4, 1, dt.datetime(2026, 2, 1)))).problems
    ]
    assert "row 2, column 'Putt1': '2026-02-01' is not a length" in said[0]
    assert "format the cell as text" in said[0]


def test_every_sheet_that_is_a_card_is_read_and_the_others_are_named() -> None:
    made = openpyxl.Workbook()
    made.remove(made.worksheets[0])
    rounds = (("Friday", "2026-05-01", 9), ("Saturday", "2026-05-02", 7))
    for title, day, length in rounds:
        sheet = made.create_sheet(title)
        for cells in (("Date", day), HEADER[2:6], (1, 4, 1, length), (2, 4, 2, 30)):
            sheet.append(cells)
    made.create_sheet("Averages").append(("Putts a round", 31.5))
    packed = io.BytesIO()
    made.save(packed)
    reading = read(packed.getvalue(), CardOptions(today=TODAY))
    assert not reading.problems, "\n".join(map(str, reading.problems))
    assert [(one.date.day, one.rows) for one in reading.rounds] == [(1, [3, 4]), (2, [3, 4])]
    assert reading.putts["distance_ft"].to_list() == [9, 30, None, 7, 30, None]
    assert any("sheets 'Averages'" in note for note in reading.notes)
    chosen = read(packed.getvalue(), CardOptions(today=TODAY, sheet="Saturday"))
    assert [one.date.day for one in chosen.rounds] == [2]
    wrong = CardOptions(date=OPTIONS.date, today=TODAY, sheet="Third")
    said = only_problem(packed.getvalue(), wrong)
    assert "there is no sheet 'Third'. Sheets here: Friday, Saturday, Averages." in said


def test_a_problem_of_one_of_several_sheets_names_the_sheet() -> None:
    data = book(HEADER, (None, "M", 1, 4, 1, "x"), others=("Second",))
    said = str(read(data).problems[0])
    assert said.startswith("card, sheet 'Card', row 2, column 'Putt1'")
    assert read(data).problems[0].as_dict()["sheet"] == "Card"


@pytest.mark.parametrize(
    ("code", "value", "feet"),
    [
        ('0.0" m"', 3.7, 3.7 / 0.3048),
        ('0.0\\ "m"', 3.7, 3.7 / 0.3048),
        ('0" ft"', 12, 12),
        ("0.0", 3.7, 3.7),
        ("General", 12.5, 12.5),
        ('#,##0.00" cm"', 250, 250 / 30.48),
        ("# ?/?", 12.5, 12.5),
        ('0"\'"', 12, 12),
    ],
)
def test_a_number_has_the_unit_that_it_is_shown_with(code: str, value: float, feet: float) -> None:
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    sheet.append(("hole", "putts", "putt1"))
    sheet.append((1, 1, value))
    sheet["C2"].number_format = code
    packed = io.BytesIO()
    made.save(packed)
    reading = read(packed.getvalue())
    assert not reading.problems, reading.problems
    assert reading.putts["distance_ft"].to_list() == [pytest.approx(feet)]


@pytest.mark.parametrize("code", ['0.0" klafter"', "0.0,"])
def test_a_number_shown_with_what_is_no_unit_is_asked_about(code: str) -> None:
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    sheet.append(("hole", "putts", "putt1"))
    sheet.append((1, 1, 12))
    sheet["C2"].number_format = code
    packed = io.BytesIO()
    made.save(packed)
    assert "is not a length" in str(read(packed.getvalue()).problems[0])


def test_an_error_in_a_cell_is_no_blank() -> None:
    data = book(HEADER, (None, "M", 1, 4, "#N/A", 9))
    assert "'#N/A' is not a number of putts" in str(read(data).problems[0])


def test_a_workbook_in_the_strict_namespace() -> None:
    transitional, strict = io.BytesIO(book(HEADER, (None, "M", 1, 4, 1, 9))), io.BytesIO()
    main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    related = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    with zipfile.ZipFile(transitional) as was, zipfile.ZipFile(strict, "w") as now:
        for name in was.namelist():
            content = was.read(name).replace(main, b"http://purl.oclc.org/ooxml/spreadsheetml/main")
            content = content.replace(
                related, b"http://purl.oclc.org/ooxml/officeDocument/relationships"
            )
            now.writestr(name, content)
    reading = read(strict.getvalue())
    assert not reading.problems
    assert reading.putts["distance_ft"].to_list() == [9]


def test_one_text_in_very_many_cells() -> None:
    # As most programs write it: the text once, and in each cell where it stands.
    cells = b"".join(b'<row><c t="s"><v>3</v></c></row>' for _ in range(20_000))
    shared = with_strings(b"<si><t>" + b"a" * 4_000 + b"</t></si>")
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(shared)) as was, zipfile.ZipFile(packed, "w") as now:
        for name in was.namelist():
            now.writestr(name, was.read(name).replace(b"</sheetData>", cells + b"</sheetData>"))
    assert "hold more than 16 MiB of text" in only_problem(packed.getvalue())
    assert "a cell is far too long" in only_problem(book(HEADER, (None, "M" * 9_000, 1, 4, 1, 9)))


def test_workbooks_have_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    data = book(HEADER, (None, "M", 1, 4, 1, 9), (None, "M", 2, 4, 1, 9))
    assert "more than 256 columns" in only_problem(book(HEADER, (None,) * 300 + (1,)))
    monkeypatch.setattr(source, "MAX_ROWS", 2)
    assert "more than 2 rows" in only_problem(data)
    monkeypatch.setattr(source, "MAX_UNPACKED_BYTES", 1000)
    assert "the workbook unpacks to more than" in only_problem(data)


def test_an_empty_sheet_and_a_zip_of_something_else() -> None:
    assert "no row reads as the header" in only_problem(book())
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("hello.txt", "hello")
    assert "not an .xlsx workbook" in only_problem(packed.getvalue())


def test_a_name_that_is_no_unicode_still_makes_a_table() -> None:
    assert read_scorecard(CARD.encode(), "\udcff.csv", OPTIONS).putts["source"][0] == "?.csv"


def test_importing_stays_light() -> None:
    code = (
        "import sys, sgputt.scorecard\n"
        "print([m for m in ('pandas', 'openpyxl', 'scipy') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
