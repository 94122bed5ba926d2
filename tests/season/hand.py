"""Rounds made by hand, and what the baseline's table gives for their lengths."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.putts.table import conform_putts
from sgputt.season.scored import Scored, score

BASELINE = get_baseline("tour")
DAY = date(2026, 3, 10)


def expected(distance_ft: float) -> float:
    return float(BASELINE.expected_putts(np.array([distance_ft]))[0])


def one_putt(distance_ft: float) -> float:
    return float(BASELINE.one_putt(np.array([distance_ft]))[0])


def after_miss(distance_ft: float) -> float:
    return (expected(distance_ft) - 1) / (1 - one_putt(distance_ft))


def hole(number: int, *lengths: float | None, last: str = "holed", **facts: Any) -> pl.DataFrame:
    """A hole of putts of these lengths, the last one holed."""
    results = ["missed"] * (len(lengths) - 1) + [last]
    base = {"player": "Ada Brook", "course": "Heron Mere", "date": DAY, "hole": number}
    rows = [
        {**base, "putt": at, "distance_ft": length, "result": result, **facts}
        for at, (length, result) in enumerate(zip(lengths, results, strict=True), 1)
    ]
    return conform_putts(
        pl.DataFrame(rows, schema_overrides={"distance_ft": pl.Float64}, infer_schema_length=None)
    )


def scored(*holes: pl.DataFrame) -> Scored:
    return score(pl.concat(holes), BASELINE)
