"""Baselines by name."""

from __future__ import annotations

from functools import cache

from sgputt.baseline.curve import Baseline
from sgputt.errors import SgputtError
from sgputt.reference import read_notes, read_table

_FILES = {"tour": "tour_baseline.csv"}


def baseline_names() -> tuple[str, ...]:
    """Names that :func:`get_baseline` takes."""
    return tuple(_FILES)


@cache
def get_baseline(name: str = "tour") -> Baseline:
    """The baseline of that name.

    Raises
    ------
    SgputtError
        No baseline has that name; the hint lists those there are.
    """
    if name not in _FILES:
        raise SgputtError(
            f"There is no baseline '{name}'.", f"Choose one of: {', '.join(baseline_names())}."
        )
    notes = read_notes(_FILES[name])
    return Baseline(
        name=name,
        title=notes["title"],
        source=notes["source"],
        era=notes["era"],
        approximate=False,
        table=read_table(_FILES[name]),
    )
