"""What was not written is asked for, never counted: no putt is holed because a cell is blank."""

from __future__ import annotations

import datetime as dt
import io
import zipfile

import openpyxl
import pytest

from sgputt.scorecard import CardOptions, Reading, blank_card, read_scorecard

DATED = CardOptions(date=dt.date(2026, 5, 3), today=dt.date(2026, 6, 1))


def read(text: str) -> Reading:
    return read_scorecard(text.encode(), "scores.csv", DATED)


@pytest.mark.parametrize(
    "header", ["hole,putts,putt1", "hole,putts,first putt", "hole,putts,putt1,putt2"]
)
def test_a_blank_number_of_putts_is_not_a_one_putt(header: str) -> None:
    rows = "1,2,18\n2,,32\n3,1,4\n" if header.count(",") == 2 else "1,2,18,\n2,,32,\n3,1,4,\n"
    reading = read(f"{header}\n{rows}")
    (problem,) = reading.problems
    assert (problem.row, problem.column) == (3, "putts")
    assert "number of putts is not written" in str(problem)
    assert 2 not in reading.holes["hole"].to_list()


def workbook(*rows: tuple[str | int | None, ...]) -> bytes:
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    for cells in rows:
        sheet.append(cells)
    packed = io.BytesIO()
    made.save(packed)
    return packed.getvalue()


def test_a_formula_without_its_value_is_not_a_blank_cell() -> None:
    header = ("hole", "putts", "putt1", "putt2", "putt3")
    rows = [(hole, f"=COUNT(C{hole + 1}:E{hole + 1})", 18, 2, None) for hole in range(1, 10)]
    reading = read_scorecard(workbook(header, *rows), "scores.xlsx", DATED)
    assert [problem.column for problem in reading.problems] == ["putts"] * 9
    assert reading.putts.is_empty()
    said = str(reading.problems[0])
    assert "formula" in said and "save it again" in said


def test_a_formula_with_its_value_is_read() -> None:
    packed = io.BytesIO(workbook(("hole", "putts", "putt1"), (1, "=1+1", 18)))
    again = io.BytesIO()
    with zipfile.ZipFile(packed) as was, zipfile.ZipFile(again, "w") as now:
        for name in was.namelist():
            content = was.read(name).replace(b"<v></v>", b"<v>2</v>").replace(b"<v />", b"<v>2</v>")
            now.writestr(name, content)
    reading = read_scorecard(again.getvalue(), "scores.xlsx", DATED)
    assert not reading.problems, reading.problems
    assert reading.putts["result"].to_list() == ["missed", "holed"]


@pytest.mark.parametrize("result", ["", "missed"])
def test_a_second_putt_that_is_numbered_but_empty_is_asked_about(result: str) -> None:
    reading = read(f"hole,putt,distance,result\n1,1,18,{result}\n1,2,,\n2,1,9,holed\n2,2,,\n")
    assert [problem.row for problem in reading.problems] == [3]
    assert "putt 2 of hole 1 is numbered, but nothing is written" in str(reading.problems[0])
    assert reading.holes["hole"].to_list() == [2]


def test_the_blank_card_numbers_no_putt_that_may_not_be_struck() -> None:
    lines = blank_card("putts", holes=2).splitlines()
    assert len(lines) == 5
    filled = "\n".join([lines[0], *(line.replace(",1,,1,", ",1,,1,9") for line in lines[1:])])
    assert "putt" in lines[0]
    numbers = [line.split(",")[lines[0].split(",").index("putt")] for line in lines[1:]]
    assert numbers == ["1", "", "1", ""]
    assert filled
