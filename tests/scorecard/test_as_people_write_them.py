"""One round in the many forms in which people write it: each gives the same putts, or asks."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable, Sequence
from typing import Any

import openpyxl
import pytest

from sgputt.intake import rounds_to_store
from sgputt.scorecard import CardOptions, Reading, read_scorecard

TODAY = dt.date(2026, 6, 1)
DAY = dt.date(2026, 5, 3)
Cells = Sequence[object]
Putt = tuple[int, int, float | None, str]

# Lengths of the putts of each hole, in feet; the seventh was chipped in.
ROUND: list[list[int]] = [
    *([22, 2], [9], [34, 4, 1], [14, 1], [6], [41, 3], [], [18, 2], [11, 1]),
    *([27, 2], [4], [16, 1], [52, 5, 1], [8], [20, 2], [30, 3], [12], [24, 2]),
]
PARS = [4, 4, 5, 3, 4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 4, 5]
SLOPES = ["uphill", "level", "downhill"] * 6
NUMBERED = list(enumerate(ROUND, start=1))


def putts(later: bool = True) -> list[Putt]:
    return [
        (hole, n, length if n == 1 or later else None, "holed" if n == len(lengths) else "missed")
        for hole, lengths in NUMBERED
        for n, length in enumerate(lengths, start=1)
    ]


def at(lengths: list[int], number: int) -> object:
    return lengths[number - 1] if number <= len(lengths) else ""


def text(rows: Sequence[Cells], separator: str = ",") -> bytes:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\n").writerows(rows)
    return out.getvalue().encode()


def book(sheets: dict[str, Sequence[Cells]]) -> bytes:
    made = openpyxl.Workbook()
    made.remove(made.worksheets[0])
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for cells in rows:
            sheet.append(list(cells))
    packed = io.BytesIO()
    made.save(packed)
    return packed.getvalue()


HEAD = ("Hole", "Par", "Putts", "1st putt", "2nd putt", "3rd putt")


def by_hole(head: Cells = HEAD, show: Callable[[object], object] = lambda cell: cell) -> list[Any]:
    return [
        list(head),
        *(
            [n, par, len(p), *(show(at(p, k)) if at(p, k) != "" else "" for k in (1, 2, 3))]
            for (n, p), par in zip(NUMBERED, PARS, strict=True)
        ),
    ]


def with_(header: str, make: Callable[[int, list[int]], Cells]) -> bytes:
    return text([header.split(","), *(make(n, p) for n, p in NUMBERED)])


def by_putt(chipped: bool) -> list[Cells]:
    rows: list[Cells] = [("hole", "putt", "distance", "result")]
    for hole, lengths in NUMBERED:
        rows += [(hole, 0, "", "chipped in")] if chipped and not lengths else []
        rows += [(h, n, d, r) for h, n, d, r in putts() if h == hole]
    return rows


def across(totals: bool = True) -> list[list[object]]:
    def line(label: str, cells: list[object], out: object, back: object, all_: object) -> list[Any]:
        if not totals:
            return [label, *cells]
        return [label, *cells[:9], out, *cells[9:], back, all_]

    return [
        line("Hole", [n for n, _ in NUMBERED], "OUT", "IN", "TOTAL"),
        line("Yards", [350 + n for n, _ in NUMBERED], 3400, 3300, 6700),
        line("Par", list(PARS), 36, 36, 72),
        line("Score", [4] * 18, 36, 36, 72),
        line("Putts", [len(p) for _, p in NUMBERED], 15, 16, 31),
        *(
            line(label, [at(p, n) for _, p in NUMBERED], "", "", "")
            for n, label in enumerate(("1st putt", "2nd putt", "3rd putt"), start=1)
        ),
    ]


def metres(feet: object) -> str:
    return f"{float(str(feet)) * 0.3048:.3f}"


def piped(edges: bool) -> bytes:
    rows = [" | ".join(map(str, row)) for row in by_hole()]
    if edges:
        rows = [f"| {row} |" for row in rows]
        rows.insert(1, "|" + "---|" * 6)
    return "\n".join(rows).encode()


def noted(words: Callable[[list[int]], str]) -> bytes:
    lines = ["Saltmarsh Links", "3 May 2026"]
    lines += [f"{n}. {words(p) if p else 'chipped in'}" for n, p in NUMBERED]
    return "\n".join(lines).encode()


COUNTS = {1: "one putt", 2: "two putts", 3: "three putts"}
TITLED = [("Player", "Mara Lindqvist"), ("Date", "3 May 2026"), ("Course", "Saltmarsh Links"), ()]
NONE: dict[str, Any] = {"player": None, "date": None}

# Form, and what has to be said beside it.
WHOLE: dict[str, tuple[bytes, dict[str, Any]]] = {
    "commas": (text(by_hole()), {}),
    "semicolons": (text(by_hole(), ";"), {}),
    "tabs in UTF-16": (text(by_hole(), "\t").decode().encode("utf-16"), {}),
    "a table with pipes": (piped(edges=True), {}),
    "pipes alone": (piped(edges=False), {}),
    "titles above": (text([*TITLED, *by_hole()]), NONE),
    "titles with colons": (
        b"Player: Mara Lindqvist\nDate: 2026-05-03\nCourse: Saltmarsh Links\n" + text(by_hole()),
        NONE,
    ),
    "titles over values": (
        text([("Player", "Date"), ("Mara Lindqvist", "3-May-26"), (), *by_hole()]),
        NONE,
    ),
    "a row of units": (
        text([HEAD, ("", "", "", "(ft)", "(ft)", "(ft)"), *by_hole()[1:]]),
        {},
    ),
    "out, in, total and average": (
        text(
            [
                *by_hole()[:10],
                ("Out", 36, 15),
                *by_hole()[10:],
                ("In", 36, 16),
                ("Total", 72, 31),
                ("Average", "", 1.72, 19.3),
            ]
        ),
        {},
    ),
    "holes across": (text(across()), {}),
    "holes across without totals": (text(across(totals=False)), {}),
    "holes across in a workbook": (book({"Card": [*TITLED, *across()]}), NONE),
    "nines below each other": (
        text([row[:11] for row in across()] + [[r[0], *r[11:21]] for r in across()]),
        {},
    ),
    "a workbook": (book({"Sheet1": by_hole()}), {}),
    "front and back on two sheets": (
        book({"Front": by_hole()[:10], "Back": [HEAD, *by_hole()[10:]]}),
        {},
    ),
    "a sheet among others": (
        book({"Notes": [("slow greens",)], "Card": by_hole(), "GIR": [("GIR", 9)]}),
        {},
    ),
    "a row a putt": (text(by_putt(chipped=True)), {}),
    "a row a putt, chip-in by option": (text(by_putt(chipped=False)), {"missing": "chipped in"}),
    "a row a putt, chip-in on the card": (
        text([("Missing holes", "chipped in"), *by_putt(chipped=False)]),
        {},
    ),
    "a row a putt, the hole written once": (
        text(
            [
                by_putt(chipped=True)[0],
                *([h if n < 2 else "", n, *rest] for h, n, *rest in by_putt(chipped=True)[1:]),  # type: ignore[operator]
            ]
        ),
        {},
    ),
    "beside the length of the hole": (
        with_(
            "Hole,Yards,Putts,Putt 1,Putt 2,Putt 3,GIR",
            lambda n, p: (n, 360 + n, len(p), at(p, 1), at(p, 2), at(p, 3), "y"),
        ),
        {},
    ),
    "left after each": (
        with_(
            "Hole,Putts,First putt,Left after first,Left after second",
            lambda n, p: (n, len(p), at(p, 1), at(p, 2), at(p, 3)),
        ),
        {},
    ),
    "remaining": (
        with_(
            "Hole,Putts,Distance,Remaining,Putt 3",
            lambda n, p: (n, len(p), at(p, 1), at(p, 2), at(p, 3)),
        ),
        {},
    ),
    "metres in the header": (
        text(by_hole(("Hole", "Par", "Putts", "1st (m)", "2nd (m)", "3rd (m)"), metres)),
        {},
    ),
    "metres in the cells": (text(by_hole(HEAD, lambda cell: metres(cell) + " m")), {}),
    "metres above": (text([("Unit", "metres"), *by_hole(HEAD, metres)]), {}),
    "all lengths in metres": (text([("All lengths in metres",), *by_hole(HEAD, metres)]), {}),
    "metres by option": (text(by_hole(HEAD, metres)), {"unit": "m"}),
    "metres as usual": (text(by_hole(HEAD, metres)), {"usual_unit": lambda player: "m"}),
    "feet and inches": (text(by_hole(HEAD, lambda cell: f"{cell}'0\"")), {}),
    "feet and inches in columns": (
        with_(
            "Hole,Putts,1st ft,1st in,2nd ft,2nd in,3rd ft",
            lambda n, p: (n, len(p), at(p, 1), 0 if p else "", at(p, 2), 0, at(p, 3)),
        ),
        {},
    ),
    "a chip-in among the lengths": (
        with_(
            "Hole,Putts,1st,2nd,3rd",
            lambda n, p: (n, len(p) or "", at(p, 1) or "chip-in", at(p, 2), at(p, 3)),
        ),
        {},
    ),
    "putts in words": (
        with_(
            "Hole,Putts,1st,2nd,3rd",
            lambda n, p: (
                *(n, f"{len(p)} putts" if p else "chip-in"),
                *(at(p, k) for k in (1, 2, 3)),
            ),
        ),
        {},
    ),
    "first, second and third alone": (
        with_(
            "Hole,1st,2nd,3rd",
            lambda n, p: (n, at(p, 1) or "chip-in", at(p, 2), at(p, 3)),
        ),
        {"as_written": True},
    ),
    "one, two and three putt with lengths": (
        with_(
            "Hole,1 Putt,2 Putt,3 Putt",
            lambda n, p: (n, at(p, 1) or "chip-in", at(p, 2), at(p, 3)),
        ),
        {"as_written": True},
    ),
    "zeros where there was no putt": (
        with_(
            "Hole,Putts,1st,2nd,3rd",
            lambda n, p: (n, len(p), *(at(p, k) or 0 for k in (1, 2, 3))),
        ),
        {},
    ),
    "lengths until it was holed": (
        with_(
            "Hole,1st,2nd,3rd,Result",
            lambda n, p: (n, *(at(p, k) for k in (1, 2, 3)), "" if p else "chipped in"),
        ),
        {},
    ),
    "a note": (noted(lambda p: ", ".join(f"{length} ft" for length in p) + " made"), NONE),
}
FIRSTS: dict[str, bytes] = {
    "first lengths": with_("Hole,Putts,First putt", lambda n, p: (n, len(p), at(p, 1))),
    "proximity": with_("Hole,Putts,Proximity (ft)", lambda n, p: (n, len(p), at(p, 1))),
    "paces": with_(
        "Hole,Putts,First putt (paces)",
        lambda n, p: (n, len(p), f"{p[0] / 3:.4f}" if p else ""),
    ),
    "a tick for three putts": with_(
        "Hole,Putts,1st putt,3-putt",
        lambda n, p: (n, len(p), at(p, 1), "x" if len(p) > 2 else ""),
    ),
    "a 1 for three putts": with_(
        "Hole,Putts,1st putt,3-Putt?",
        lambda n, p: (n, len(p), at(p, 1), 1 if len(p) > 2 else ""),
    ),
    "tap-ins in words": with_(
        "Hole,Putts,1st,2nd,3rd",
        lambda n, p: (n, len(p), at(p, 1), *("tap in" if len(p) >= k else "" for k in (2, 3))),
    ),
    "length and number in one cell": with_(
        "Hole,Putts,1st",
        lambda n, p: (n, "" if p else 0, f"{p[0]} ft, {len(p)} putts" if p else ""),
    ),
    "a note of counts": noted(lambda p: f"{p[0]} ft {COUNTS[len(p)]}"),
    "a note of sentences": noted(
        lambda p: f"{len(p)} putts from {p[0]} feet" + (", left it short" if len(p) > 1 else "")
    ),
}


def read(data: bytes, **said: Any) -> Reading:
    given = {"player": "Mara Lindqvist", "date": DAY, "today": TODAY, **said}
    return read_scorecard(data, "card", CardOptions(**given))


def found(reading: Reading) -> list[Putt]:
    assert not reading.problems, "\n".join(map(str, reading.problems))
    rows = reading.putts.select("hole", "putt", "distance_ft", "result").rows()
    return [(h, n, None if d is None else round(d, 2), r) for h, n, d, r in rows]


@pytest.mark.parametrize("name", WHOLE)
def test_the_same_round_gives_the_same_putts(name: str) -> None:
    data, said = WHOLE[name]
    reading = read(data, **said)
    assert found(reading) == putts()
    assert reading.holes.height == 18
    assert reading.holes["ending"].to_list().count("chipped in") == 1
    assert [one.date for one in reading.rounds] == [DAY]


@pytest.mark.parametrize("name", FIRSTS)
def test_the_same_round_without_later_lengths(name: str) -> None:
    assert found(read(FIRSTS[name])) == putts(later=False)


WORDS = [
    {"uphill": "slightly up", "level": "flat", "downhill": "down a bit"},
    {"uphill": "U", "level": "F", "downhill": "D"},
    {"uphill": "+", "level": "0", "downhill": "-"},
]


@pytest.mark.parametrize("spelt", WORDS)
def test_slopes_in_other_words(spelt: dict[str, str]) -> None:
    rows = [("Hole", "Putts", "1st", "Up/Down")]
    rows += [(n, len(p), at(p, 1), spelt[SLOPES[n - 1]]) for n, p in NUMBERED if p]  # type: ignore[misc]
    reading = read(text(rows), missing="chipped in")
    assert not reading.problems, reading.problems[0]
    firsts = reading.putts.filter(putt=1)
    assert firsts["slope"].to_list() == [SLOPES[n - 1] for n, p in NUMBERED if p]


ROWS = by_hole()
ASKED: dict[str, tuple[bytes, str]] = {
    "metres without a word": (text(by_hole(HEAD, metres)), "--unit m"),
    "some metres, some nothing": (
        text([HEAD, [1, 4, 2, "5.5 m", "0.6", ""], [2, 4, 1, "2.7 m", "", ""]]),
        "--unit",
    ),
    "no number of putts": (with_("Hole,Putts,1st", lambda n, p: (n, "", at(p, 1))), "how many"),
    "holed from 34 ft in that nothing follows": (
        with_("Hole,1st,2nd,Result", lambda n, p: (n, at(p, 1), "", "" if p else "chip in")),
        "a column 'putts'",
    ),
    "a second putt that is longer": (
        text([*ROWS[:4], [4, 3, 2, 18, 45, ""], *ROWS[5:]]),
        "--as-written",
    ),
    "two rounds in one": (
        text([HEAD, *([n + k, 4, 2, 20, 2, ""] for k in (0, 18) for n in range(1, 19))]),
        "column 'round'",
    ),
    "the round twice": (text([*ROWS, *ROWS[1:]]), "Round 2"),
    "a chip-in without a row": (text(by_putt(chipped=False)), "--missing chipped-in"),
    "two players side by side": (
        text([("Hole", "Putts", "1st", "Putts", "1st"), (1, 2, 20, 1, 9)]),
        "a column 'player'",
    ),
    "two players by name": (
        text([("Hole", "Mara putts", "Mara 1st", "Ida putts", "Ida 1st"), (1, 2, 20, 1, 9)]),
        "a column 'player'",
    ),
    "two players below each other": (
        text([*across(False), *across(False)[4:]]),
        "Player: ...",
    ),
    "the back nine as zeros": (
        with_("Hole,Putts,1st", lambda n, p: (n, 2 if n < 10 else 0, 20 if n < 10 else "")),
        "Clear the 0",
    ),
    "left and right for the break": (
        text([("Hole", "Putts", "1st", "Break"), (1, 2, 20, "R"), (2, 2, 14, "left")]),
        "break to",
    ),
    "a name beside the option's": (text([("Player", "Ida Holm"), *ROWS]), "Leave out --player"),
    "a column misspelt": (
        text([(*HEAD, "Braek"), *([*row, "L-R"] for row in ROWS[1:])]),
        "Call it 'break'",
    ),
    "a needed column misspelt": (
        with_("Hole,Puts,1st", lambda n, p: (n, len(p), at(p, 1))),
        "hole,putts,putt1",
    ),
    "a column that has lost its name": (
        text([("Hole", "Putts", "1st", "", "3rd"), (1, 2, 20, 2, ""), (2, 2, 14, 1, "")]),
        "Name it",
    ),
    "a row moved by a cell": (
        text([("Hole", 1, 2, 3), ("Putts", 2, 2, 1), ("1st putt", "", 20, 14, 9)]),
        "move the row",
    ),
    "a nine without its numbers": (
        text(
            [("Putts", 2, 2, 1), ("1st putt", 20, 14, 9), (), ("Hole", 4, 5, 6), ("Putts", 2, 1, 1)]
        ),
        "numbers of the holes",
    ),
    "an aim on the low side": (
        text([("Hole", "Putts", "1st", "Break", "Aim"), (1, 2, 20, "L-R", "1 cup right")]),
        "--as-written",
    ),
}


@pytest.mark.parametrize("name", ASKED)
def test_what_can_be_read_in_two_ways_is_asked_once(name: str) -> None:
    data, said = ASKED[name]
    reading = read(data)
    assert reading.problems
    assert said in str(reading.problems[0]), reading.problems
    if name not in (
        "no number of putts",
        "two players below each other",
        "a nine without its numbers",
    ):
        assert len(reading.problems) == 1, "\n".join(map(str, reading.problems))
    assert rounds_to_store(reading, keep_good_holes=False) == []


def test_metres_in_the_header_of_one_column_alone_are_asked_about() -> None:
    card = b"hole,putts,putt 1 (m),putt 2\n1,2,6,0.5\n2,2,9,1\n"
    (question,) = read(card).problems
    assert question.question and "some lengths have a unit (putt 1 (m))" in str(question)
    lengths = read(card, unit="ft").putts["distance_ft"].round(2).to_list()
    assert lengths == [19.69, 0.5, 29.53, 1.0]
    assert read(card.replace(b"putt 2", b"putt 2 (m)")).problems == []


def test_feet_of_a_player_who_usually_writes_metres_are_asked_about() -> None:
    card = text([HEAD, *([n, 4, 2, 14 + n, "", ""] for n in range(1, 7))])
    (question,) = read(card, usual_unit=lambda player: "m").problems
    assert question.question and "--unit ft" in str(question)
    assert read(card, usual_unit=lambda player: "m", unit="ft").problems == []


def test_a_question_names_every_place() -> None:
    rows = [HEAD, [1, 4, 2, 18, 45, ""], [2, 4, 2, 20, 2, ""], [3, 4, 2, 9, 30, ""]]
    (question,) = read(text(rows)).problems
    assert question.question
    assert [(place.row, place.column, place.value) for place in question.places] == [
        (2, "2nd putt", "45"),
        (4, "2nd putt", "30"),
    ]
    assert "rows 2, 4" in str(question) and "1 more like it" in str(question)
    assert question.as_dict()["question"] is True
    assert question.as_dict()["places"] == [
        {"row": 2, "column": "2nd putt", "value": "45"},
        {"row": 4, "column": "2nd putt", "value": "30"},
    ]


@pytest.mark.parametrize("above", [(), ("As written", "yes")])
def test_what_is_so_is_taken_as_it_is_written(above: Cells) -> None:
    rows = [above, HEAD, [1, 4, 2, 18, 45, ""]]
    reading = read(text(rows), as_written=not above)
    assert reading.problems == []
    assert reading.putts["distance_ft"].to_list() == [18, 45]


def test_a_header_that_comes_again_makes_no_putt_of_a_tick() -> None:
    rows = [("Hole", "Putts", "1st", "3-putt"), ("Hole", "Putts", "1st", "3-putt")]
    reading = read(text([*rows, (1, 3, 40, 1), (2, 2, 20, "")]))
    assert found(reading)[:3] == [
        (1, 1, 40, "missed"),
        (1, 2, None, "missed"),
        (1, 3, None, "holed"),
    ]


def test_rounds_below_each_other() -> None:
    rows = [*TITLED[:2], *ROWS, (), ("Date", "2026-05-04"), *ROWS, (), ("Round 2",), *ROWS]
    reading = read(text(rows), **NONE)
    assert not reading.problems, reading.problems[0]
    days = [(one.player, one.date.day, one.round) for one in reading.rounds]
    assert days == [("Mara Lindqvist", 3, 1), ("Mara Lindqvist", 4, 1), ("Mara Lindqvist", 4, 2)]
    assert all(one.putts.height == len(putts()) for one in reading.rounds)


def test_sheets_named_by_round_or_day() -> None:
    reading = read(book({"Round 1": by_hole(), "Round 2": by_hole()}))
    assert not reading.problems, reading.problems[0]
    assert [(one.date.day, one.round) for one in reading.rounds] == [(3, 1), (3, 2)]
    reading = read(book({"3 May 2026": by_hole(), "4 May 2026": by_hole()}), date=None)
    assert [(one.date.day, one.round) for one in reading.rounds] == [(3, 1), (4, 1)]


def test_remarks_below_a_card_are_no_holes() -> None:
    rows = [*by_hole(), ("Played in the rain",), ("Total putts", 31)]
    assert found(read(text(rows[:-1]))) == putts()
    assert found(read(text([*across(), ("Total putts", 31)]))) == putts()


NOTES: dict[str, tuple[list[float | None], str | None]] = {
    "4. 18 ft, 2 putts, left it 3 ft short": ([18, 3], "short"),
    "4) 25 ft 3 putts, 6 ft past then 2 ft": ([25, 6, 2], "past"),
    "Hole 4: two-putt from 20ft": ([20, None], None),
    "4 - 8ft holed it": ([8], None),
    "4. 6 footer made": ([6], None),
    "4. 30ft 3 putts": ([30, None, None], None),
    "- 4: 18 ft two putts": ([18, None], None),
    "4. 18ft, 2putts": ([18, None], None),
    "4) 18 ft - two putts": ([18, None], None),
    "hole 4, par 4, 20 ft, 2 putts": ([20, None], None),
    "4. 5,5 m two putts": ([5.5 / 0.3048, None], None),
    "4\t20ft\t2 putts": ([20, None], None),
    "4: 12'6\" uphill L-R 2 putts short left": ([12.5, None], "short"),
}


@pytest.mark.parametrize("line", NOTES)
def test_notes_of_a_hole(line: str) -> None:
    lengths, pace = NOTES[line]
    reading = read(line.encode())
    assert not reading.problems, reading.problems[0]
    known = [length if length is None else pytest.approx(length) for length in lengths]
    assert reading.putts["distance_ft"].to_list() == known
    assert reading.putts["miss_pace"][0] == pace


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("4. 18 ft lipped out", "'lipped' is not understood"),
        ("4. 30 4", "may be a length or the number of putts"),
        ("4. 12 ft left short 2 putts", "may be a side and a pace"),
        ("4. 12 ft missed", "number of putts is not written"),
        ("4. 12 ft", "number of putts is not written"),
        ("4. chipped in, 2 putts", "chipped in, but a putt is written"),
        ("4.18 ft two putts", "the hole of this line cannot be told"),
        ("18 ft two putts", "'ft' is not understood"),
    ],
)
def test_a_note_is_never_guessed(line: str, said: str) -> None:
    reading = read(f"3. 9 ft made\n{line}".encode())
    assert said in str(reading.problems[0])
    assert reading.holes["hole"].to_list() == [3]


def test_push_and_pull_for_a_player_whose_hand_is_known() -> None:
    rows = [("Hole", "Putts", "1st", "Miss"), (1, 2, 20, "short pull"), (2, 2, 20, "pushed")]
    for hand, sides in (("right", ["left", "right"]), ("left", ["right", "left"])):
        reading = read(text(rows), handed=lambda player, hand=hand: hand)
        assert reading.putts.filter(putt=1)["miss_side"].to_list() == sides


@pytest.mark.parametrize(
    ("header", "turning"), [("break to", "left to right"), ("Breaks from", "right to left")]
)
def test_a_bare_side_where_the_header_says_which(header: str, turning: str) -> None:
    reading = read(text([("Hole", "Putts", "1st", header), (1, 2, 20, "R")]))
    assert reading.putts["break"][0] == turning
