from __future__ import annotations

from datetime import date

import pytest

from sgputt import wording
from sgputt.putts import units
from sgputt.safe_text import on_a_page
from sgputt.season.summary import Estimate


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.314, "+0.31"), (-0.314, "−0.31"), (0.0049, "0.00"), (-0.0049, "0.00"), (None, "-")],
)
def test_sign_goes_with_the_digits_shown(value: float | None, shown: str) -> None:
    assert wording.signed(value) == shown


@pytest.mark.parametrize(
    ("low", "high", "shown"),
    [(-1.37, -0.66, "−1.0"), (-1.07, -0.97, "−1.02"), (None, None, "−1.0"), (-9.0, 9.0, "−1.0")],
)
def test_digits_follow_the_interval(low: float | None, high: float | None, shown: str) -> None:
    assert wording.estimate(Estimate(-1.02, low, high)) == shown


@pytest.mark.parametrize(
    ("share", "shown"),
    [(0.97, "97 in 100"), (0.9996, "99 in 100"), (0.004, "1 in 100")],
)
def test_chance_is_so_many_in_a_hundred(share: float, shown: str) -> None:
    assert wording.chances(share) == shown


def test_clean_keeps_letters_of_every_script_and_drops_what_turns_them() -> None:
    assert on_a_page("\u202eAnn\u2066 \u05d3\u05e0\u05d4\r\nO’Shea\x00\ud800") == "Ann דנה  O’Shea"


def test_lengths_and_dates_read_as_people_write_them() -> None:
    assert units.lengths_shown([24.0, None]) == "24, –\u00a0ft"
    assert units.length_shown(None) == "–"
    assert wording.day(date(2026, 4, 2)) == "2\u00a0Apr\u00a02026"
    assert wording.tidy("Gate 6 ft out, 10-15 ft") == "Gate 6\u00a0ft out, 10–15\u00a0ft"
