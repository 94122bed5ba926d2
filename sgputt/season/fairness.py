"""Strokes gained by slope and by break, fair to putts that are harder: a model.

A baseline by distance alone calls breaking and downhill putts a weakness of everybody. Here each
putt is held against a player of this player's own overall level who is equally good on every putt:
what stands out then is the player's, not the green's.

How much harder a described putt is comes from the tour's stroke on the usual greens
(:mod:`sgputt.stroke.expected`), as a ratio to all putts of that length, so that the usual mix gives
back the distance-only baseline; greens as steep in the mean as the player's fitted stroke found
them count as harder. The player's level comes from the putts themselves: strokes between
the tour's and one whose spreads are half as wide again, taken in the share that leaves nothing
gained or lost over all putts. ``python -m sgputt.study.fairness`` measures what it is worth.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import ndtri

from sgputt.baseline.curve import Baseline
from sgputt.inference.intervals import HOLES_IN_A_ROUND, LEVEL, per_round
from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.putts.table import BREAKS, HOLE_KEY, ROUND_KEY, SLOPES
from sgputt.season.scored import Scored
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.outcomes import STIMPS_FT, StrokeModel
from sgputt.stroke.player import TOUR_STROKE
from sgputt.stroke.population import MEAN_GRADE, between

By = Literal["slope", "break"]
WORDS = {"slope": SLOPES, "break": BREAKS}
# Spreads half as wide again: about a club player's beside the tour's.
_WIDER = 1.5
WIDER_STROKE = TOUR_STROKE.changed(direction_deg=_WIDER, read=_WIDER, pace=_WIDER)
FAIR_ASSUMPTION = (
    "Fair figures are a model: each putt is held against a player of your own level who is equally "
    "good on every putt, on greens as steep as your putts say (1.8 % on average while they are "
    "few). They add up to nothing; what stands out is yours, not the green's."
)
# How far the model itself may have the figure of a word, strokes a round (a standard deviation):
# ``python -m sgputt.study.fairness`` finds equally good players up to so far and half as far again
# from 0 on greens steeper than believed.
MODEL_DOUBT = 0.05
_LEAST_FT = 0.1
_SURE = 1e-4


def fair_table(
    scored: Scored, by: By, level: float = LEVEL, grade: float = MEAN_GRADE
) -> pl.DataFrame:
    """Strokes gained a round of 18 holes by slope or break of the putt, as played and fair.

    Parameters
    ----------
    scored : Scored
    by : str
        ``slope`` or ``break``.
    level : float
        Coverage aimed at.
    grade : float
        Mean grade of the player's greens, rise over run, such as a fitted stroke has.

    Returns
    -------
    polars.DataFrame
        ``by``, ``putts, per_round, fair_per_round, fair_low, fair_high`` for the words that occur,
        of the putts of :func:`fair_gained`. ``fair_per_round`` adds up to 0. ``fair_low,
        fair_high``: resampling interval over rounds, the player's overall level found again in
        each resample to first order, widened by :data:`MODEL_DOUBT`; null from one round.
    """
    putts = fair_gained(scored, by, grade)
    numbered = scored.rounds.select(*ROUND_KEY, "holes").with_row_index("number")
    number = putts.select(ROUND_KEY).join(numbered, on=ROUND_KEY, maintain_order="left")["number"]
    words = putts[by].to_physical().to_numpy()
    fair, step = (np.zeros((numbered.height, len(WORDS[by]))) for _ in range(2))
    np.add.at(fair, (number.to_numpy(), words), putts["fair"].to_numpy())
    np.add.at(step, (number.to_numpy(), words), putts["step"].to_numpy())
    # A round whose putts gain moves the level, and with it all words by their share of the steps.
    whole = float(step.sum())
    moved = fair - (step.sum(axis=0) / whole if whole else 0.0) * fair.sum(axis=1, keepdims=True)
    found = per_round(moved, numbered["holes"].to_numpy(), level)
    scale = HOLES_IN_A_ROUND / int(numbered["holes"].sum())
    table = (
        putts.group_by(by)
        .agg(pl.len().alias("putts"), (pl.col("sg").sum() * scale).alias("per_round"))
        .sort(by)
    )
    at = table[by].to_physical().to_numpy()
    value = fair.sum(axis=0)[at] * scale
    doubt = MODEL_DOUBT * float(ndtri((1 + level) / 2))
    return table.with_columns(
        pl.Series("fair_per_round", value),
        pl.Series("fair_low", value - np.hypot(value - found.low[at], doubt)).fill_nan(None),
        pl.Series("fair_high", value + np.hypot(found.high[at] - value, doubt)).fill_nan(None),
    )


def fair_gained(scored: Scored, by: By, grade: float = MEAN_GRADE) -> pl.DataFrame:
    """Strokes gained a putt, and ``fair``: against a player as good, but equally on every putt.

    Parameters
    ----------
    scored : Scored
    by : str
        ``slope`` or ``break``: what is allowed for.
    grade : float
        As in :func:`fair_table`.

    Returns
    -------
    polars.DataFrame
        The scored putts on holes of which every length is known: makes need no leave, so misses
        without one must not drop out alone. ``fair`` adds up to 0. ``step``: how many more putts
        a stroke a step wider would need there.
    """
    putts = scored.gained.with_columns(
        pl.col(by).shift(-1).over(HOLE_KEY).fill_null("unknown").alias("next")
    ).filter(pl.col("counts") & pl.col("sg").is_not_null().all().over(HOLE_KEY))
    stimp = putts["stimp_ft"].fill_null(USUAL_STIMP_FT).to_numpy()
    left = putts["leave_ft"].fill_null(_LEAST_FT).clip(lower_bound=_LEAST_FT).to_numpy()
    missed = (putts["result"] == "missed").to_numpy()
    codes, next_codes = (putts[name].to_physical().to_numpy() for name in (by, "next"))
    length = putts["distance_ft"].to_numpy()
    here, wider = putts_to_come(scored.baseline, length, codes, stimp, by, grade)
    there, wider_there = putts_to_come(scored.baseline, left, next_codes, stimp, by, grade)
    gained = here - 1 - np.where(missed, there, 0.0)
    a_step = wider - np.where(missed, wider_there, 0.0)
    whole = float(a_step.sum())
    level = -float(gained.sum()) / whole if whole else 0.0
    return putts.drop("next").with_columns(
        pl.Series("fair", gained + level * a_step), pl.Series("step", a_step)
    )


def putts_to_come(
    baseline: Baseline,
    length_ft: Array,
    words: NDArray[np.integer],
    stimp_ft: Array,
    by: By,
    grade: float = MEAN_GRADE,
) -> tuple[Array, Array]:
    """Expected putts of the baseline from putts so described, and how many more a step wider.

    Parameters
    ----------
    baseline : Baseline
    length_ft, stimp_ft : ndarray, shape (n,)
    words : ndarray of int, shape (n,)
        Codes of slope or break.
    by : str
        Which of the two.
    grade : float
        As in :func:`fair_table`.

    Returns
    -------
    expected, more : ndarray, shape (n,)
    """
    all_words = np.full(len(length_ft), len(WORDS[by]) - 1)
    usual_ft = np.full(len(length_ft), USUAL_STIMP_FT)
    usual = _expected(TOUR_STROKE, length_ft, all_words, usual_ft, by, MEAN_GRADE)
    tour = _expected(TOUR_STROKE, length_ft, words, stimp_ft, by, grade)
    sure = usual - 1 > _SURE
    harder = np.where(sure, (tour - 1) / np.where(sure, usual - 1, 1.0), 1.0)
    fair = 1 + (baseline.expected_putts(length_ft) - 1) * harder
    wider = _expected(WIDER_STROKE, length_ft, words, stimp_ft, by, grade)
    return np.asarray(fair), wider - tour


def _expected(
    stroke: StrokeModel,
    length_ft: Array,
    words: NDArray[np.integer],
    stimp_ft: Array,
    by: By,
    grade: float,
) -> Array:
    unknown = np.full(len(length_ft), len(SLOPES) - 1)
    codes = (words, unknown) if by == "slope" else (unknown, words)
    low, share = between(stimp_ft, STIMPS_FT)
    found = np.zeros(len(length_ft))
    for step, weight in ((0, 1 - share), (1, share)):
        for speed in np.unique(low + step):
            rows = (low + step == speed) & (weight > 0)
            if rows.any():
                grid = expected_grid(stroke, float(STIMPS_FT[speed]), grade)
                at = grid.at(length_ft[rows], codes[0][rows], codes[1][rows])
                found[rows] += weight[rows] * at
    return found
