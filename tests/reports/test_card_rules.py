"""The card in a browser against the importer: what one takes the other takes, in the same words."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from selenium import webdriver

from sgputt.errors import LengthError
from sgputt.putts.units import UNITS, parse_length
from sgputt.scorecard import CardOptions
from sgputt_reports.card import card_page, card_rules
from sgputt_reports.page import TEMPLATES
from tests.reports.card_driver import Thumb, typed_hole, typed_putt, typed_round

WRITTEN = [
    *("12", "12,5", "12.5", "12'6", "12'6\"", "12’6”", "12 ft 6 in", "12ft6", "12' 6 1/2", "12'12"),
    *("3.7 m", "3.7m", "370 cm", "8 paces", "8p", "8 steps", "7 yd", "90 in", '90"', "90''"),
    *("½", "6½", "6 1/2 ft", "1/0", "0/0", "12'0/0", "~12", "≈ 12", "about 12", "ca. 12", "c. 12"),
    *("12.", ".5", ",5", "012", "0", "0.0", "0 m", "-3", "+3", "1e3", "twelve", "12 constructor"),
    *(
        "constructor",
        "toString",
        "12 12",
        "12''6",
        "12\u00a0m",
        " 12 ",
        "",
        "-",
        "12 FEET",
        "12 ft.",
    ),
    *(
        "12 ft. 6 in.",
        "12'",
        "12,6'",
        "9" * 39,
        "9" * 40,
        "9" * 41,
        "12'6'",
        "m",
        "1/2/3",
        "١٢",
        "12 K",
    ),
]


@pytest.fixture
def thumb(browser: webdriver.Chrome, tmp_path: Path) -> Iterator[Thumb]:
    page = tmp_path / "card.html"
    page.write_text(card_page(), encoding="utf-8")
    golfer = Thumb(browser, page)
    golfer.logged()
    golfer.open_new()
    yield golfer
    assert golfer.logged() == []


def made_up(count: int) -> list[str]:
    chance = random.Random(11)
    parts = [
        *"0123456789",
        "12",
        " ",
        ".",
        ",",
        "'",
        '"',
        "/",
        "½",
        "ft",
        "m",
        "in",
        "paces",
        "~",
        "x",
    ]
    return ["".join(chance.choices(parts, k=chance.randint(1, 7))) for _ in range(count)]


def meant(text: str, unit: str, pace: float) -> float | None:
    try:
        return parse_length(text, unit, pace)
    except LengthError:
        return None


def test_lengths_are_read_as_the_importer_reads_them(thumb: Thumb) -> None:
    cases = [(text, unit, 2.75) for text in WRITTEN for unit in UNITS]
    cases += [(text, "ft", 3.0) for text in made_up(3000)]
    script = (TEMPLATES / "card_lengths.js").read_text(encoding="utf-8")
    found = thumb.run(
        script + "const { feet } = makeLengths(arguments[0]);"
        "return arguments[1].map((each) => { const got = feet(...each);"
        "return got > 0 && got < Infinity ? got : null; });",
        card_rules()["lengths"],
        cases,
    )
    assert sum(value is not None for value in found) > 500
    for case, value in zip(cases, found, strict=True):
        expected = meant(*case)
        assert value == (None if expected is None else pytest.approx(expected)), case


def with_holes(*numbers: int, **values: object) -> dict[str, Any]:
    return {
        "round": typed_round(**values),
        "holes": {str(number): typed_hole("15", "2") for number in numbers},
    }


def one_hole(**values: object) -> dict[str, Any]:
    return {"round": typed_round(), "holes": {"1": typed_hole("8", **values)}}


LATER = (date.today() + timedelta(days=3)).isoformat()
REFUSED = {
    "a word for a length": one_hole(putts=[typed_putt("twelve")]),
    "nought": one_hole(putts=[typed_putt("0")]),
    "nought metres": one_hole(putts=[typed_putt("0 m")]),
    "too long": one_hole(putts=[typed_putt("101 ft")]),
    "too long in metres": one_hole(putts=[typed_putt("30.5 m")]),
    "no first length": one_hole(putts=[typed_putt("")]),
    "a dash for the first length": one_hole(putts=[typed_putt("-")]),
    "two bad lengths": one_hole(putts=[typed_putt("a"), typed_putt("b")], count=2),
    "nothing played": with_holes(),
    "no date": with_holes(1, date=""),
    "a day to come": with_holes(1, date=LATER),
    "long ago": with_holes(1, date="1949-12-31"),
    "a long name": with_holes(1, player="W" * 201),
    "a long course": with_holes(1, course="é" * 201),
    "a long event": with_holes(1, event="\U0001f3cc" * 201),
    "no such round": with_holes(1, round="0"),
    "a word for the round": with_holes(1, round="first"),
    "a slow green": with_holes(1, stimp="3"),
    "a hole missing": with_holes(1, 3),
    "two holes missing": with_holes(1, 2, 5),
    "missing around the turn": with_holes(17, 2, first="10"),
    "a play-off hole missing": with_holes(1, 20, extra=2),
    "a second putt longer than the first": one_hole(
        putts=[typed_putt("18"), typed_putt("45")], count=2
    ),
    "a long putt given": one_hole(putts=[typed_putt("50")], ending="conceded"),
    "very many putts": one_hole(putts=[typed_putt("30")], count=9),
    "aimed on the low side": one_hole(
        putts=[typed_putt("8", turn="left to right", aimSide="right", aimBy="2 cups")]
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_the_importer_refuses_the_card_refuses(thumb: Thumb, name: str) -> None:
    thumb.put(REFUSED[name])
    said = thumb.faults()
    problems = thumb.reading().problems
    assert problems
    assert len(said) == len(problems)
    for problem in problems:
        what = problem.what or f"'{problem.value}' is not {problem.allowed}"
        alike = [text for text in said if in_feet_or_as_typed(what) in in_feet_or_as_typed(text)]
        assert alike, (what, said)
    assert thumb.text("#save") == "Save it as it stands"


def test_a_word_for_the_green_speed_is_told_what_a_speed_is(thumb: Thumb) -> None:
    thumb.put(with_holes(1, stimp="fast"))
    [said] = thumb.faults()
    assert said.startswith("Green speed: 'fast' is not a green speed of 4 to 16 ft.")
    assert len(thumb.reading().problems) == 1


def in_feet_or_as_typed(text: str) -> str:
    """Leave out what stands in quotes: the card quotes what was typed, the file has it in feet."""
    return "'" + text.split("'")[2] if text.count("'") >= 2 else text


TAKEN = {
    "one hole": with_holes(1),
    "from tomorrow's side of the world": with_holes(1, date=(date.today()).isoformat()),
    "the longest": one_hole(putts=[typed_putt("100")]),
    "the longest in metres": one_hole(putts=[typed_putt("30.48 m")]),
    "a hair": one_hole(putts=[typed_putt("0.0000001")]),
    "a name of 200": with_holes(1, player="é" * 200),
    "no player and no course": with_holes(1, player="", course=""),
    "a shotgun start": with_holes(*range(1, 19), first="7"),
    "a start on the back nine": with_holes(
        10, 11, 18, 12, 13, 14, 15, 16, 17, first="10", length="9"
    ),
    "nine around the turn": with_holes(16, 17, 18, 1, 2, first="16", length="9"),
    "stopped after four": with_holes(1, 2, 3, 4),
    "a play-off": with_holes(*range(1, 19), 19, 20, extra=3),
    "five putts": one_hole(putts=[typed_putt("8")], count=5),
    "ten putts, and it is so": {
        **one_hole(putts=[typed_putt("8")], count=10),
        "round": typed_round(sure="yes"),
    },
    "no lengths later": one_hole(putts=[typed_putt("30")], count=3),
    "no length at a concession": one_hole(putts=[typed_putt("30")], count=2, ending="conceded"),
    "no length when picked up": one_hole(putts=[typed_putt("30")], count=2, ending="picked up"),
    "no speed": with_holes(1, stimp="-"),
    "speed in metres": with_holes(1, stimp="3.2 m"),
}


@pytest.mark.parametrize("name", TAKEN)
def test_what_the_card_takes_the_importer_takes(thumb: Thumb, name: str) -> None:
    thumb.put(TAKEN[name])
    assert thumb.faults() == []
    reading = thumb.reading()
    assert reading.problems == []
    assert reading.holes.height == len(TAKEN[name]["holes"])
    counted = sum(hole["count"] for hole in TAKEN[name]["holes"].values())
    assert reading.putts.height == counted


def test_a_hole_marked_as_not_played_is_no_gap(thumb: Thumb) -> None:
    card = with_holes(1, 3)
    card["holes"]["2"] = typed_hole("8", ending="not played")
    thumb.put(card)
    assert thumb.faults() == []
    reading = thumb.reading()
    assert reading.problems == []
    assert reading.holes["hole"].to_list() == [1, 3]


def test_holes_outside_the_card_are_not_lost_in_silence(thumb: Thumb) -> None:
    thumb.put(with_holes(1, 12, length="9"))
    [said] = thumb.faults()
    assert "Hole 12" in said
    thumb.tap("[data-fault='0']")
    assert thumb.run("return document.activeElement.dataset.value") == "18"


AIMED = (("", ""), ("centre", ""), ("left", "edge"), ("right", "2 cups"), ("left", ""))
INCHES = {("centre", ""): 0.0, ("left", "edge"): 2.125, ("right", "2 cups"): -8.5}


def any_round(chance: random.Random) -> dict[str, Any]:
    """A round as anything that can be tapped may make it."""
    spoken = card_rules()["words"]
    holes = {}
    for number in range(1, 10):
        ending = chance.choice(["", "", "holed", "conceded", "picked up", "chipped in"])
        count = 0 if ending == "chipped in" else chance.randint(ending != "picked up", 4)
        putts = [
            typed_putt(
                chance.choice(["12", "3.7 m", "12'6\"", "8 paces", "6½"]),
                off=chance.random() < 0.1,
                **{
                    key: chance.choice(["", *spoken[key]])
                    for key in ("slope", "turn", "pace", "side", "cause")
                },
                **dict(zip(("aimSide", "aimBy"), chance.choice(AIMED), strict=True)),
            )
            for _ in range(max(count, 1) + chance.randint(0, 1))
        ]
        par = chance.choice(["", *spoken["par"]])
        holes[str(number)] = {"par": par, "count": count, "ending": ending, "putts": putts}
    unit = chance.choice(["ft", "m", "paces"])
    return {"round": typed_round(unit=unit, sure="yes"), "holes": holes}


def expected_rows(card: dict[str, Any]) -> list[tuple[object, ...]]:
    rows = []
    for number, hole in card["holes"].items():
        for at, putt in enumerate(hole["putts"][: hole["count"]]):
            last = at == hole["count"] - 1
            ending = {"": "holed", "picked up": "missed"}.get(hole["ending"], hole["ending"])
            result = ending if last else "missed"
            missed = result == "missed"
            length = parse_length(putt["length"], card["round"]["unit"])
            rows.append(
                (
                    *(int(number), int(hole["par"]) if hole["par"] else None, at + 1),
                    *(pytest.approx(length, abs=1e-6), result),
                    *(putt["slope"] or "unknown", putt["turn"] or "unknown"),
                    *(putt[key] or None if missed else None for key in ("pace", "side", "cause")),
                    "off green" if putt["off"] else "green",
                    INCHES.get((putt["aimSide"], putt["aimBy"])),
                )
            )
    return rows


def test_any_round_comes_through_as_it_was_tapped(thumb: Thumb) -> None:
    chance = random.Random(5)
    columns = [
        *("hole", "par", "putt", "distance_ft", "result", "slope", "break"),
        *("miss_pace", "miss_side", "cause", "surface", "break_in"),
    ]
    for _ in range(25):
        card = any_round(chance)
        thumb.put(card)
        assert thumb.faults() == [], json.dumps(card)
        reading = thumb.reading()
        assert reading.problems == [], json.dumps(card)
        assert reading.putts.select(columns).rows() == expected_rows(card)
        assert reading.holes.height == 9


@pytest.mark.parametrize("pace", ["3", "2'9\"", "0.9 m", "10"])
def test_paces_within_the_limit(thumb: Thumb, pace: str) -> None:
    thumb.put({"round": typed_round(unit="paces", pace=pace), "holes": {"1": typed_hole("8")}})
    assert thumb.faults() == []
    feet = parse_length(pace)
    assert thumb.reading().putts["distance_ft"].to_list() == [pytest.approx(8 * feet, abs=1e-6)]


@pytest.mark.parametrize("pace", ["0", "10.5", "long", ""])
def test_paces_beyond_it(thumb: Thumb, pace: str) -> None:
    thumb.put({"round": typed_round(unit="paces", pace=pace), "holes": {"1": typed_hole("8")}})
    [said] = thumb.faults()
    options = CardOptions(pace_ft=99)
    [problem] = thumb.reading(options).problems
    assert problem.allowed in said
