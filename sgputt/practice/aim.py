"""Whom a player's pass marks are for: the stroke they have now, and the one to aim at."""

from __future__ import annotations

from dataclasses import dataclass, replace

import polars as pl

from sgputt.baseline.own import PRIOR_SHARE
from sgputt.stroke.fit import FEWEST_PUTTS, Prior, fit_stroke
from sgputt.stroke.model import TOUR, Stroke

# Steps a player is asked to take, as shares of their own spreads: at least 5 %, at most 15 %.
# Chosen for this project; no source.
LEAST_STEP = 0.05
MOST_STEP = 0.15


@dataclass(frozen=True)
class Aim:
    """The stroke aimed at, and the player's own.

    Attributes
    ----------
    target : Stroke
        Spreads aimed at.
    own : Stroke or None
        The player's fitted spreads; None when there is no putt of theirs.
    putts : int
        Putts they were fitted to.
    """

    target: Stroke = TOUR
    own: Stroke | None = None
    putts: int = 0

    @property
    def whose(self) -> str:
        """Whose stroke the marks are worked out from, in words."""
        if self.own is None:
            return "a tour stroke"
        if self.putts < FEWEST_PUTTS:
            return f"your stroke, mostly guessed: only {self.putts} putts so far"
        return "your own stroke"


GENERAL = Aim()


def aim_of(putts: pl.DataFrame) -> Aim:
    """Fit a player's stroke, shrunk toward the tour's where putts are few, and set its aim.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table of one player; without a putt that can be fitted, :data:`GENERAL`.
    """
    fit = fit_stroke(putts, prior=Prior(TOUR, PRIOR_SHARE))
    if fit.putts == 0:
        return GENERAL
    ideal = replace(TOUR, pace=fit.tour_pace)
    return Aim(better(fit.stroke, ideal), fit.stroke, fit.putts)


def better(own: Stroke, ideal: Stroke = TOUR) -> Stroke:
    """A stroke one step better, spread by spread.

    Halfway from the own spread to the ideal one in their logarithms, but at most 15 % and at
    least 5 % better than the own; so who is already there still has something to aim at.
    """
    return replace(
        own,
        line_rad=own.line_rad * _factor(own.line_rad, ideal.line_rad),
        pace=own.pace * _factor(own.pace, ideal.pace),
    )


def _factor(own: float, ideal: float) -> float:
    halfway = float((ideal / own) ** 0.5)
    return min(max(halfway, 1 - MOST_STEP), 1 - LEAST_STEP)
