"""Strokes gained by slope and break, as played and fair, worked out by hand and on seasons."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.putts.table import BREAKS, SLOPES, conform_putts
from sgputt.season.fairness import WIDER_STROKE, By, fair_gained, fair_table, putts_to_come
from sgputt.season.scored import Scored, score
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.stroke.population import word_weights

DAY = date(2025, 5, 3)
BASELINE = get_baseline("tour")
AMATEUR = PuttingStroke(direction_deg=1.5, read=0.35, pace=0.11)
ANY = len(SLOPES) - 1
HOLES: list[tuple[Any, ...]] = [
    (1, 1, 20.0, 3.0, "missed", "uphill", "left to right"),
    (1, 2, 3.0, 0.0, "holed", "downhill", "straight"),
    (2, 1, 8.0, 1.0, "missed", "downhill", "right to left"),
    (2, 2, 1.0, 0.0, "holed", "unknown", "unknown"),
]


def scored(rows: list[tuple[Any, ...]], stimp_ft: float | None = None) -> Scored:
    names = ["hole", "putt", "distance_ft", "leave_ft", "result", "slope", "break"]
    frame = pl.DataFrame(rows, schema=names, orient="row").with_columns(
        pl.lit("Ada Brook").alias("player"),
        pl.lit(DAY).alias("date"),
        pl.lit(stimp_ft, pl.Float64).alias("stimp_ft"),
    )
    return score(conform_putts(frame), BASELINE)


def by_hand(stroke: PuttingStroke, feet: float, slope: str, stimp_ft: float = 10.0) -> float:
    grid = expected_grid(stroke, stimp_ft)
    codes = (np.array([SLOPES.index(slope)]), np.array([ANY]))
    return float(grid.at(np.array([feet]), *codes)[0])


def fair_putts(feet: float, slope: str, stimp_ft: float = 10.0) -> float:
    """The baseline from there, by the tour's ratio of such putts to all of the length."""
    plain = float(BASELINE.expected_putts(np.array([feet]))[0])
    usual = by_hand(TOUR_STROKE, feet, "unknown")
    return 1 + (plain - 1) * (by_hand(TOUR_STROKE, feet, slope, stimp_ft) - 1) / (usual - 1)


def test_two_holes_by_hand() -> None:
    found = fair_gained(scored(HOLES), "slope")
    gained = np.array(
        [
            fair_putts(20, "uphill") - 1 - fair_putts(3, "downhill"),
            fair_putts(3, "downhill") - 1,
            fair_putts(8, "downhill") - 1 - fair_putts(1, "unknown"),
            fair_putts(1, "unknown") - 1,
        ]
    )

    def more(feet: float, slope: str) -> float:
        return by_hand(WIDER_STROKE, feet, slope) - by_hand(TOUR_STROKE, feet, slope)

    a_step = np.array(
        [
            more(20, "uphill") - more(3, "downhill"),
            more(3, "downhill"),
            more(8, "downhill") - more(1, "unknown"),
            more(1, "unknown"),
        ]
    )
    level = -gained.sum() / a_step.sum()
    assert found["fair"].to_numpy() == pytest.approx(gained + level * a_step)
    assert found["fair"].sum() == pytest.approx(0, abs=1e-12)
    table = fair_table(scored(HOLES), "slope")
    assert table["slope"].to_list() == ["uphill", "downhill", "unknown"]
    assert table["putts"].to_list() == [1, 2, 1]
    assert table["per_round"][0] == pytest.approx(18 / 2 * found["sg"][0])
    assert table["fair_per_round"][0] == pytest.approx(18 / 2 * found["fair"][0])


def test_a_written_green_speed_counts() -> None:
    feet, words = np.array([20.0]), np.array([SLOPES.index("downhill")])
    slow, quick, between = (
        putts_to_come(BASELINE, feet, words, np.array([s]), "slope")[0][0] for s in (10, 12, 11)
    )
    assert quick > slow
    assert between == pytest.approx((slow + quick) / 2)
    assert quick == pytest.approx(fair_putts(20, "downhill", 12.0))


@pytest.mark.parametrize("by", ["slope", "break"])
def test_without_words_the_baseline_comes_back(by: By) -> None:
    feet = np.array([0.1, 0.5, 2.0, 8.0, 33.0, 100.0])
    unknown = np.full(len(feet), ANY)
    fair, _ = putts_to_come(BASELINE, feet, unknown, np.full(len(feet), 10.0), by)
    assert fair == pytest.approx(BASELINE.expected_putts(feet))


