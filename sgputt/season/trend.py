"""How strokes gained moves from round to round."""

from __future__ import annotations

import numpy as np
import polars as pl

from sgputt.inference import student
from sgputt.inference.cells import COMPONENTS, chance_variance
from sgputt.inference.resample import FEWEST_ROUNDS, HOLES_IN_A_ROUND
from sgputt.inference.shares import LEVEL
from sgputt.season.scored import Scored
from sgputt.stroke.model import Array

WINDOW = 5


def trend(scored: Scored, window: int = WINDOW, level: float = LEVEL) -> pl.DataFrame:
    """Rolling mean of strokes gained, one row a round in the order played.

    The band is the mean of the window give or take Student's t times its standard error. A few
    rounds say too little of their own spread, so the spread is that of the whole season, from
    the differences of successive rounds, which a slow change hardly touches (von Neumann et al.
    1941, *Ann. Math. Statist.* 12(2), 153-162; from memory), and never less than chance. It is the
    band of one row; of many rows some will stand outside their truth.

    Parameters
    ----------
    scored : Scored
        Rounds of one player.
    window : int
        Rounds behind each mean, its own included; fewer at the start.
    level : float
        Coverage aimed at by the band of each row.

    Returns
    -------
    polars.DataFrame
        ``date, round, course, event``, ``round_id`` where known, ``holes``; ``per_round``, the
        round's strokes gained as of 18 holes; ``over``, the rounds in the window; ``mean, low,
        high`` of the window for 18 holes. ``low, high`` are null where there is one round in all.

    Raises
    ------
    ValueError
        A window below 1.
    """
    if window < 1:
        raise ValueError(f"window: {window}; 1 or more")
    rounds = scored.rounds
    holes = rounds["holes"].to_numpy().astype(np.float64)
    gained = rounds["strokes_gained"].to_numpy()
    played, total = _rolling(holes, window), _rolling(gained, window)
    mean = HOLES_IN_A_ROUND * total / played
    reach = _reach(gained, holes, _chance_a_hole(scored), level) * HOLES_IN_A_ROUND
    keys = ["date", "round", "course", "event"]
    keys += ["round_id"] if "round_id" in rounds.columns else []
    return rounds.select(*keys, "holes").with_columns(
        pl.Series("per_round", HOLES_IN_A_ROUND * gained / holes),
        pl.Series("over", np.minimum(np.arange(len(holes)) + 1, window)),
        pl.Series("mean", mean),
        pl.Series("low", mean - reach / np.sqrt(played)).fill_nan(None),
        pl.Series("high", mean + reach / np.sqrt(played)).fill_nan(None),
    )


def _rolling(values: Array, window: int) -> Array:
    """Sum of each value and the ``window - 1`` before it."""
    sums = np.cumsum(np.concatenate([np.zeros(window), values]))
    return np.asarray(sums[window:] - sums[:-window], dtype=np.float64)


def _chance_a_hole(scored: Scored) -> float:
    matrix = scored.matrix
    chance = sum(float(chance_variance(matrix, each).sum()) for each in COMPONENTS)
    return chance * float(matrix.holes.sum()) / HOLES_IN_A_ROUND**2


def _reach(gained: Array, holes: Array, chance: float, level: float) -> float:
    """Student's t times the spread of one hole, strokes; NaN from one round.

    Half the mean square difference of n values has ``(3 n - 4) / (n - 1)^2`` times the squared
    variance for variance, as much as a chi-square of ``2 (n - 1)^2 / (3 n - 4)`` degrees.
    """
    rounds = len(holes)
    if rounds < FEWEST_ROUNDS:
        return float("nan")
    steps = np.diff(gained / holes) ** 2 / (1 / holes[1:] + 1 / holes[:-1])
    freedom = 2 * (rounds - 1) ** 2 / (3 * rounds - 4)
    spread = float(np.sqrt(max(float(steps.mean()), chance)))
    return float(student.quantile((1 + level) / 2, freedom)) * spread
