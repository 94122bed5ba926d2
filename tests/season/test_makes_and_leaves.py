from __future__ import annotations

from datetime import date

import numpy as np
import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.inference.intervals import wilson_interval
from sgputt.putts.table import conform_putts
from sgputt.season.makes_and_leaves import (
    baseline_curve,
    leaves_by_length,
    make_shares,
    miss_places,
)
from sgputt.season.scored import Scored, score

DAY = date(2026, 5, 3)


def scored(*holes: list[tuple[float, str, str | None, str | None]]) -> Scored:
    """Holes as lists of putts: feet, result, miss_pace, miss_side."""
    rows = [
        {"date": DAY, "hole": hole, "putt": number, "distance_ft": feet, "result": result}
        | {"miss_pace": pace, "miss_side": side}
        for hole, putts in enumerate(holes, 1)
        for number, (feet, result, pace, side) in enumerate(putts, 1)
    ]
    frame = pl.DataFrame(rows, schema_overrides={"miss_pace": pl.String, "miss_side": pl.String})
    return score(conform_putts(frame), get_baseline("tour"))


ROUND = scored(
    [(20.0, "missed", "short", "left"), (2.0, "holed", None, None)],
    [
        (22.0, "missed", "past", "right"),
        (4.0, "missed", "past", "none"),
        (1.0, "holed", None, None),
    ],
    [(6.0, "holed", None, None)],
    [(6.5, "missed", "past", "right"), (1.5, "holed", None, None)],
)


def test_makes_by_band() -> None:
    shares = {row["distance"]: row for row in make_shares(ROUND).iter_rows(named=True)}
    six = shares["5-7 ft"]
    assert (six["putts"], six["made"], six["share"], six["mean_ft"]) == (2, 1, 0.5, 6.25)
    assert (six["low"], six["high"]) == wilson_interval(1, 2)
    curve = get_baseline("tour").one_putt(pl.Series([6.0, 6.5]).to_numpy())
    assert six["baseline"] == pytest.approx(curve.mean())
    assert shares["0-3 ft"]["made"] == 3
    assert "40+ ft" not in shares


def test_leaves_are_of_first_putts_only() -> None:
    leaves = {row["distance"]: row for row in leaves_by_length(ROUND).iter_rows(named=True)}
    assert set(leaves) == {"5-7 ft", "15-25 ft"}
    assert leaves["15-25 ft"]["misses"] == 2
    assert leaves["15-25 ft"]["median_ft"] == 3.0
    assert leaves["15-25 ft"]["nine_tenths_ft"] == pytest.approx(3.8)


def test_misses_lie_where_the_words_and_the_leave_put_them() -> None:
    places = miss_places(ROUND)
    assert places.height == 4
    for row in places.iter_rows(named=True):
        assert (row["across_ft"] > 0) - (row["across_ft"] < 0) in (row["side"], 0)
    assert sorted(np.hypot(places["across_ft"], places["past_ft"])) == pytest.approx(
        [1.0, 1.5, 2.0, 4.0]
    )


def test_nothing_missed_is_an_empty_shape() -> None:
    perfect = scored([(6.0, "holed", None, None)])
    assert leaves_by_length(perfect).is_empty()
    assert miss_places(perfect).is_empty()


def test_the_curve_is_the_baseline() -> None:
    curve = baseline_curve(ROUND)
    assert curve["distance_ft"].to_list() == [float(feet) for feet in range(1, 61)]
    assert curve["share"][7] == pytest.approx(
        get_baseline("tour").one_putt(curve["distance_ft"].to_numpy())[7]
    )
