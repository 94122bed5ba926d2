from __future__ import annotations

from collections.abc import Callable

import pytest

from sgputt.putts.columns import BY_KEY
from sgputt.putts.values import CellError
from sgputt.scorecard import cells


@pytest.mark.parametrize(
    ("reader", "text", "value"),
    [
        (BY_KEY["hole"].read, "7", 7),
        (BY_KEY["hole"].read, "7.0", 7),
        (BY_KEY["hole"].read, "H7", 7),
        (BY_KEY["hole"].read, "7th", 7),
        (BY_KEY["hole"].read, "Hole 07", 7),
        (BY_KEY["hole"].read, "#19", 19),
        (BY_KEY["par"].read, "Par 4", 4),
        (BY_KEY["putts"].read, "0", 0),
        (BY_KEY["putt"].read, "P2", 2),
        (BY_KEY["round"].read, "Round 2", 2),
    ],
)
def test_whole_numbers(reader: Callable[[str], object], text: str, value: int) -> None:
    assert reader(text) == value


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (BY_KEY["hole"].read, "7½"),
        (BY_KEY["hole"].read, "7.5"),
        (BY_KEY["hole"].read, "0"),
        (BY_KEY["hole"].read, "37"),
        (BY_KEY["hole"].read, "-1"),
        (BY_KEY["hole"].read, "1²"),
        (BY_KEY["hole"].read, "seven"),
        (BY_KEY["par"].read, "2"),
        (BY_KEY["par"].read, "7"),
        (BY_KEY["putts"].read, "11"),
        (BY_KEY["putts"].read, "two"),
        (BY_KEY["putt"].read, "11"),
        (BY_KEY["round"].read, "0"),
        (BY_KEY["grade"].read, "16"),
        (BY_KEY["grade"].read, "-2"),
        (BY_KEY["grade"].read, "steep"),
        (lambda text: cells.stimp_length(text, "ft"), "3.2"),
        (lambda text: cells.stimp_length(text, "ft"), "fast"),
        (lambda text: cells.putt_length(text, "ft", 3), "101"),
        (lambda text: cells.putt_length(text, "m", 3), "31"),
    ],
)
def test_refused_numbers(reader: Callable[[str], object], text: str) -> None:
    with pytest.raises(CellError) as caught:
        reader(text)
    assert caught.value.hint


@pytest.mark.parametrize(
    ("text", "grade"),
    [("2.5%", 0.025), ("2,5 %", 0.025), ("2.5", 0.025), ("0.025", 0.025), ("0", 0)],
)
def test_grade(text: str, grade: float) -> None:
    assert BY_KEY["grade"].read(text) == pytest.approx(grade)


@pytest.mark.parametrize(
    ("text", "unit", "feet"),
    [("10", "ft", 10), ("10'6\"", "ft", 10.5), ("3.048 m", "ft", 10), ("3.048", "m", 10)],
)
def test_stimp(text: str, unit: str, feet: float) -> None:
    assert cells.stimp_length(text, unit) == pytest.approx(feet)


@pytest.mark.parametrize(("text", "feet"), [("0", 0), ("0.0 ft", 0), ("2", 2), ("0.5", 0.5)])
def test_leave(text: str, feet: float) -> None:
    assert cells.leave_length(text, "ft", 3) == feet


def test_a_date_for_a_length_is_explained() -> None:
    with pytest.raises(CellError) as caught:
        cells.putt_length("2026-02-01", "ft", 3)
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
    assert cells.clean_text(text) == clean


def test_names_have_a_limit() -> None:
    assert cells.clean_text("a" * 200)
    with pytest.raises(CellError, match="has 201 characters"):
        cells.clean_text("a" * 201)