def test_the_usual_mix_of_words_gives_back_the_baseline() -> None:
    lengths = expected_grid(TOUR_STROKE, 10.0).length_ft
    lengths = lengths[lengths <= 100]
    met = word_weights(10.0).sum(axis=3)[: len(lengths), :ANY, ANY]
    stimp = np.full(len(lengths), 10.0)
    fair = np.stack(
        [
            putts_to_come(BASELINE, lengths, np.full(len(lengths), word), stimp, "slope")[0]
            for word in range(ANY)
        ],
        axis=1,
    )
    mean = (met * fair).sum(axis=1) / met.sum(axis=1)
    assert mean == pytest.approx(BASELINE.expected_putts(lengths), abs=0.002)


@pytest.mark.parametrize("by", ["slope", "break"])
def test_a_hole_with_an_unknown_length_is_left_out_whole(by: By) -> None:
    rows = [*HOLES, (3, 1, 30.0, None, "missed", "uphill", "straight")]
    rows.append((3, 2, None, 0.0, "holed", "level", "straight"))
    with_gap, without = fair_table(scored(rows), by), fair_table(scored(HOLES), by)
    assert with_gap["putts"].to_list() == without["putts"].to_list()
    assert set(without[by]) <= set(SLOPES) | set(BREAKS)


def test_a_player_equally_good_everywhere_reads_nearer_to_even_than_by_distance() -> None:
    """A small part of ``sgputt.study.fairness``: an amateur's 200 rounds against the tour."""
    seasons = invented_season(InventedGolfer("Equal", AMATEUR), 200, 7, DAY, every_days=1)
    for by in ("slope", "break"):
        table = fair_table(score(seasons, BASELINE), by)
        apart = {name: np.ptp(table[name].to_numpy()) for name in ("per_round", "fair_per_round")}
        assert apart["fair_per_round"] < 0.25
        assert table["fair_per_round"].sum() == pytest.approx(0, abs=1e-9)
        if by == "break":
            assert apart["fair_per_round"] < apart["per_round"] / 3


def test_a_planted_weakness_downhill_stands_out() -> None:
    long = PuttingStroke(long_downhill=0.2)
    seasons = invented_season(InventedGolfer("Long downhill", long), 60, 7, DAY, every_days=1)
    table = fair_table(score(seasons, BASELINE), "slope")
    worst = table.sort("fair_per_round").row(0, named=True)
    assert worst["slope"] == "downhill"
    assert worst["fair_per_round"] < -0.2


def test_intervals_of_fair_figures_hold_the_figure_and_narrow_with_rounds() -> None:
    golfer = InventedGolfer("Ada Brook")
    few, many = (
        fair_table(score(invented_season(golfer, rounds, 5, date(2026, 1, 1)), BASELINE), "slope")
        for rounds in (8, 64)
    )
    for table in (few, many):
        assert (table["fair_low"] < table["fair_per_round"]).all()
        assert (table["fair_per_round"] < table["fair_high"]).all()
    wide = [float((each["fair_high"] - each["fair_low"]).to_numpy().mean()) for each in (few, many)]
    assert wide[1] < 0.7 * wide[0]


def test_intervals_of_fair_figures_hold_zero_as_often_as_they_say() -> None:
    """Of players who are equally good on every putt, 9 in 10 intervals hold 0, chance allowed."""
    held = [
        low < 0 < high
        for seed in range(6)
        for low, high in fair_table(
            score(invented_season(InventedGolfer("Ada"), 16, seed, date(2026, 1, 1)), BASELINE),
            "break",
        )
        .select("fair_low", "fair_high")
        .iter_rows()
    ]
    assert sum(held) / len(held) > 0.75


def test_steep_greens_are_no_weakness_of_the_player() -> None:
    """Far more rounds than anyone plays, on greens steeper than believed: the doubt holds."""
    greens = Conditions(grade=0.025)
    golfer = InventedGolfer("Ada", AMATEUR)
    held = [
        low < 0 < high
        for seed in range(3)
        for low, high in fair_table(
            score(
                invented_season(golfer, 160, seed, date(2026, 1, 1), 2, conditions=greens), BASELINE
            ),
            "slope",
            grade=0.0245,
        )
        .select("fair_low", "fair_high")
        .iter_rows()
    ]
    assert sum(held) / len(held) > 0.75
