"""Intervals by resampling whole rounds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from sgputt.inference import student
from sgputt.inference.shares import LEVEL
from sgputt.stroke.model import Array

RESAMPLES = 2000
SEED = 20260101
HOLES_IN_A_ROUND = 18
FEWEST_ROUNDS = 2


@dataclass(frozen=True)
class PerRound:
    """Strokes per round of 18 holes, one value a column.

    Attributes
    ----------
    value, low, high, variance : ndarray, shape (k,)
        ``low, high, variance`` are NaN with fewer than two rounds.
    """

    value: Array
    low: Array
    high: Array
    variance: Array


def per_round(
    sums: Array, holes: Array, level: float = LEVEL, seed: int = SEED, resamples: int = RESAMPLES
) -> PerRound:
    """Sums a round of 18 holes, with resampling intervals.

    Whole rounds are drawn with replacement, since putts of a round share a day and a green. The
    percentiles are widened for the number of rounds (the "expanded percentile" interval of
    Hesterberg 2015, *Amer. Statist.* 69(4), 371-386; from memory): the deviation is multiplied
    by ``sqrt(n / (n - 1))`` and the tail taken from Student's t.

    Parameters
    ----------
    sums : ndarray, shape (rounds, k)
        Strokes of each round.
    holes : ndarray, shape (rounds,)
        Holes played in each round.
    level : float
        Coverage aimed at.
    seed, resamples : int
        The same seed gives the same interval.
    """
    value = HOLES_IN_A_ROUND * sums.sum(axis=0) / holes.sum()
    rounds = len(holes)
    if rounds < FEWEST_ROUNDS:
        unknown = np.full_like(value, np.nan)
        return PerRound(value, unknown, unknown, unknown)
    counts = _draws(rounds, seed, resamples)
    drawn = HOLES_IN_A_ROUND * (counts @ sums) / (counts @ holes)[:, None]
    tail = float(
        ndtr(np.sqrt(rounds / (rounds - 1)) * student.quantile((1 - level) / 2, rounds - 1))
    )
    low, high = np.quantile(drawn, [tail, 1 - tail], axis=0)
    variance = drawn.var(axis=0) * rounds / (rounds - 1)
    return PerRound(value, low, high, variance)


@lru_cache(maxsize=8)
def _draws(rounds: int, seed: int, resamples: int) -> Array:
    """How often each round is drawn, shape (resamples, rounds); the same for all figures."""
    rng = np.random.default_rng(seed)
    drawn = rng.multinomial(rounds, np.full(rounds, 1 / rounds), size=resamples)
    counts = np.asarray(drawn, dtype=np.float64)
    counts.flags.writeable = False
    return counts


def widen(result: PerRound, chance: Array, rounds: int, level: float = LEVEL) -> PerRound:
    """Widen intervals that are narrower than chance alone would make them.

    A few putts that all dropped resample to themselves, with no spread at all; others from the
    same places would not always have holed them.

    Parameters
    ----------
    result : PerRound
    chance : ndarray, shape (k,)
        Variance a round that the baseline itself would show from the same places.
    rounds : int
    level : float
        Coverage aimed at.
    """
    if rounds < FEWEST_ROUNDS:
        return result
    reach = float(student.quantile((1 + level) / 2, rounds - 1)) * np.sqrt(chance)
    return PerRound(
        result.value,
        np.minimum(result.low, result.value - reach),
        np.maximum(result.high, result.value + reach),
        np.maximum(result.variance, chance),
    )
