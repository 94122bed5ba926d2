from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sgputt.errors import LengthError
from sgputt.putts.units import UNITS, format_length, parse_length, said_in_metres, unit_of

SPELLINGS = {
    "12": 12.0,
    " 12 ": 12.0,
    "12.5": 12.5,
    "12,5": 12.5,
    ".5": 0.5,
    "12.": 12.0,
    "12'": 12.0,
    "12'6\"": 12.5,
    "12' 6": 12.5,
    "12'6": 12.5,
    "12 ' 6 \"": 12.5,
    "12''": 1.0,
    "12’6”": 12.5,
    "12′6″": 12.5,
    "12‘6“": 12.5,
    "12 ft 6 in": 12.5,
    "12ft6": 12.5,
    "12ft6in": 12.5,
    "12 ft. 6 in.": 12.5,
    "12 feet, 6 inches": 12.5,
    "12 Foot": 12.0,
    "12 FT": 12.0,
    "12 ft.": 12.0,
    "12feet": 12.0,
    '6"': 0.5,
    "6 in": 0.5,
    "6in": 0.5,
    "18 inches": 1.5,
    "1 inch": 1 / 12,
    "3.7 m": 3.7 / 0.3048,
    "3,7m": 3.7 / 0.3048,
    "3.7 metres": 3.7 / 0.3048,
    "1 meter": 1 / 0.3048,
    "370 cm": 370 / 30.48,
    "4 yd": 12.0,
    "4 yards": 12.0,
    "4yds": 12.0,
    "8 paces": 24.0,
    "8p": 24.0,
    "1 pace": 3.0,
    "8 steps": 24.0,
    "1/2 ft": 0.5,
    "1/2": 0.5,
    "12 1/2": 12.5,
    "12½": 12.5,
    "½ m": 0.5 / 0.3048,
    "12' 6 1/2\"": 12 + 6.5 / 12,
    "~12": 12.0,
    "~ 12 ft": 12.0,
    "about 12": 12.0,
    "12\u00a0ft": 12.0,
}

NO_LENGTHS = [
    "",
    " ",
    "0",
    "0.0",
    "-3",
    "+3",
    "nan",
    "inf",
    "1e400",
    "1e2",
    "12 apples",
    "apples",
    "12 ft 12 in",
    "12-6",
    "1/0",
    "12..5",
    "1.2.3",
    "12 6",
    "1_2",
    "٣",
    "7²",
    "ft",
    "'",
    "12 m 6",
    "9" * 400,
    "0." + "0" * 60 + "1",
]


@pytest.mark.parametrize(("text", "feet"), SPELLINGS.items())
def test_reads_what_people_type(text: str, feet: float) -> None:
    assert parse_length(text) == pytest.approx(feet, rel=1e-12)


@pytest.mark.parametrize("text", NO_LENGTHS)
def test_refuses_the_rest_with_a_hint(text: str) -> None:
    with pytest.raises(LengthError) as caught:
        parse_length(text)
    assert f"'{text}' is not a length" in caught.value.what
    assert "metres (3.7 m)" in caught.value.hint


@pytest.mark.parametrize(
    ("unit", "feet"),
    [("ft", 4.0), ("m", 4 / 0.3048), ("cm", 4 / 30.48), ("in", 4 / 12), ("yd", 12), ("paces", 10)],
)
def test_a_bare_number_takes_the_unit(unit: str, feet: float) -> None:
    assert parse_length("4", unit, pace_ft=2.5) == pytest.approx(feet)


def test_a_written_unit_wins() -> None:
    assert parse_length("4 ft", "m") == 4


def test_an_unknown_unit_names_the_known_ones() -> None:
    with pytest.raises(LengthError, match="'furlong' is not a unit of length") as caught:
        parse_length("4", "furlong")
    assert "ft, m, cm, in, yd, paces" in caught.value.hint
    with pytest.raises(LengthError, match="'furlong' is not a unit"):
        format_length(4, "furlong")


@pytest.mark.parametrize(
    ("feet", "unit", "shown"),
    [
        (12.5, "ft", "12.5 ft"),
        (12.0, "ft", "12 ft"),
        (12.04, "ft", "12 ft"),
        (12.5, "m", "3.81 m"),
        (10 / 0.3048, "m", "10.00 m"),
        (12.5, "cm", "381 cm"),
        (1.5, "in", "18 in"),
        (13.5, "yd", "4.5 yd"),
        (24.0, "paces", "8 paces"),
    ],
)
def test_shows_lengths(feet: float, unit: str, shown: str) -> None:
    assert format_length(feet, unit) == shown


@given(feet=st.floats(0.5, 100), unit=st.sampled_from(UNITS), pace=st.floats(2, 4))
def test_what_is_shown_reads_back(feet: float, unit: str, pace: float) -> None:
    again = parse_length(format_length(feet, unit, pace), pace_ft=pace)
    assert again == pytest.approx(feet, abs=0.5)


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_a_length_error(text: str) -> None:
    with contextlib.suppress(LengthError):
        assert 0 < parse_length(text) < math.inf


@pytest.mark.parametrize(
    ("word", "unit"), [("Metres", "m"), ("ft.", "ft"), ("paces", "paces"), ("apples", None)]
)
def test_names_units(word: str, unit: str | None) -> None:
    assert unit_of(word) == unit


@pytest.mark.parametrize(
    ("feet", "metres"),
    [
        ("5–7\u00a0ft putts", "1.5–2.1\u00a0m putts"),
        ("40+\u00a0ft", "12.2+\u00a0m"),
        ("3 to 6 ft", "0.9 to 1.8 m"),
        ("from 4, 6 and 8 ft", "from 1.2, 1.8 and 2.4 m"),
        ("a 45-foot putt and a 10-footer", "a 13.7-metre putt and a 3-metre putt"),
        ("4 1/2 inches (114 mm) apart", "114 mm apart"),
        ("passes 5 inches low", "passes 125 mm low"),
        ("17 of 32 in a row, 12 minutes, −0.46", "17 of 32 in a row, 12 minutes, −0.46"),
        ("greens of stimp 11\u00a0ft", "greens of stimp 11\u00a0ft"),
        ("feet of break", "feet of break"),
    ],
)
def test_feet_in_a_sentence_are_said_in_metres_and_nothing_else(feet: str, metres: str) -> None:
    assert said_in_metres(feet) == metres
