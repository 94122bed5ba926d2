"""A player's stroke fitted to the rounds up to a day and to those after it."""

from __future__ import annotations

import datetime as dt

import polars as pl

from sgputt.errors import TooFewError
from sgputt.stroke.fitting import FittedStroke, fit_putting_stroke

Fits = tuple[FittedStroke | None, FittedStroke | None]


class StrokesAround:
    """One player's fits before and after days, each worked out once, since fits take longest.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player.
    """

    def __init__(self, putts: pl.DataFrame) -> None:
        self.putts = putts
        self._kept: dict[dt.date, Fits] = {}

    def parts(self, day: dt.date) -> tuple[pl.DataFrame, pl.DataFrame]:
        """Putts of that day and earlier, and those after it."""
        earlier = pl.col("date") <= day
        return self.putts.filter(earlier), self.putts.filter(~earlier)

    def at(self, day: dt.date) -> Fits:
        """The stroke up to a day and after it; None where too few putts tell one."""
        if day not in self._kept:
            early, late = self.parts(day)
            self._kept[day] = _fit(early), _fit(late)
        return self._kept[day]


def _fit(putts: pl.DataFrame) -> FittedStroke | None:
    try:
        return fit_putting_stroke(putts)
    except TooFewError:
        return None
