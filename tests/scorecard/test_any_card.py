"""Any valid round reads back; any bytes at all give a Reading in which every row is found."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections import Counter
from dataclasses import dataclass, field

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sgputt.putts.table import BREAKS, CAUSES, PACES, SIDES, SLOPES, SURFACES
from sgputt.putts.units import UNITS, parse_length
from sgputt.putts.values import DASHES, CellError
from sgputt.scorecard import CardOptions, Reading, read_scorecard
from sgputt.scorecard.cells import clean_text
from sgputt.scorecard.files import read_sheets
from sgputt.scorecard.problem import FileError, Ledger

TODAY = dt.date(2026, 6, 1)
PACE_FT = 2.75


@dataclass
class Putt:
    length: str
    words: dict[str, str]
    miss: dict[str, str]


@dataclass
class Hole:
    par: str
    stimp: str
    ending: str
    putts: list[Putt] = field(default_factory=list)


@dataclass
class Card:
    """A round, and how its card is written."""

    player: str
    course: str
    event: str
    date: dt.date
    round: int
    holes: dict[int, Hole]
    unit: str
    delimiter: str
    encoding: str


def is_name(text: str) -> bool:
    try:
        return bool(text) and text not in DASHES and clean_text(text) == text
    except CellError:
        return False


names = st.text(st.characters(codec="utf-8"), min_size=1, max_size=12).filter(is_name)


@st.composite
def putts(draw: st.DrawFn, unit: str, number: int) -> Putt:
    most = {"ft": 99, "m": 30, "cm": 3000, "in": 1200, "yd": 33, "paces": 36}[unit]
    tenths = draw(st.integers(1, most * 10))
    length = f"{tenths / 10:g}"
    if unit == "ft" and draw(st.booleans()):
        length = f"{tenths // 10 or 1}'{draw(st.integers(0, 11))}\""
    if number > 1 and draw(st.integers(0, 4)) == 0:
        length = ""
    words = {
        "slope": draw(st.sampled_from(SLOPES)),
        "break": draw(st.sampled_from(BREAKS)),
        "surface": draw(st.sampled_from(SURFACES)),
        "grade": draw(st.sampled_from(["", "2.5%", "0.03"])),
    }
    miss = {
        "miss_pace": draw(st.sampled_from(["", *PACES])),
        "miss_side": draw(st.sampled_from(["", *SIDES])),
        "cause": draw(st.sampled_from(["", *CAUSES])),
    }
    return Putt(length, words, miss)


@st.composite
def holes(draw: st.DrawFn, unit: str) -> Hole:
    count = draw(st.integers(0, 4))
    endings = ["holed", "conceded", "picked up"] if count else ["chipped in", "picked up"]
    hole = Hole(
        draw(st.sampled_from(["", "3", "4", "5"])),
        draw(st.sampled_from(["9", "10.5", "11"])),
        draw(st.sampled_from(endings)),
        [draw(putts(unit, number)) for number in range(1, count + 1)],
    )
    if hole.putts and hole.ending != "picked up":
        hole.putts[-1].miss = dict.fromkeys(hole.putts[-1].miss, "")
    return hole


@st.composite
def cards(draw: st.DrawFn) -> Card:
    unit = draw(st.sampled_from(UNITS))
    first, count = draw(st.integers(1, 18)), draw(st.integers(1, 18))
    numbers = [(first + step - 1) % 18 + 1 for step in range(count)]
    return Card(
        player=draw(names),
        course=draw(names),
        event=draw(names),
        date=draw(st.dates(dt.date(1950, 1, 1), TODAY)),
        round=draw(st.integers(1, 4)),
        holes={number: draw(holes(unit)) for number in numbers},
        unit=unit,
        delimiter=draw(st.sampled_from([",", ";", "\t"])),
        encoding=draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16"])),
    )


def once(card: Card) -> dict[str, str]:
    """Cells typed on the first row only."""
    return {
        "date": card.date.isoformat(),
        "player": card.player,
        "course": card.course,
        "event": card.event,
        "round": str(card.round),
    }


def hole_rows(card: Card) -> list[dict[str, str]]:
    rows = []
    for number, hole in card.holes.items():
        row = {"hole": str(number), "par": hole.par, "putts": str(len(hole.putts))}
        row |= {"result": hole.ending, "stimp": hole.stimp}
        for n, putt in enumerate(hole.putts, start=1):
            row |= {f"putt{n}": putt.length}
            row |= {f"{key}{n}": text for key, text in (putt.words | putt.miss).items()}
        rows.append(row)
    return rows


def putt_rows(card: Card) -> list[dict[str, str]]:
    rows = []
    for number, hole in card.holes.items():
        whose = {"hole": str(number), "par": hole.par, "stimp": hole.stimp}
        if not hole.putts:
            rows.append({**whose, "putt": "0", "result": hole.ending})
        for n, putt in enumerate(hole.putts, start=1):
            result = hole.ending if n == len(hole.putts) else "missed"
            row = {**whose, "putt": str(n), "distance": putt.length, "result": result}
            rows.append({**row, **putt.words, **putt.miss})
    return rows


def written(card: Card, rows: list[dict[str, str]], least: tuple[str, ...]) -> bytes:
    rows = [{**once(card), **rows[0]}, *rows[1:]]
    columns = list(
        dict.fromkeys([*once(card), "hole", *least, *(key for row in rows for key in row)])
    )
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, columns, delimiter=card.delimiter, restval="")
    writer.writeheader()
    for row in rows:
        comma = card.delimiter == ";"
        lengths = {
            k: v.replace(".", ",") for k, v in row.items() if comma and k[:4] in ("putt", "dist")
        }
        writer.writerow({**row, **lengths})
    return out.getvalue().encode(card.encoding)


def read(card: Card, data: bytes) -> Reading:
    options = CardOptions(unit=card.unit, pace_ft=PACE_FT, as_written=True, today=TODAY)
    reading = read_scorecard(data, "any.csv", options)
    assert not reading.problems, "\n".join(map(str, reading.problems))
    return reading


@settings(deadline=None)
@given(cards())
def test_a_valid_round_reads_back_from_both_layouts(card: Card) -> None:
    by_hole = read(card, written(card, hole_rows(card), ("putts", "putt1")))
    by_putt = read(card, written(card, putt_rows(card), ("putt", "distance")))
    where = ("source", "source_row")
    assert by_hole.putts.drop(where).equals(by_putt.putts.drop(where))
    assert by_hole.holes.equals(by_putt.holes)
    check_against(card, by_hole)


def check_against(card: Card, reading: Reading) -> None:
    (one,) = reading.rounds
    assert (one.player, one.course, one.event) == (card.player, card.course, card.event)
    assert (one.date, one.round) == (card.date, card.round)
    assert reading.holes["hole"].to_list() == list(card.holes)
    assert reading.holes["ending"].to_list() == [hole.ending for hole in card.holes.values()]
    taken = [(hole, putt) for hole in card.holes.values() for putt in hole.putts]
    rows = reading.putts.rows(named=True)
    assert len(rows) == len(taken)
    for row, (hole, putt) in zip(rows, taken, strict=True):
        feet = parse_length(putt.length, card.unit, PACE_FT) if putt.length else None
        assert row["distance_ft"] == feet
        assert row["stimp_ft"] == float(hole.stimp)
        for key in ("slope", "break", "surface"):
            assert row[key] == putt.words[key]
        for key, text in putt.miss.items():
            assert (row[key] or "") == text


BASES = [
    b"date,player,course,hole,par,putts,putt1,putt2,slope,break,miss,result\n"
    b"2026-05-03,Mara Lindqvist,Saltmarsh Links,1,4,2,12,3,up,L-R,short high,\n"
    b",,,2,3,1,5,,flat,,,\n,,,3,5,0,,,,,,\n,,,4,4,,,,,,,\nOut,,,,,,,,,,,\n",
    b"date;hole;putt;distance (m);result;leave\n3/5/2026;1;1;3,7;;\n;1;2;0,5;;\n;2;0;;;\n"
    b"25/5/2026;1;1;9;picked up;2\n;2;1;;;\n",
]
SCRAPS = [
    b",",
    b";",
    b"\n",
    b"\r",
    b'"',
    b"\x00",
    b"\xff",
    b"-",
    b"hole",
    b"putt",
    b"1",
    b"0",
    b"9e9",
]
SCRAPS += [b"chipped in", b"picked up", b"high", b"2026-05-03", b"\t", b"'", b"\xef\xbb\xbf", b"19"]


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    data = draw(st.sampled_from(BASES))
    for _ in range(draw(st.integers(0, 8))):
        at = draw(st.integers(0, len(data)))
        until = min(len(data), at + draw(st.integers(0, 12)))
        scrap = draw(st.sampled_from(SCRAPS) | st.binary(max_size=6))
        data = data[:at] + scrap + data[until:]
    return data


@settings(deadline=None)
@given(damaged() | st.binary(max_size=200))
@pytest.mark.parametrize("date", [dt.date(2026, 5, 3), None])
def test_any_bytes_give_a_reading_and_no_row_vanishes(date: dt.date | None, data: bytes) -> None:
    reading = read_scorecard(data, "any.csv", CardOptions(date=date, today=TODAY))
    for problem in reading.problems:
        assert str(problem).startswith("any.csv")
    try:
        sheets = read_sheets(data, None, Ledger("any.csv"))
        rows = [row.number for sheet in sheets for row in sheet.rows]
    except FileError:
        assert reading.problems
        return
    found = [row.number for row in reading.rejected_rows] + reading.skipped_rows
    for one in reading.rounds:
        found += [row.number for row in one.rejected_rows] + one.rows
        assert bool(one.problems) or not one.rejected_rows
    assert Counter(found) == Counter(rows)
    assert {*reading.putts["source_row"]} <= {row for one in reading.rounds for row in one.rows}
