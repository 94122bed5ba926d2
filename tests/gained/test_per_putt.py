"""Single holes worked by hand, and what is refused."""

from __future__ import annotations

from datetime import date
from typing import Any

import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import RangeError
from sgputt.gained.per_putt import TAP_IN_FT, strokes_gained
from sgputt.putts.table import conform_putts
from sgputt.reference import read_table

TOUR = get_baseline("tour")
TABLE = read_table("tour_baseline")


def expected(distance_ft: float) -> float:
    """E at a distance that stands in the table itself."""
    return float(TABLE.filter(pl.col("distance_ft") == distance_ft)["expected_putts"].item())


def hole(*putts: tuple[float | None, str], **columns: Any) -> pl.DataFrame:
    rows = [
        {"date": date(2026, 5, 3), "hole": 1, "putt": n, "distance_ft": d, "result": result}
        for n, (d, result) in enumerate(putts, 1)
    ]
    frame = pl.DataFrame(rows, schema_overrides={"distance_ft": pl.Float64})
    return conform_putts(frame.with_columns(**columns))


def test_three_putts_from_thirty_feet() -> None:
    gained = strokes_gained(hole((30.0, "missed"), (6.0, "missed"), (1.0, "holed")), TOUR)
    by_hand = [expected(30) - 1 - expected(6), expected(6) - 1 - expected(1), expected(1) - 1]
    assert gained["sg"].to_list() == pytest.approx(by_hand)
    assert gained["sg"].sum() == pytest.approx(expected(30) - 3)


def test_a_miss_of_unknown_leave_gives_a_total_and_no_split() -> None:
    gained = strokes_gained(hole((20.0, "missed"), (None, "holed")), TOUR)
    first, second = gained.to_dicts()
    assert first["sg"] is None and first["leave"] is None
    assert first["holing"] + first["not_split"] == pytest.approx(expected(20) - 2)
    assert not second["counts"]


def test_a_holed_putt_of_unknown_length_is_a_tap_in_where_lengths_are_written() -> None:
    written = hole((30.0, "missed"), (6.0, "holed"))
    tapped_in = hole((20.0, "missed"), (None, "holed")).with_columns(hole=2)
    putts = pl.concat([written, tapped_in.cast(written.schema)])
    first, second = strokes_gained(putts, TOUR).filter(pl.col("hole") == 2).to_dicts()
    assert first["sg"] == pytest.approx(expected(20) - 1 - expected(TAP_IN_FT))
    assert first["leave"] == pytest.approx(first["sg"] - first["holing"])
    # What the tap-in itself gains by dropping is known only with the miss before it.
    assert first["not_split"] == pytest.approx(expected(TAP_IN_FT) - 1)
    assert not second["counts"]


def test_two_unknown_putts_after_a_miss_are_no_tap_in() -> None:
    written = hole((30.0, "missed"), (6.0, "holed"))
    three = hole((20.0, "missed"), (None, "missed"), (None, "holed")).with_columns(hole=2)
    putts = pl.concat([written, three.cast(written.schema)])
    first = strokes_gained(putts, TOUR).filter(pl.col("hole") == 2).row(0, named=True)
    assert first["sg"] is None
    assert first["holing"] + first["not_split"] == pytest.approx(expected(20) - 3)


def test_a_ball_picked_up_at_an_unknown_length_counts_for_nothing() -> None:
    gained = strokes_gained(hole((20.0, "missed"), (3.0, "missed")), TOUR)
    assert gained["counts"].to_list() == [True, False]
    assert gained["sg"].to_list() == [pytest.approx(expected(20) - 1 - expected(3)), None]


def test_a_ball_picked_up_at_a_known_length_counts() -> None:
    gained = strokes_gained(hole((20.0, "missed"), leave_ft=pl.lit(2.0)), TOUR)
    assert gained["sg"].item() == pytest.approx(expected(20) - 1 - expected(2))


def test_a_concession_is_a_stroke_kept_apart() -> None:
    gained = strokes_gained(hole((10.0, "missed"), (2.0, "conceded")), TOUR)
    assert gained["counts"].to_list() == [True, False]
    assert gained["conceded"].to_list() == pytest.approx([0.0, expected(2) - 1])
    assert gained["sg"][0] == pytest.approx(expected(10) - 1 - expected(2))


def test_a_putt_from_off_the_green_does_not_count_and_the_next_does() -> None:
    surface = pl.Series(["off green", "green"])
    gained = strokes_gained(hole((40.0, "missed"), (4.0, "holed"), surface=surface), TOUR)
    assert gained["counts"].to_list() == [False, True]
    assert gained["sg"].to_list() == [None, pytest.approx(expected(4) - 1)]


@pytest.mark.parametrize(
    ("distance_ft", "band"),
    [
        (0.1, "0-3 ft"),
        (3.0, "0-3 ft"),
        (3.001, "3-5 ft"),
        (5.0, "3-5 ft"),
        (7.0, "5-7 ft"),
        (10.0, "7-10 ft"),
        (15.0, "10-15 ft"),
        (25.0, "15-25 ft"),
        (40.0, "25-40 ft"),
        (40.001, "40+ ft"),
        (100.0, "40+ ft"),
    ],
)
def test_bands_close_on_their_upper_edge(distance_ft: float, band: str) -> None:
    assert strokes_gained(hole((distance_ft, "holed")), TOUR)["band"].item() == band


@pytest.mark.parametrize("distance_ft", [0.0, -1.0, 100.1])
def test_a_length_outside_the_baseline_is_refused(distance_ft: float) -> None:
    with pytest.raises(RangeError, match="outside the baseline"):
        strokes_gained(hole((distance_ft, "holed")), TOUR)


def test_what_is_refused_is_said_in_plain_words() -> None:
    with pytest.raises(RangeError) as caught:
        strokes_gained(hole((120.0, "holed")), TOUR)
    assert "100 ft" in caught.value.hint
    assert "python_udf" not in str(caught.value)


def test_no_putts_at_all() -> None:
    empty = hole((8.0, "holed")).clear()
    assert strokes_gained(empty, TOUR).is_empty()


def test_further_columns_are_kept() -> None:
    gained = strokes_gained(hole((8.0, "holed"), note=pl.lit("kept")), TOUR)
    assert gained["note"].to_list() == ["kept"]
