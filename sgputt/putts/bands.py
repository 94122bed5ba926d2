"""Distance bands: (lo, hi] in feet, as every table and chart of the program uses them."""

from __future__ import annotations

import polars as pl

EDGES_FT = (3.0, 5.0, 7.0, 10.0, 15.0, 25.0, 40.0)
LABELS = (
    "0-3 ft",
    "3-5 ft",
    "5-7 ft",
    "7-10 ft",
    "10-15 ft",
    "15-25 ft",
    "25-40 ft",
    "40+ ft",
)
BAND = pl.Enum(LABELS)
RANGES_FT: dict[str, tuple[float, float]] = dict(
    zip(LABELS, zip((0.0, *EDGES_FT), (*EDGES_FT, 100.0), strict=True), strict=True)
)


def band_of(distance_ft: pl.Expr) -> pl.Expr:
    """Band of each distance in feet; null stays null."""
    number = pl.sum_horizontal(
        [(distance_ft > edge).cast(pl.UInt8) for edge in EDGES_FT], ignore_nulls=False
    )
    return number.cat.to(BAND)
