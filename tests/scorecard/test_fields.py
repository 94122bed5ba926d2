from __future__ import annotations

from collections.abc import Callable

import pytest

from sgputt.scorecard import fields
from sgputt.scorecard.problem import CellError


@pytest.mark.parametrize(
    ("reader", "text", "value"),
    [
        (fields.hole_number, "7", 7),
        (fields.hole_number, "7.0", 7),
        (fields.hole_number, "H7", 7),
        (fields.hole_number, "7th", 7),
        (fields.hole_number, "Hole 07", 7),
        (fields.hole_number, "#19", 19),
        (fields.par_of, "Par 4", 4),
        (fields.putt_count, "0", 0),
        (fields.putt_number, "P2", 2),
        (fields.round_number, "Round 2", 2),
    ],
)
def test_whole_numbers(reader: Callable[[str], int], text: str, value: int) -> None:
    assert reader(text) == value


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (fields.hole_number, "7½"),
        (fields.hole_number, "7.5"),
        (fields.hole_number, "0"),
        (fields.hole_number, "37"),
        (fields.hole_number, "-1"),
        (fields.hole_number, "1²"),
        (fields.hole_number, "seven"),
        (fields.par_of, "2"),
        (fields.par_of, "7"),
        (fields.putt_count, "11"),
        (fields.putt_count, "two"),
        (fields.putt_number, "11"),
        (fields.round_number, "0"),
        (fields.grade_of, "16"),
        (fields.grade_of, "-2"),
        (fields.grade_of, "steep"),
        (lambda text: fields.stimp_length(text, "ft"), "3.2"),
        (lambda text: fields.stimp_length(text, "ft"), "fast"),
        (lambda text: fields.putt_length(text, "ft", 3), "101"),
        (lambda text: fields.putt_length(text, "m", 3), "31"),
    ],
)
def test_refused_numbers(reader: Callable[[str], object], text: str) -> None:
    with pytest.raises(CellError) as caught:
        reader(text)
    assert caught.value.hint


@pytest.mark.parametrize(
    ("text", "grade"),
    [("2.5%", 0.025), ("2,5 %", 0.025), ("2.5", 0.025), ("0.025", 0.025), ("0.2", 0.002), ("0", 0)],
)
def test_grade(text: str, grade: float) -> None:
    assert fields.grade_of(text) == pytest.approx(grade)


@pytest.mark.parametrize(
    ("text", "unit", "feet"),
    [("10", "ft", 10), ("10'6\"", "ft", 10.5), ("3.048 m", "ft", 10), ("3.048", "m", 10)],
)
def test_stimp(text: str, unit: str, feet: float) -> None:
    assert fields.stimp_length(text, unit) == pytest.approx(feet)


@pytest.mark.parametrize(("text", "feet"), [("0", 0), ("0.0 ft", 0), ("2", 2), ("0.5", 0.5)])
def test_leave(text: str, feet: float) -> None:
    assert fields.leave_length(text, "ft", 3) == feet


def test_a_date_for_a_length_is_explained() -> None:
    with pytest.raises(CellError) as caught:
        fields.putt_length("2026-02-01", "ft", 3)
    assert "format the cell as text" in caught.value.hint


@pytest.mark.parametrize(
    ("text", "clean"),
    [
        ("  Mara \t Lindqvist ", "Mara Lindqvist"),
        ("Zoe\u0308", "Zoë"),
        ("Ma\x07ra\ufeff", "Mara"),
        ("Ma\nra", "Ma ra"),
        ("\x07", ""),
    ],
)
def test_names_are_cleaned(text: str, clean: str) -> None:
    assert fields.clean_text(text) == clean


def test_names_have_a_limit() -> None:
    assert fields.clean_text("a" * 200)
    with pytest.raises(CellError, match="has 201 characters"):
        fields.clean_text("a" * 201)
