"""The ranking of losses and the drill chosen for each."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from sgputt.inference.cells import CELLS_SCHEMA
from sgputt.practice.drills import Drill, load_drills
from sgputt.practice.priorities import best_drill, rank_priorities
from sgputt.putts.bands import LABELS

DRILLS = load_drills()
CHANCE_OF_SURE = 0.99


def cell(
    distance: str, slope: str, component: str, shrunk: float, chance: float = 0.9, **more: Any
) -> dict[str, Any]:
    return {
        "distance": distance,
        "slope": slope,
        "component": component,
        "putts": 40,
        "per_round": 2 * shrunk,
        "low": None,
        "high": None,
        "shrunk_per_round": shrunk,
        "shrunk_low": shrunk - 0.1,
        "shrunk_high": shrunk + 0.1,
        "chance_of_loss": chance,
        "rounds_to_tell": 30,
        **more,
    }


def cells(*rows: dict[str, Any]) -> pl.DataFrame:
    return pl.DataFrame(list(rows), schema=CELLS_SCHEMA, orient="row")


def test_the_largest_loss_comes_first() -> None:
    table = cells(
        cell("3-5 ft", "any", "holing", -0.2),
        cell("25-40 ft", "any", "leave", -0.5),
        cell("7-10 ft", "any", "holing", +0.3),
        cell("10-15 ft", "any", "holing", -0.3),
    )
    found = rank_priorities(table, DRILLS)
    assert [each.distance for each in found] == ["25-40 ft", "10-15 ft", "3-5 ft"]
    assert [each.rank for each in found] == [1, 2, 3]
    assert [each.loss_per_round for each in found] == [0.5, 0.3, 0.2]
    assert (found[0].low, found[0].high) == pytest.approx((0.4, 0.6))


def test_the_order_of_the_cells_does_not_matter() -> None:
    rows = [
        cell(d, "any", c, -0.1 * n)
        for n, (d, c) in enumerate(
            [("3-5 ft", "holing"), ("5-7 ft", "holing"), ("25-40 ft", "leave")], 1
        )
    ]
    there, back = (rank_priorities(cells(*x), DRILLS) for x in (rows, rows[::-1]))
    assert there == back


def test_the_list_is_as_long_as_asked() -> None:
    table = cells(*(cell(band, "any", "holing", -0.1) for band in LABELS))
    assert len(rank_priorities(table, DRILLS, most=3)) == 3
    assert len(rank_priorities(table, DRILLS)) == 5


def test_a_slope_that_carries_the_loss_is_named() -> None:
    table = cells(
        cell("3-5 ft", "any", "holing", -0.20),
        cell("3-5 ft", "downhill", "holing", -0.18, chance=0.95),
        cell("3-5 ft", "uphill", "holing", -0.02),
    )
    (only,) = rank_priorities(table, DRILLS)
    assert (only.slope, only.loss_per_round) == ("downhill", 0.18)
    assert "downhill putts of 3-5 ft" in only.why
    slopes = {slope for target in only.drill.trains for slope in target.slopes}
    assert "downhill" in slopes


@pytest.mark.parametrize(
    ("downhill", "chance"), [(-0.10, 0.99), (-0.18, 0.6)], ids=["half the loss", "hardly sure"]
)
def test_a_slope_that_does_not_stand_out_is_not_named(downhill: float, chance: float) -> None:
    table = cells(
        cell("3-5 ft", "any", "holing", -0.20),
        cell("3-5 ft", "downhill", "holing", downhill, chance=chance),
    )
    (only,) = rank_priorities(table, DRILLS)
    assert (only.slope, only.loss_per_round) == ("any", 0.20)
    assert only.why.startswith("3-5 ft putts:")


def test_an_unknown_slope_is_never_named() -> None:
    table = cells(
        cell("3-5 ft", "any", "holing", -0.2),
        cell("3-5 ft", "unknown", "holing", -0.2, chance=0.99),
    )
    assert rank_priorities(table, DRILLS)[0].slope == "any"


def test_nothing_lost_gives_nothing_to_do() -> None:
    table = cells(cell("3-5 ft", "any", "holing", 0.2), cell("5-7 ft", "any", "leave", -0.001))
    assert rank_priorities(table, DRILLS) == []
    assert rank_priorities(cells(), DRILLS) == []


def test_without_drills_there_is_nothing_to_rank() -> None:
    assert rank_priorities(cells(cell("3-5 ft", "any", "holing", -0.2)), []) == []


@pytest.mark.parametrize("slope", ["any", "uphill", "level", "downhill"])
@pytest.mark.parametrize("component", ["holing", "leave"])
def test_worth_is_half_of_the_covered_loss(slope: str, component: str) -> None:
    for band in ("3-5 ft", "15-25 ft", "40+ ft"):
        drill = best_drill(DRILLS, band, slope, component)
        if drill is None:
            continue
        loss = cell(band, slope, component, -0.4, chance=CHANCE_OF_SURE)
        whole = cell(band, "any", component, -0.4, chance=CHANCE_OF_SURE)
        table = cells(loss) if slope == "any" else cells(loss, whole)
        (only,) = rank_priorities(table, DRILLS)
        assert only.drill.id == drill.id
        covered = drill.covers(band, slope, component)
        assert 0 < covered <= 1
        assert only.worth_per_round == pytest.approx(0.5 * covered * 0.4)


def test_every_cell_has_a_drill_that_trains_it() -> None:
    without = [
        (band, slope, component)
        for band in LABELS
        for slope in ("any", "uphill", "level", "downhill")
        for component in ("holing", "leave")
        if best_drill(DRILLS, band, slope, component) is None
    ]
    # What no drill trains: makes from beyond 25 ft are luck, leaves of tap-ins are none.
    assert {(band, component) for band, _, component in without} <= {
        ("0-3 ft", "leave"),
        ("3-5 ft", "leave"),
        ("25-40 ft", "holing"),
        ("40+ ft", "holing"),
    }


def test_the_best_drill_covers_most_and_strays_least() -> None:
    def fit(drill: Drill) -> float:
        return drill.covers("3-5 ft", "downhill", "holing")

    chosen = best_drill(DRILLS, "3-5 ft", "downhill", "holing")
    assert chosen is not None
    assert chosen.surface == "green"
    assert fit(chosen) > 0.5
    only_downhill = [d for d in DRILLS if fit(d) == 1 and _slopes(d) == {"downhill"}]
    if only_downhill:
        assert chosen in only_downhill


def _slopes(drill: Drill) -> set[str]:
    return {slope for target in drill.trains for slope in target.slopes}


@pytest.mark.parametrize(
    ("chance", "putts", "sure"), [(0.95, 10, True), (0.949, 10, False), (0.99, 9, False)]
)
def test_sure_is_nineteen_chances_in_twenty_from_ten_putts(
    chance: float, putts: int, sure: bool
) -> None:
    table = cells(cell("3-5 ft", "any", "holing", -0.2, chance=chance, putts=putts))
    assert rank_priorities(table, DRILLS)[0].sure is sure
