"""Strokes gained by slope, the standard figure and the slope-fair one, worked out by hand."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.baseline.slope import slope_fair
from sgputt.putts.table import conform_putts
from sgputt.season.scored import Scored, score
from sgputt.season.slopes import slope_table
from sgputt.stroke.model import Stroke
from sgputt.stroke.simulate import Golfer, season

DAY = date(2025, 5, 3)
BASELINE = get_baseline("tour")
FAIR = slope_fair(BASELINE)


def putts(*rows: tuple[int, int, float | None, float | None, str, str], **more: Any) -> Scored:
    """Rows of hole, putt, distance, leave, result, slope."""
    names = ["hole", "putt", "distance_ft", "leave_ft", "result", "slope"]
    frame = pl.DataFrame(rows, schema=names, orient="row")
    facts = {"player": "Ada Brook", **more}
    columns = (pl.lit(value).alias(name) for name, value in facts.items())
    return score(conform_putts(frame.with_columns(*columns, pl.lit(DAY).alias("date"))), BASELINE)


def plain(distance_ft: float) -> float:
    return float(BASELINE.expected_putts(np.array([distance_ft]))[0])


def fair(slope: str, distance_ft: float) -> float:
    return float(FAIR.by_slope[slope].expected_putts(np.array([distance_ft]))[0])


def by_slope(scored: Scored) -> dict[str, tuple[Any, ...]]:
    return {slope: tuple(rest) for slope, *rest in slope_table(scored, FAIR).iter_rows()}


def test_two_holes_by_hand() -> None:
    """20 ft uphill past to 3 ft downhill, holed; 8 ft downhill short to 1 ft, unknown, holed."""
    scored = putts(
        (1, 1, 20.0, 3.0, "missed", "uphill"),
        (1, 2, 3.0, 0.0, "holed", "downhill"),
        (2, 1, 8.0, 1.0, "missed", "downhill"),
        (2, 2, 1.0, 0.0, "holed", "unknown"),
    )
    found = by_slope(scored)
    assert list(found) == ["uphill", "downhill", "unknown"]
    each_round = 18 / 2
    assert found["uphill"] == (
        1,
        pytest.approx(each_round * (plain(20) - 1 - plain(3))),
        pytest.approx(each_round * (fair("uphill", 20) - 1 - fair("downhill", 3))),
    )
    # The second's leave is of unknown slope: held against the distance-only baseline.
    downhill = (plain(3) - 1) + (plain(8) - 1 - plain(1))
    fairly = (fair("downhill", 3) - 1) + (fair("downhill", 8) - 1 - plain(1))
    assert found["downhill"] == (
        2,
        pytest.approx(each_round * downhill),
        pytest.approx(each_round * fairly),
    )
    assert found["unknown"] == (1, *[pytest.approx(each_round * (plain(1) - 1))] * 2)


def test_slope_fair_sums_telescope_too() -> None:
    # Over a hole whose putts all have a slope, only the first putt's baseline is left.
    scored = putts(
        (1, 1, 30.0, 6.0, "missed", "downhill"),
        (1, 2, 6.0, 2.0, "missed", "uphill"),
        (1, 3, 2.0, 0.0, "holed", "level"),
        (2, 1, 12.0, 0.0, "holed", "level"),
    )
    total = sum(each[2] for each in by_slope(scored).values())
    first = fair("downhill", 30) - 3 + fair("level", 12) - 1
    assert total == pytest.approx(9 * first)


@pytest.fixture(scope="module")
def many() -> Scored:
    return score(season(Golfer("Ada Brook", Stroke()), 15, 6, DAY), BASELINE)


def test_slopes_add_up_to_the_whole(many: Scored) -> None:
    table = slope_table(many, FAIR)
    assert table.columns == ["slope", "putts", "per_round", "fair_per_round"]
    assert table["slope"].cast(pl.String).to_list() == ["uphill", "level", "downhill"]
    assert table["putts"].sum() == many.gained["counts"].sum()
    total = many.rounds["strokes_gained"].to_numpy().sum() * 18 / many.rounds["holes"].sum()
    assert table["per_round"].sum() == pytest.approx(total)


def test_of_unknown_slope_both_figures_are_the_standard_one(many: Scored) -> None:
    slope = many.gained.schema["slope"]
    blank = many.gained.select(
        pl.exclude("slope"), pl.lit("unknown").cast(slope).alias("slope")
    ).select(many.gained.columns)
    table = slope_table(Scored(blank, many.holes, BASELINE), FAIR)
    assert table["slope"].to_list() == ["unknown"]
    assert table["fair_per_round"].item() == pytest.approx(table["per_round"].item(), abs=1e-12)
    assert table["per_round"].item() == pytest.approx(slope_table(many, FAIR)["per_round"].sum())


def test_slope_fair_brings_uphill_and_downhill_together(many: Scored) -> None:
    # Played by the very model the slope-fair baseline is made of: against the standard figure the
    # downhill putts of a long season look worse, against the slope-fair one they do not.
    long = score(season(Golfer("Ada Brook", Stroke()), 400, 7, date(2000, 1, 1), 1), BASELINE)
    found = by_slope(long)
    (up_n, up, up_fair), (down_n, down, down_fair) = found["uphill"], found["downhill"]
    scale = float(long.rounds["holes"].to_numpy().sum()) / 18
    standard = scale * (up / up_n - down / down_n)
    fairly = scale * (up_fair / up_n - down_fair / down_n)
    assert standard > 0.05
    assert abs(fairly) < 0.4 * standard


def test_putts_that_cannot_be_told_are_left_out() -> None:
    scored = putts(
        (1, 1, 20.0, None, "missed", "uphill"),
        (1, 2, None, 0.0, "holed", "uphill"),
        (2, 1, 9.0, None, "conceded", "uphill"),
        (3, 1, 5.0, 0.0, "holed", "uphill"),
    )
    assert by_slope(scored) == {
        "uphill": (
            1,
            pytest.approx(6 * (plain(5) - 1)),
            pytest.approx(6 * (fair("uphill", 5) - 1)),
        )
    }


def test_the_next_putt_is_that_of_the_same_hole_only() -> None:
    # Picked up after a known leave: the next row is another hole's, and its slope is none of ours.
    scored = putts(
        (1, 1, 20.0, 3.0, "missed", "level"),
        (2, 1, 10.0, 0.0, "holed", "downhill"),
    )
    level = by_slope(scored)["level"]
    assert level[2] == pytest.approx(9 * (fair("level", 20) - 1 - plain(3)))


def test_a_tap_in_is_left_as_half_a_foot() -> None:
    scored = putts((1, 1, 20.0, 0.05, "missed", "level"), (1, 2, 0.05, 0.0, "holed", "level"))
    total = by_slope(scored)["level"]
    assert total[1] == pytest.approx(18 * (plain(20) - 2))
    assert total[2] == pytest.approx(18 * (fair("level", 20) - 2))
