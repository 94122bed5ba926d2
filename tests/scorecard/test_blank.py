from __future__ import annotations

import csv
import datetime as dt
import io

import pytest

from sgputt.putts.columns import Layout
from sgputt.scorecard import CardOptions, Reading, blank_card, read_scorecard

TODAY = dt.date(2026, 6, 1)
DAY = dt.date(2026, 5, 3)
LAYOUTS: tuple[Layout, ...] = ("putts", "holes")


def read(text: str) -> Reading:
    return read_scorecard(text.encode(), "blank.csv", CardOptions(today=TODAY))


def filled(text: str, cells: dict[int, dict[str, str]]) -> str:
    """Card with these cells typed in, by line of the file."""
    rows = list(csv.DictReader(io.StringIO(text)))
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows({**row, **cells.get(line, {})} for line, row in enumerate(rows, start=2))
    return out.getvalue()


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_blank_card_reads_as_nothing_played(layout: Layout) -> None:
    for text in (blank_card(layout), blank_card(layout, "Mara Lindqvist", "Saltmarsh Links", DAY)):
        reading = read(text)
        assert [problem.what for problem in reading.problems] == ["nothing was played"]
        assert not any("left out" in note for note in reading.notes)


def test_names_stand_on_the_first_row_only() -> None:
    first, second, *_ = csv.DictReader(
        io.StringIO(blank_card("holes", "Mara Lindqvist", "Saltmarsh Links", DAY))
    )
    assert (first["player"], first["course"], first["date"]) == (
        "Mara Lindqvist",
        "Saltmarsh Links",
        "2026-05-03",
    )
    assert second == {**dict.fromkeys(second, ""), "hole": "2"}


@pytest.mark.parametrize(("layout", "rows"), [("holes", 9), ("putts", 18)])
def test_nine_holes(layout: Layout, rows: int) -> None:
    assert len(blank_card(layout, holes=9).splitlines()) == 1 + rows


def test_a_filled_card_of_a_row_a_hole() -> None:
    text = filled(
        blank_card("holes", "Mara Lindqvist", "Saltmarsh Links", DAY),
        {
            2: {"putts": "2", "putt1": "30", "putt2": "3", "miss": "short", "slope": "up"},
            3: {"putts": "1", "putt1": "5", "stimp_ft": "10"},
            4: {"putts": "0"},
        },
    )
    reading = read(text)
    assert not reading.problems
    assert reading.holes["ending"].to_list() == ["holed", "holed", "chipped in"]
    assert "holes 4-18: nothing written, taken as not played" in reading.notes


def test_a_filled_card_of_a_row_a_putt() -> None:
    text = filled(
        blank_card("putts", "Mara Lindqvist", "Saltmarsh Links", DAY),
        {
            2: {"distance_ft": "30", "miss": "short"},
            3: {"distance_ft": "3"},
            4: {"distance_ft": "5"},
            6: {"result": "chipped in"},
        },
    )
    reading = read(text)
    assert not reading.problems
    assert reading.putts["source_row"].to_list() == [2, 3, 4]
    assert reading.holes["ending"].to_list() == ["holed", "holed", "chipped in"]
    assert reading.notes == ["holes 4-18: nothing written, taken as not played"]
