"""Every kind of bad scorecard: which row and column are named, and what is said."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any, NamedTuple

import pytest

from sgputt.scorecard import CardOptions, Problem, Reading, headers, layouts, read_scorecard

TODAY = dt.date(2026, 6, 1)
DAY = dt.date(2026, 5, 3)


def read(text: str, date: dt.date | None = DAY) -> Reading:
    return read_scorecard(text.encode(), "scores.csv", CardOptions(date=date, today=TODAY))


class Bad(NamedTuple):
    """A card, and row, column and part of the message of its only problem."""

    name: str
    text: str
    row: int | None
    column: str | None
    said: str


HOLES = "hole,par,putts,putt1,putt2,slope,break,miss,result,stimp,grade\n"
PUTTS = "hole,par,putt,Length,result,leave,miss\n"
DATED = "date,hole,putts,putt1\n"

CASES = [
    Bad("not a length", HOLES + "1,4,2,12 apples,3\n", 2, "putt1", "'12 apples' is not a length."),
    Bad("length of 0", HOLES + "1,4,1,0\n", 2, "putt1", "it must be more than 0"),
    Bad("too long", HOLES + "1,4,1,144\n", 2, "putt1", "longer than 100 ft. Putts of up to 100"),
    Bad("other unit?", HOLES + "1,4,1,144\n", 2, "putt1", "(144 in, 144 cm)"),
    Bad("half a hole", HOLES + "7½,4,1,12\n", 2, "hole", "'7½' is not a hole number: 1 to 18"),
    Bad("hole 37", HOLES + "37,4,1,12\n", 2, "hole", "'37' is not a hole number"),
    Bad("no hole", HOLES + ",4,1,12\n", 2, "hole", "in every row, or take the row out."),
    Bad("hole twice", HOLES + "1,4,1,9\n1,4,1,9\n", 3, "hole", "hole 1 stands in row 2 already"),
    Bad("gap", HOLES + "1,4,1,9\n3,4,1,9\n", 3, "hole", "hole 2 is missing. Add its row: putts 0"),
    Bad("par", HOLES + "1,7,1,9\n", 2, "par", "'7' is not a par: 3, 4, 5, 6 or blank"),
    Bad("eleven putts", HOLES + "1,4,11,9\n", 2, "putts", "'11' is not a number of putts, 0 to 10"),
    Bad("a ball picked up", HOLES + "1,4,x,9\n", 2, "putts", "'picked up' as the result"),
    Bad("putts in words", HOLES + "1,4,two,9,2\n", 2, "putts", "'two' is not a number of putts"),
    Bad("no first length", HOLES + "1,4,2,,3\n", 2, "putt1", "length of the first putt is not"),
    Bad(
        "one putt, two lengths", HOLES + "1,4,1,9,2\n", 2, "putt2", "but putts is 1. Write putts 2"
    ),
    Bad("no putts, a length", HOLES + "1,4,0,9\n", 2, "putt1", "but putts is 0"),
    Bad("no number of putts", HOLES + "1,4,,,,up\n", 2, "putts", "number of putts is not written"),
    Bad("slope", HOLES + "1,4,1,9,,steep\n", 2, "slope", "'steep' is not a slope: uphill, level"),
    Bad("break", HOLES + "1,4,1,9,,,left\n", 2, "break", "Call the column 'break to'"),
    Bad("miss", HOLES + "1,4,2,9,2,,,lipped\n", 2, "miss", "'lipped' is not a miss: short or past"),
    Bad("pull", HOLES + "1,4,2,9,2,,,pull\n", 2, "miss", "depend on the hand: write left or right"),
    Bad("high, no break", HOLES + "1,4,2,9,2,,,high\n", 2, "miss", "'high' needs a break"),
    Bad("miss of a holed putt", HOLES + "1,4,1,9,,,,short\n", 2, "miss", "putt 1 was holed, yet a"),
    Bad("result", HOLES + "1,4,1,9,,,,,birdie\n", 2, "result", "'birdie' is not a result: holed,"),
    Bad("hole missed", HOLES + "1,4,1,9,,,,,no\n", 2, "result", "an ending for putts 1: holed"),
    Bad("chip-in with putts", HOLES + "1,4,1,9,,,,,chip in\n", 2, "result", "in with putts 0"),
    Bad("conceded, no putts", HOLES + "1,4,0,,,,,,gimme\n", 2, "result", "for putts 0: chipped in"),
    Bad("slow greens", HOLES + "1,4,1,9,,,,,,3.2\n", 2, "stimp", "in metres with the unit (3.2 m)"),
    Bad("a wall", HOLES + "1,4,1,9,,,,,,10,20%\n", 2, "grade", "'20%' is not a grade of 0 to 15 %"),
    Bad("a play-off gap", HOLES + "19,4,1,9\n21,4,1,9\n", 3, "hole", "play-off hole 20 is missing"),
    Bad(
        "too many cells", "hole,putts,putt1\n1,1,12,5\n", 2, None, "the row has 4 cells, the header"
    ),
    Bad("blank card", "hole,putts,putt1\n1,,\n2,,\n", None, None, "scores.csv: nothing was played"),
    Bad("header only", "hole,putts,putt1\n", None, None, "nothing was played"),
    Bad("no header", "1,4,2,12\n2,4,1,3\n", None, None, "Least headers, a row a hole: hole,putts,"),
    Bad(
        "no lengths", "\nhole,putts\n1,2\n", 2, None, "no column with the length of the first putt"
    ),
    Bad("header twice", "hole,putts,putt1,1st putt\n", 1, "1st putt", "the same as column 'putt1'"),
    Bad(
        "open quote", 'hole,putts,putt1\n1,1,9\n2,1,"9\n3,1,9\n', 3, None, "the quotes do not match"
    ),
    Bad("putt missing", PUTTS + "1,4,2,12\n", 2, "putt", "putt 1 of hole 1 is missing"),
    Bad("putt left out", PUTTS + "1,4,1,12\n1,4,3,1\n", 3, "putt", "putt 2 of hole 1 is missing"),
    Bad(
        "putt twice",
        PUTTS + "1,4,1,9\n1,4,1,9\n",
        3,
        "putt",
        "putt 1 of hole 1 stands in row 2 too",
    ),
    Bad("putt 11", PUTTS + "1,4,11,9\n", 2, "putt", "'11' is not the number of a putt, 0 to 10"),
    Bad("putt not counted", PUTTS + "1,4,,9\n", 2, "putt", "number of the putt is not written"),
    Bad("first, no length", PUTTS + "1,4,1,,in\n", 2, "Length", "length of the first putt is not"),
    Bad(
        "after the end", PUTTS + "1,4,1,9,in\n1,4,2,3,in\n", 2, "result", "over with putt 1 (holed)"
    ),
    Bad("never holed", PUTTS + "1,4,1,9,no\n", 2, "result", "hole 1 ends with a missed putt"),
    Bad("chip-in, a length", PUTTS + "1,4,1,9,chip in\n", 2, "result", "chipped in has no putt"),
    Bad("putt 0, a length", PUTTS + "1,4,0,9\n", 2, "Length", "hole 1 stands without a putt"),
    Bad("putt 0 missed", PUTTS + "1,4,0,,no\n", 2, "result", "chipped in, picked up or blank"),
    Bad("putt 0 and 1", PUTTS + "1,4,0,\n1,4,1,9\n", 3, "putt", "stands elsewhere as without one"),
    Bad("putt 0 twice", PUTTS + "1,4,0\n1,4,0\n", 3, "hole", "hole 1 stands in row 2 already"),
    Bad("two pars", PUTTS + "1,4,1,9\n1,5,2,3\n", 3, "par", "hole 1 has par 4 further up"),
    Bad("leave", PUTTS + "1,4,1,9,,5\n1,4,2,3\n", 2, "leave", "is 5 ft, but the next putt is 3 ft"),
    Bad("leave, holed", PUTTS + "1,4,1,9,,5\n", 2, "leave", "is 5 ft, but nothing is left"),
    Bad("leave 0", PUTTS + "1,4,1,9,no,0\n1,4,2,,\n1,4,2,,in\n", 2, "leave", "the putt was missed"),
    Bad("two years", DATED + "3/5/26,1,1,9\n", 2, "date", "'3/5/26' has a year of two digits"),
    Bad("order", DATED + "3/5/2026,1,1,9\n", 2, "date", "--date-order dmy or --date-order mdy"),
    Bad("future", DATED + "2026-07-01,1,1,9\n", 2, "date", "'2026-07-01' lies in the future"),
    Bad("past", DATED + "1926-07-01,1,1,9\n", 2, "date", "'1926-07-01' is before 1950"),
    Bad("no such day", DATED + "2026-02-30,1,1,9\n", 2, "date", "there is no such date"),
    Bad("round", "round,hole,putts,putt1\nA,1,1,9\n", 2, "round", "'A' is not a round number"),
    Bad("name", f"player,hole,putts,putt1\n{'a' * 201},1,1,9\n", 2, "player", "has 201 characters"),
    Bad("stimp word", "stimp,hole,putts,putt1\nfast,1,1,9\n", 2, "stimp", "'fast' is not a length"),
    Bad(
        "two courses",
        "course,hole,putts,putt1\nSaltmarsh Links,1,1,9\nMoor Hill,1,1,9\n",
        3,
        "course",
        "one round has two courses, 'Saltmarsh Links' and 'Moor Hill'. Add a column 'round'",
    ),
    Bad(
        "two courses, one round",
        "round,course,hole,putts,putt1\n1,Saltmarsh Links,1,1,9\n1,Moor Hill,2,1,9\n",
        3,
        "course",
        "Give the second round a 2 in the column 'round'",
    ),
    Bad(
        "two misses",
        "hole,putts,putt1,putt2,miss,miss_side\n1,2,9,2,short left,right\n",
        2,
        "miss_side",
        "'right' here, but 'left' in column 'miss'",
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_names_row_column_and_what_to_do(case: Bad) -> None:
    reading = read(case.text)
    assert len(reading.problems) == 1, "\n".join(map(str, reading.problems))
    (problem,) = reading.problems
    assert (problem.row, problem.column) == (case.row, case.column)
    assert case.said in str(problem)
    assert str(problem).startswith("scores.csv")
    assert problem.hint
    assert problem.allowed


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_no_bad_row_is_kept_and_none_vanishes(case: Bad) -> None:
    reading = read(case.text)
    for one in reading.rounds:
        assert not set(one.putts["source_row"]) & {row.number for row in one.rejected_rows}
        assert not set(one.holes["hole"]) & set(one.bad_holes)


def test_the_message_reads_as_a_sentence() -> None:
    (problem,) = read(HOLES + "1,4,2,12 apples,3\n").problems
    assert str(problem) == (
        "scores.csv, row 2, column 'putt1': '12 apples' is not a length. Write feet (12), "
        "feet and inches (12'6\"), metres (3.7 m) or paces (8 paces)."
    )
    assert problem.as_dict() == {
        "file": "scores.csv",
        "row": 2,
        "column": "putt1",
        "value": "12 apples",
        "allowed": "a length",
        "hint": "Write feet (12), feet and inches (12'6\"), metres (3.7 m) or paces (8 paces).",
    }


def test_a_long_or_broken_value_is_shown_short_but_kept_whole() -> None:
    value = "a\n" * 100
    problem = Problem("scores.csv", 2, "putt1", value, "a length", "Write feet.")
    assert len(str(problem).splitlines()) == 1
    assert len(str(problem)) < 150
    assert problem.as_dict()["value"] == value


def test_all_problems_at_once_in_the_order_of_rows() -> None:
    text = HOLES + "1,9,2,12 apples,3,steep\n2,4,1,9\n4,4,x,9\n5,4,1,\n"
    found = [(problem.row, problem.column or "") for problem in read(text).problems]
    assert sorted(found) == [
        (2, "par"),
        (2, "putt1"),
        (2, "slope"),
        (4, "hole"),
        (4, "putts"),
        (5, "putt1"),
    ]
    assert [row for row, _ in found] == sorted(row for row, _ in found if row)


def test_the_good_holes_and_the_rejects_stand_apart() -> None:
    reading = read(HOLES + "1,4,2,12 apples,3\n2,4,1,9\n3x,4,1,9\n4,4,0\n")
    (one,) = reading.rounds
    assert one.bad_holes == [1]
    assert one.putts["hole"].to_list() == [2]
    assert one.holes["hole"].to_list() == [2, 4]
    assert [row.number for row in one.rejected_rows] == [2, 4]
    assert one.rejected_rows[0].cells == ("1", "4", "2", "12 apples", "3")
    assert one.rows == [3, 5]
    assert len(one.problems) == 2
    assert reading.header_cells[:3] == ("hole", "par", "putts")
    assert reading.columns["distance1"] == 3


def test_only_the_round_with_the_problem_is_touched() -> None:
    text = "player,hole,putts,putt1\nMara Lindqvist,1,1,9\nIda Holm,1,1,9 apples\n"
    mara, ida = read(text).rounds
    assert (mara.player, mara.problems, mara.bad_holes) == ("Mara Lindqvist", [], [])
    assert (ida.player, len(ida.problems), ida.bad_holes) == ("Ida Holm", 1, [1])


def test_both_rows_of_a_hole_written_twice_are_bad() -> None:
    (one,) = read(HOLES + "1,4,1,9\n2,4,1,9\n2,4,1,8\n").rounds
    assert one.bad_holes == [2]
    assert [row.number for row in one.rejected_rows] == [3, 4]


@pytest.mark.parametrize(("column", "row"), [("", None), ("date,", 2)])
def test_a_card_without_a_date_says_so_once(column: str, row: int | None) -> None:
    comma = "," if column else ""
    text = f"{column}hole,putts,putt1\n{comma}1,1,9\n{comma}2,1,9\n{comma}3,1,9 apples\n"
    reading = read(text, date=None)
    undated, length = reading.problems
    assert undated.row == row
    assert "there is no date" in str(undated)
    assert "--date 2026-05-03" in undated.hint
    assert length.row == 4
    assert reading.rounds == []
    assert [r.number for r in reading.rejected_rows] == [2, 3, 4]


def test_a_date_typed_once_is_complained_of_once() -> None:
    text = DATED + "3/5/2026,1,1,9\n,2,1,9\n3/5/2026,3,1,9\n"
    reading = read(text)
    assert len(reading.problems) == 1
    assert [r.number for r in reading.rejected_rows] == [2, 3, 4]


def test_rows_of_two_bad_dates_are_not_mixed() -> None:
    text = DATED + "3/5/2026,1,1,9\n,2,1,9\n4/5/2026,1,1,9\n,2,1,9\n"
    assert [problem.column for problem in read(text).problems] == ["date", "date"]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (CardOptions(unit="furlong"), "'furlong' is not a unit: ft, m, cm"),
        (CardOptions(pace_ft=0), "'0' is not a pace"),
        (CardOptions(pace_ft=float("nan")), "'nan' is not a pace"),
        (CardOptions(stimp_ft=3), "'3' is not a green speed"),
        (CardOptions(round=0), "'0' is not a round"),
        (CardOptions(date=dt.date(2027, 1, 1)), "'2027-01-01' is not a date from 1950 to today"),
        (CardOptions(player="a" * 300), "has 300 characters"),
    ],
)
def test_bad_options_are_problems_too(options: CardOptions, said: str) -> None:
    reading = read_scorecard(b"hole,putts,putt1\n1,1,9\n", "s.csv", replace(options, today=TODAY))
    (problem,) = reading.problems
    assert problem.row is None
    assert said in str(problem)


def test_what_could_take_hours_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each row is still accounted for."""
    header = "player,date,hole,putts,putt1,putt2\n"
    rows = "".join(f"Ann,2026-05-03,{n % 18 + 1},2,12,2\n" for n in range(1_003))
    found = read_scorecard((header + rows).encode())
    assert len(found.rounds) == 1 and len(found.rounds[0].rejected_rows) == 1_003
    assert "1,000 rows or holes of this round stand above" in " ".join(map(str, found.problems))
    monkeypatch.setattr(layouts, "MAX_TABLES", 2)
    across = "Hole,1,2,3,4,5,6\nPutts,2,2,2,2,2,2\nPutt 1,12,9,8,20,30,11\n"
    found = read_scorecard((across * 3).encode())
    assert "more than 2 headers stand above this row" in " ".join(map(str, found.problems))
    assert [row.number for row in found.rejected_rows] == [2, 3, 5, 6, 7, 8, 9]
    assert found.skipped_rows == [1, 4]
    note = "1. 18 ft two putts\n2. 9 ft holed\n3. 18 ft " + "two putts, " * 200 + "\n"
    found = read_scorecard(note.encode())
    assert 3 in [row.number for row in found.rejected_rows]
    assert "the line is too long" in " ".join(map(str, found.problems))


def test_under_many_headers_each_row_is_looked_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking from each header to the end of the file took hours for long files."""
    looked_at: list[int] = []
    read_header = headers.read_header

    def counted(row: Any, below: Any, ledger: Any) -> Any:
        looked_at.append(len(below))
        return read_header(row, below, ledger)

    monkeypatch.setattr(layouts, "read_header", counted)
    titles = ("player,date,hole,putts,putt1", "player,date,hole,putts,putt1,stimp")
    tables, holes = 60, 9
    text = "".join(
        f"{titles[n % 2]}\n"
        + "".join(f"Ann,2026-{n // 28 + 1:02}-{n % 28 + 1:02},{h + 1},1,12\n" for h in range(holes))
        for n in range(tables)
    )
    found = read_scorecard(text.encode())
    assert len(found.rounds) == tables and not found.problems
    assert looked_at == [holes] * tables
