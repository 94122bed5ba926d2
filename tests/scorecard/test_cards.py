"""Good scorecards: what they give, and what is noted beside."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.scorecard import CardOptions, Reading, read_scorecard

TODAY = dt.date(2026, 6, 1)
DAY = dt.date(2026, 5, 3)
WHERE = ("source", "source_row")

AS_HOLES = """\
Date,Player,Course,Event,Round,Hole,Par,Putts,Putt1,Putt2,Putt3,Slope,Break,Miss,Slope2,Result,Stimp
2026-05-03,Mara Lindqvist,Saltmarsh Links,Club Medal,1,1,4,2,12'6",2,,up,L-R,short high,down,,10
,,,,,2,3,1,8 paces,,,flat,,,,,
,,,,,3,5,3,40,6,1.5,down,R-L,long,,,
,,,,,4,4,0,,,,,,,,,
,,,,,5,4,2,20,,,,,,,gimme,11
,,,,,6,4,1,9,,,,,,,picked up,
,,,,,7,4,0,,,,,,,,picked up,
,,,,,8,3,2,15,,,,,,,,
"""
AS_PUTTS = """\
date,player,course,event,round,hole,par,putt,length,result,slope,break,miss_pace,miss_side,stimp
2026-05-03,Mara Lindqvist,Saltmarsh Links,Club Medal,1,1,4,1,12.5,missed,uphill,L-R,short,left,10
,,,,,1,4,2,2,holed,downhill,,,,
,,,,,2,3,1,24,holed,level,,,,
,,,,,3,5,1,40,missed,downhill,right to left,past,,
,,,,,3,5,2,6,missed,,,,,
,,,,,3,5,3,1.5,holed,,,,,
,,,,,4,4,0,,chipped in,,,,,
,,,,,5,4,1,20,missed,,,,,11
,,,,,5,4,2,,conceded,,,,,
,,,,,6,4,1,9,picked up,,,,,
,,,,,7,4,0,,picked up,,,,,
,,,,,8,3,1,15,missed,,,,,
,,,,,8,3,2,,holed,,,,,
"""


def read(text: str, **given: str | float | dt.date) -> Reading:
    options = CardOptions(**{"date": DAY, "today": TODAY, **given})  # type: ignore[arg-type]
    reading = read_scorecard(text.encode(), "scores.csv", options)
    assert reading.putts.schema == PUTTS_SCHEMA
    assert reading.holes.schema == HOLES_SCHEMA
    return reading


def clean(text: str, **given: str | float | dt.date) -> Reading:
    reading = read(text, **given)
    assert not reading.problems, "\n".join(map(str, reading.problems))
    return reading


def test_both_layouts_give_the_same_putts() -> None:
    by_hole, by_putt = clean(AS_HOLES), clean(AS_PUTTS)
    assert by_hole.putts.drop(WHERE).equals(by_putt.putts.drop(WHERE))
    assert by_hole.holes.equals(by_putt.holes)


def test_the_card_as_a_table() -> None:
    reading = clean(AS_HOLES)
    putts = reading.putts
    assert putts.height == 11
    assert putts["leave_ft"].to_list() == [2, 0, 0, 6, 1.5, 0, None, None, None, None, 0]
    assert putts["result"].to_list()[-5:] == ["missed", "conceded", "missed", "missed", "holed"]
    assert putts["stimp_ft"].to_list() == [10] * 6 + [11] * 5
    assert putts["source"].unique().to_list() == ["scores.csv"]
    assert putts["source_row"].to_list() == [2, 2, 3, 4, 4, 4, 6, 6, 7, 9, 9]
    assert reading.holes["ending"].to_list() == [
        *("holed", "holed", "holed", "chipped in"),
        *("conceded", "picked up", "picked up", "holed"),
    ]


def test_a_round_stands_by_itself_too() -> None:
    (one,) = clean(AS_HOLES).rounds
    assert (one.player, one.date, one.round) == ("Mara Lindqvist", DAY, 1)
    assert (one.course, one.event) == ("Saltmarsh Links", "Club Medal")
    assert one.rows == list(range(2, 10))
    assert (one.bad_holes, one.rejected_rows, one.problems) == ([], [], [])


def test_the_least_card_and_what_is_assumed() -> None:
    reading = clean("hole,putts,putt1\n1,2,12\n2,1,3\n")
    row = reading.putts.row(0, named=True)
    assert row["player"] == row["course"] == "unknown"
    assert (row["date"], row["round"], row["event"], row["par"]) == (DAY, 1, None, None)
    assert (row["slope"], row["break"], row["surface"]) == ("unknown", "unknown", "green")
    assert reading.putts["distance_ft"].to_list() == [12, None, 3]
    assert any("--player" in note for note in reading.notes)
    assert any("--course" in note for note in reading.notes)


def test_options_fill_what_the_card_lacks_and_the_card_wins() -> None:
    text = "player,hole,putts,putt1\n,1,1,9\nIda Holm,2,1,9\n"
    reading = clean(
        text, player="Mara Lindqvist", course="Saltmarsh Links", event="Club Medal", stimp_ft=9.5
    )
    assert reading.putts["player"].to_list() == ["Mara Lindqvist", "Ida Holm"]
    assert reading.putts["course"].to_list() == ["Saltmarsh Links"] * 2
    assert reading.putts["event"].to_list() == ["Club Medal"] * 2
    assert reading.putts["stimp_ft"].to_list() == [9.5, 9.5]
    assert reading.notes == []


@pytest.mark.parametrize(
    ("header", "cell", "unit", "feet"),
    [
        ("putt1", "12", "ft", 12),
        ("putt1", "3.048", "m", 10),
        ("putt1", "10 ft", "m", 10),
        ("putt1 (m)", "3.048", "ft", 10),
        ("putt1 [cm]", "304.8", "yd", 10),
        ("putt1", "4", "paces", 10),
    ],
)
def test_units(header: str, cell: str, unit: str, feet: float) -> None:
    reading = clean(f"hole,putts,{header}\n1,1,{cell}\n", unit=unit, pace_ft=2.5)
    assert reading.putts["distance_ft"].to_list() == [pytest.approx(feet)]


def test_putts_absent_is_the_number_of_lengths() -> None:
    reading = clean("hole,putt1,putt2,putt3\n1,30,4,1\n2,5,,\n3,20,,2\n")
    assert reading.putts.group_by("hole", maintain_order=True).len()["len"].to_list() == [3, 1, 3]
    assert reading.putts["distance_ft"].to_list() == [30, 4, 1, 5, 20, None, 2]


def test_putts_left_blank_is_counted_and_noted() -> None:
    reading = clean("hole,putts,putt1,putt2\n1,,30,4\n2,1,5,\n")
    assert reading.putts.height == 3
    assert "hole 1: putts not written, counted from the lengths" in reading.notes


def test_unplayed_holes_are_noted_not_missing() -> None:
    rows = "".join(f"{hole},2,15\n" for hole in range(1, 10) if hole != 4)
    blank = "4,,\n" + "".join(f"{hole},,\n" for hole in range(10, 19))
    reading = clean("hole,putts,putt1\n" + rows + blank)
    assert reading.holes.height == 8
    assert "holes 4, 10-18: nothing written, taken as not played" in reading.notes
    assert len(reading.skipped_rows) == 11


@pytest.mark.parametrize(
    "order",
    [
        [*range(10, 19), *range(1, 10)],
        [*range(14, 19), *range(1, 4)],
        range(10, 19),
        [5, 3, 4, 6],
        [*range(1, 19), 19, 20],
        [19],
    ],
)
def test_holes_may_start_anywhere(order: list[int]) -> None:
    rows = "".join(f"{hole},2,15\n" for hole in order)
    assert clean("hole,putts,putt1\n" + rows).holes.height == len(order)


def test_a_gap_is_found_in_a_round_from_the_tenth() -> None:
    order = [*range(10, 15), *range(16, 19), *range(1, 10)]
    reading = read("hole,putts,putt1\n" + "".join(f"{hole},2,15\n" for hole in order))
    assert [str(p).split(": ")[1][:18] for p in reading.problems] == ["hole 15 is missing"]
    assert reading.rounds[0].bad_holes == []


def test_total_rows_and_repeated_headers_are_left_out_with_a_note() -> None:
    text = "hole,putts,putt1\n1,1,5\nOut,1,5\nhole,putts,putt1\n2,1,5\nIN,1,\nTotal:,2,\n"
    reading = clean(text)
    assert reading.holes["hole"].to_list() == [1, 2]
    assert reading.skipped_rows == [1, 3, 4, 6, 7]
    assert "rows 3-4, 6-7: totals or a header, not a hole, left out" in reading.notes


def test_unknown_columns_are_noted() -> None:
    reading = clean("hole,putts,putt1,Fairway,\n1,1,5,hit,remark\n")
    assert "column 'Fairway' is not about putting: left out" in reading.notes
    assert "column 5 has no name: left out" in reading.notes


def test_a_column_of_the_other_layout_is_noted() -> None:
    reading = clean("hole,putts,putt1,putt\n1,1,5,1\n")
    assert "column 'putt' has no place in a card of a row a hole: left out" in reading.notes


def test_titles_and_blank_lines_keep_the_row_numbers() -> None:
    text = '\n\nSaltmarsh Links\n\nhole,putts,putt1,notes\n\n1,1,5,"two\nlines"\n\n2,1,7,\n'
    reading = clean(text)
    assert reading.putts["source_row"].to_list() == [7, 10]
    assert reading.skipped_rows == [3, 5]
    assert "row 3 ('Saltmarsh Links'): stands above the header, left out" in reading.notes


@pytest.mark.parametrize("sign", [":", " |", " ="])
def test_a_name_and_its_value_in_one_cell(sign: str) -> None:
    text = f"Player{sign} Ada Brook\nUnit{sign} metres\n\nhole,putts,putt1,putt2\n1,2,6,1\n"
    reading = clean(text)
    assert reading.putts["player"].unique().to_list() == ["Ada Brook"]
    assert reading.putts["distance_ft"].round(2).to_list() == [19.69, 3.28]
    assert not any("above the header" in note for note in reading.notes)


def test_feet_and_inches_of_later_putts() -> None:
    putts = clean("hole,putts,ft,in,ft2,in2\n1,2,12,6,2,3\n").putts
    assert putts["distance_ft"].to_list() == [12.5, 2.25]


def test_fill_down_starts_afresh_where_it_must() -> None:
    text = (
        "date,player,course,round,stimp,hole,putts,putt1\n"
        "2026-05-01,Mara Lindqvist,Saltmarsh Links,2,10,1,1,9\n"
        ",,,,,2,1,9\n"
        "2026-05-02,,,,,1,1,9\n"
        ",Ida Holm,,,11,1,1,9\n"
        ",,,,,2,1,9\n"
    )
    putts = clean(text).putts
    assert putts["round"].to_list() == [2, 2, 1, 1, 1]
    assert putts["stimp_ft"].to_list() == [10, 10, None, 11, 11]
    assert putts["course"].unique().to_list() == ["Saltmarsh Links"]
    assert putts["player"].to_list() == ["Mara Lindqvist"] * 3 + ["Ida Holm"] * 2


def test_a_course_named_late_holds_for_the_whole_round() -> None:
    text = "course,event,hole,putts,putt1\n,,1,1,9\nSaltmarsh Links,Club Medal,2,1,9\n"
    reading = clean(text)
    assert reading.putts["course"].to_list() == ["Saltmarsh Links"] * 2
    assert reading.putts["event"].to_list() == ["Club Medal"] * 2
    assert reading.rounds[0].course == "Saltmarsh Links"
    assert not any("course" in note for note in reading.notes)


def test_two_rounds_of_a_day() -> None:
    text = "course,round,hole,putts,putt1\nSaltmarsh Links,1,1,1,9\nMoor Hill,2,1,1,9\n"
    rounds = clean(text).rounds
    assert [(one.round, one.course) for one in rounds] == [(1, "Saltmarsh Links"), (2, "Moor Hill")]


def test_date_order_is_settled_by_another_row() -> None:
    text = "date,hole,putts,putt1\n3/5/2026,1,1,9\n25/4/2026,1,1,9\n"
    assert [one.date for one in clean(text).rounds] == [DAY, dt.date(2026, 4, 25)]
    text = "date,hole,putts,putt1\n5/3/2026,1,1,9\n"
    assert clean(text, date_order="mdy").rounds[0].date == DAY


def test_putt_rows_may_come_in_any_order() -> None:
    reading = clean("hole,putt,distance\n1,2,3\n2,1,5\n1,1,12\n")
    assert reading.putts["putt"].to_list() == [1, 2, 1]
    assert reading.putts["leave_ft"].to_list() == [3, 0, 0]


def test_a_leave_that_agrees_gives_way_to_the_next_length() -> None:
    reading = clean("hole,putt,distance,result,leave\n1,1,12,,3.4\n1,2,3,,0\n2,1,9,pu,2\n")
    assert reading.putts["leave_ft"].to_list() == [3, 0, 2]


def test_a_leave_stands_where_the_next_length_does_not() -> None:
    reading = clean("hole,putt,distance,result,leave\n1,1,12,,3\n1,2,,in,\n")
    assert reading.putts["leave_ft"].to_list() == [3, 0]
    assert reading.putts["distance_ft"].to_list() == [12, None]


@pytest.mark.parametrize("row", ["4,0,,", "4,0,,chipped in", "4,,,chip in", "4,1,,chipped in"])
def test_a_chip_in_in_the_putt_layout(row: str) -> None:
    reading = clean(f"hole,putt,distance,result\n3,1,9,\n{row}\n")
    assert reading.holes["ending"].to_list() == ["holed", "chipped in"]
    assert reading.putts.height == 1


def test_a_dash_is_a_blank_where_it_means_nothing() -> None:
    reading = clean("hole,par,putts,putt1,putt2,slope,break,miss,stimp\n1,-,1,9,-,-,-,-,-\n")
    row = reading.putts.row(0, named=True)
    assert (row["par"], row["slope"], row["break"], row["stimp_ft"]) == (
        None,
        "downhill",
        "straight",
        None,
    )


def test_later_putts_have_their_own_words() -> None:
    text = (
        "hole,putts,putt1,putt2,putt3,break2,miss_pace2,miss_side2,cause2,surface,grade2\n"
        "1,3,60,8,2,R-L,short,low,aim,fringe,2.5%\n"
    )
    first, second, third = clean(text).putts.rows(named=True)
    assert (first["surface"], first["break"], first["miss_side"]) == ("off green", "unknown", None)
    assert (second["miss_pace"], second["miss_side"], second["cause"]) == ("short", "left", "aim")
    assert (second["surface"], second["grade"]) == ("green", 0.025)
    assert third["grade"] is None


def test_unknown_as_a_miss_of_a_holed_putt_is_no_contradiction() -> None:
    putts = clean("hole,putts,putt1,miss,cause\n1,1,9,none,?\n").putts
    assert putts.select("miss_pace", "miss_side", "cause").row(0) == (None, None, None)


def test_a_row_of_remarks_is_noted() -> None:
    reading = clean("hole,putts,putt1,notes\n1,1,9,\n,,,a fine day\n")
    assert "row 3: nothing about putting, left out" in reading.notes


def test_notes_name_the_round_where_there_are_several() -> None:
    text = "player,hole,putts,putt1\nMara Lindqvist,1,1,9\n,2,,\nIda Holm,1,1,9\n"
    assert (
        "Mara Lindqvist, 2026-05-03, round 1: hole 2: nothing written, taken as not played"
        in clean(text).notes
    )


def test_the_tables_hold_all_rounds() -> None:
    text = "player,hole,putts,putt1\nMara Lindqvist,1,1,9\nIda Holm,1,0,\n"
    reading = clean(text)
    assert pl.concat([one.putts for one in reading.rounds]).equals(reading.putts)
    assert pl.concat([one.holes for one in reading.rounds]).equals(reading.holes)
    assert reading.holes.height == 2
