from __future__ import annotations

import pytest

from sgputt.scorecard.files import Row
from sgputt.scorecard.headers import is_header, read_header, recognise
from sgputt.scorecard.problem import Ledger

SPELLINGS: dict[str, tuple[str, int | None, str | None]] = {
    "hole": ("hole", None, None),
    "Hole No.": ("hole", None, None),
    "HOLE_NO": ("hole", None, None),
    "holeNumber": ("hole", None, None),
    "#": ("hole", None, None),
    "hole #": ("hole", None, None),
    "Date played": ("date", None, None),
    " Player ": ("player", None, None),
    "Player_Name": ("player", None, None),
    "golfer": ("player", None, None),
    "Tournament": ("event", None, None),
    "Rd": ("round", None, None),
    "Par": ("par", None, None),
    "putt": ("putt", None, None),
    "Putt #": ("putt", None, None),
    "putt no": ("putt", None, None),
    "Putts": ("putts", None, None),
    "# putts": ("putts", None, None),
    "No. of putts": ("putts", None, None),
    "distance_ft": ("distance", None, "ft"),
    "distance (m)": ("distance", None, "m"),
    "Distance_m": ("distance", None, "m"),
    "Distance in metres": ("distance", None, "m"),
    "Length": ("distance", None, None),
    "putt length": ("distance", None, None),
    "putt1": ("distance", 1, None),
    "Putt 1": ("distance", 1, None),
    "PUTT_2": ("distance", 2, None),
    "putt1 [ft]": ("distance", 1, "ft"),
    "putt1_cm": ("distance", 1, "cm"),
    "1st putt": ("distance", 1, None),
    "2nd": ("distance", 2, None),
    "Second": ("distance", 2, None),
    "3rd (m)": ("distance", 3, "m"),
    "Feet": ("distance", None, "ft"),
    "metres": ("distance", None, "m"),
    "first putt": ("distance", 1, None),
    "First putt length (paces)": ("distance", 1, "paces"),
    "putt 1 length": ("distance", 1, None),
    "2nd putt distance": ("distance", 2, None),
    "distance2": ("distance", 2, None),
    "p3": ("distance", 3, None),
    "result": ("result", None, None),
    "Outcome": ("result", None, None),
    "leave_ft": ("leave", None, "ft"),
    "slope": ("slope", None, None),
    "slope2": ("slope", 2, None),
    "putt 2 slope": ("slope", 2, None),
    "break dir": ("break", None, None),
    "Break-2": ("break", 2, None),
    "miss": ("miss", None, None),
    "miss3": ("miss", 3, None),
    "miss_pace": ("miss_pace", None, None),
    "Miss pace 2": ("miss_pace", 2, None),
    "miss side": ("miss_side", None, None),
    "why": ("cause", None, None),
    "lie": ("surface", None, None),
    "stimp_ft": ("stimp", None, "ft"),
    "Green Speed": ("stimp", None, None),
    "speed": ("stimp", None, None),
    "stimp (m)": ("stimp", None, "m"),
    "grade": ("grade", None, None),
    "slope %": ("grade", None, "percent"),
    "grade (%)": ("grade", None, "percent"),
}
UNRELATED = ["", " ", "fairway", "notes", "score", "GIR", "hcp", "1", "hole 1", "out", "driver ft"]


@pytest.mark.parametrize(("text", "meaning"), SPELLINGS.items())
def test_reads_headers_as_people_write_them(
    text: str, meaning: tuple[str, int | None, str | None]
) -> None:
    assert recognise(text) == meaning


@pytest.mark.parametrize("text", UNRELATED)
def test_leaves_other_headers_alone(text: str) -> None:
    assert recognise(text) is None


@pytest.mark.parametrize(
    ("cells", "layout"),
    [
        ("hole,putt,distance_ft", "putts"),
        ("hole,putt,distance,putts", "putts"),
        ("hole,putts,putt1", "holes"),
        ("hole,putts,distance", "holes"),
        ("hole,putt1,putt2", "holes"),
    ],
)
def test_tells_the_layouts_apart(cells: str, layout: str) -> None:
    header = read_header(Row(1, tuple(cells.split(","))), (), Ledger("scores.csv"))
    assert header is not None
    assert header.layout == layout


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ("putts,putt1", "there is no column 'hole'"),
        ("hole,putts", "no column with the length of the first putt"),
        ("hole,putt", "no column with the length of the putt"),
        ("hole,putt1", "no column with the number of putts"),
        ("hole,distance", "no column with the number of putts"),
    ],
)
def test_says_which_column_is_lacking(cells: str, said: str) -> None:
    ledger = Ledger("scores.csv")
    assert read_header(Row(3, tuple(cells.split(","))), (), ledger) is None
    (problem,) = ledger.problems
    assert problem.row == 3
    assert said in str(problem)
    assert "hole,putts,putt1" in problem.hint
    assert "hole,putt,distance_ft" in problem.hint


def test_two_headers_of_one_meaning_are_a_problem() -> None:
    ledger = Ledger("scores.csv")
    assert read_header(Row(1, ("hole", "Putts", "putt1", "1st putt")), (), ledger) is None
    assert [problem.column for problem in ledger.problems] == ["1st putt"]
    assert "means the same as column 'putt1'" in str(ledger.problems[0])


def test_a_header_names_a_hole_and_something_else() -> None:
    assert is_header(("Hole", "Par", "Putts", "Putt1"))
    assert not is_header(("Saltmarsh Links",))
    assert not is_header(("1", "4", "2", "12"))
