"""What a better stroke would be worth, in strokes a round on a player's own first putts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from scipy.special import ndtri

from sgputt.stroke.chain import GRID_FT, slope_chain
from sgputt.stroke.fit import StrokeFit
from sgputt.stroke.model import TOUR, Array, Stroke

BETTER = 0.10
HOLES_IN_A_ROUND = 18
_STEP = 0.02


@dataclass(frozen=True)
class Worth:
    """Strokes a round that one change of the stroke would gain, with its interval.

    Attributes
    ----------
    part : str
        ``line`` or ``pace``.
    change : str
        ``10 % better`` or ``tour level``.
    value, low, high : float
        Strokes gained a round of 18 holes; the interval reflects the doubt about the spreads, by
        the delta method, not about which putts will be met.
    """

    part: str
    change: str
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class FirstPutts:
    """First putts of some rounds: how often each grid distance is met on each slope, a round."""

    weights: dict[str, Array]

    def putts_a_round(self, stroke: Stroke) -> float:
        """Putts the stroke would need a round, by the model on the usual slope."""
        chains = slope_chain(stroke)
        return float(sum(w @ chains[slope].expected_putts for slope, w in self.weights.items()))


def first_putts(putts: pl.DataFrame, holes: int) -> FirstPutts:
    """First putts from the green, by slope; an unknown slope counts as level.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table.
    holes : int
        Holes played, those without a putt too.
    """
    first = (
        putts.filter((pl.col("surface") == "green") & pl.col("distance_ft").is_not_null())
        .sort("putt")
        .unique(["player", "date", "round", "hole"], keep="first")
        .with_columns(pl.col("slope").cast(pl.String).replace("unknown", "level"))
    )
    weights = {
        str(slope): _on_grid(rows["distance_ft"].to_numpy()) * HOLES_IN_A_ROUND / holes
        for (slope,), rows in first.group_by("slope", maintain_order=True)
    }
    return FirstPutts(weights)


def _on_grid(distance_ft: Array) -> Array:
    """Counts on the grid, each putt shared linearly between its two neighbours."""
    inside = np.clip(distance_ft, GRID_FT[0], GRID_FT[-1])
    right = np.clip(np.searchsorted(GRID_FT, inside), 1, len(GRID_FT) - 1)
    share = (inside - GRID_FT[right - 1]) / (GRID_FT[right] - GRID_FT[right - 1])
    counts = np.bincount(right, share, len(GRID_FT))
    return np.asarray(counts + np.bincount(right - 1, 1 - share, len(GRID_FT)), dtype=np.float64)


def worth_of_better(fit: StrokeFit, met: FirstPutts) -> list[Worth]:
    """Worth of line and pace 10 % better, and at tour level where the player is not there yet.

    Parameters
    ----------
    fit : StrokeFit
    met : FirstPutts
        The player's own first putts.
    """
    better = f"{BETTER:.0%} better".replace("%", " %")
    changes: list[tuple[str, str, Callable[[Stroke], Stroke]]] = [
        ("line", better, lambda s: replace(s, line_rad=s.line_rad * (1 - BETTER))),
        ("pace", better, lambda s: replace(s, pace=s.pace * (1 - BETTER))),
    ]
    if fit.stroke.line_rad > TOUR.line_rad:
        changes.append(
            ("line", "tour level", lambda s: replace(s, line_rad=min(s.line_rad, TOUR.line_rad)))
        )
    if fit.stroke.pace > fit.tour_pace:
        changes.append(
            ("pace", "tour level", lambda s: replace(s, pace=min(s.pace, fit.tour_pace)))
        )
    return [_worth(fit, met, *each) for each in changes]


def _worth(
    fit: StrokeFit, met: FirstPutts, part: str, change: str, improve: Callable[[Stroke], Stroke]
) -> Worth:
    def gained(logs: Array) -> float:
        line, pace = (float(each) for each in np.exp(logs))
        now = replace(fit.stroke, line_rad=line, pace=pace)
        return met.putts_a_round(now) - met.putts_a_round(improve(now))

    at = np.log([fit.stroke.line_rad, fit.stroke.pace])
    value = gained(at)
    slope = np.array([(gained(at + step) - value) / _STEP for step in np.eye(2) * _STEP])
    error = float(np.sqrt(slope @ fit.covariance @ slope))
    reach = float(ndtri((1 + fit.level) / 2)) * error
    # None of these changes can cost strokes: each narrows a spread or leaves it alone.
    return Worth(part, change, value, max(value - reach, 0.0), value + reach)
