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

from sgputt.scorecard import CardOptions, Reading, read_scorecard, workbook
from sgputt.scorecard import files as source

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


def test_sheets_are_chosen_by_name() -> None:
    data = book(HEADER, (None, "M", 1, 4, 1, 9), others=("Second",))
    assert any("sheet 'Card' read; not read: Second" in note for note in read(data).notes)
    chosen = CardOptions(date=OPTIONS.date, today=TODAY, sheet="Second")
    assert "nothing was played" in only_problem(data, chosen)
    wrong = CardOptions(date=OPTIONS.date, today=TODAY, sheet="Third")
    assert "there is no sheet 'Third'. Sheets here: Card, Second." in only_problem(data, wrong)


def test_workbooks_have_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    data = book(HEADER, (None, "M", 1, 4, 1, 9), (None, "M", 2, 4, 1, 9))
    assert "more than 256 columns" in only_problem(book(HEADER, (None,) * 300 + (1,)))
    monkeypatch.setattr(workbook, "MAX_ROWS", 2)
    assert "more than 100,000 rows" in only_problem(data)
    monkeypatch.setattr(workbook, "MAX_UNPACKED_BYTES", 1000)
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
