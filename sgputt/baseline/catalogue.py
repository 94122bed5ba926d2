"""Baselines by name."""

from __future__ import annotations

from functools import cache

import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.baseline.own import own_baseline
from sgputt.errors import SgputtError
from sgputt.reference import read_notes, read_table

PUBLIC = {
    "tour": "tour_baseline.csv",
    "tour 1988": "tour_1988_baseline.csv",
    "club": "club_baseline.csv",
}
FITTED = {
    "own": "Your own rounds",
    "squad": "All players of the archive",
}
APPROXIMATE = ("club",)


def baseline_names() -> tuple[str, ...]:
    """Names a baseline can have; those of :data:`FITTED` need putts to be fitted to."""
    return (*PUBLIC, *FITTED)


@cache
def get_baseline(name: str = "tour") -> Baseline:
    """The baseline of that name, from the reference data.

    Raises
    ------
    SgputtError
        No such baseline; the hint lists those there are.

    Examples
    --------
    >>> import numpy as np, sgputt
    >>> sgputt.get_baseline("tour").expected_putts(np.array([8.0])).round(2)
    array([1.5])
    """
    if name not in PUBLIC:
        raise SgputtError(
            f"There is no baseline '{name}' in the reference data.",
            f"Choose one of: {', '.join(PUBLIC)}.",
        )
    notes = read_notes(PUBLIC[name])
    return Baseline(
        name=name,
        title=notes["title"].removesuffix(", expected putts by distance"),
        source=notes["source"],
        era=notes["era"],
        limits=notes["limits"],
        approximate=name in APPROXIMATE,
        table=read_table(PUBLIC[name]),
    )


def fitted_baseline(name: str, putts: pl.DataFrame) -> Baseline:
    """A baseline of :data:`FITTED`, fitted to putts and shrunk toward the tour."""
    return own_baseline(name, FITTED[name], putts, get_baseline("tour"))
