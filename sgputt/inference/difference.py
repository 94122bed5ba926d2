"""The difference of two sets of rounds, with an interval by resampling both."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from sgputt.inference import student
from sgputt.inference.resample import FEWEST_ROUNDS, HOLES_IN_A_ROUND, RESAMPLES, SEED
from sgputt.inference.shares import LEVEL
from sgputt.stroke.model import Array

MOST_ROUNDS = 1000


@dataclass(frozen=True)
class Sample:
    """Some rounds.

    Attributes
    ----------
    sums : ndarray, shape (rounds, k)
        Strokes of each round.
    holes : ndarray, shape (rounds,)
        Holes played in each round.
    chance : ndarray, shape (k,)
        Variance a round of 18 holes that the baseline itself would show from the same places.
    """

    sums: Array
    holes: Array
    chance: Array

    @property
    def value(self) -> Array:
        """Strokes a round of 18 holes, shape (k,)."""
        mean = HOLES_IN_A_ROUND * self.sums.sum(axis=0) / self.holes.sum()
        return np.asarray(mean, dtype=np.float64)


@dataclass(frozen=True)
class Difference:
    """Strokes a round of 18 holes, second sample less first, one value a column.

    Attributes
    ----------
    value, low, high : ndarray, shape (k,)
    chance_better : ndarray, shape (k,)
        Probability that the second truly gains more.
    first_variance, second_variance : ndarray, shape (k,)
        Variance of each sample's value.

    All but ``value`` are NaN where either sample has fewer than two rounds.
    """

    value: Array
    low: Array
    high: Array
    chance_better: Array
    first_variance: Array
    second_variance: Array


def difference(
    first: Sample,
    second: Sample,
    level: float = LEVEL,
    seed: int = SEED,
    resamples: int = RESAMPLES,
) -> Difference:
    """Difference of two samples of rounds.

    Whole rounds of each are drawn with replacement. The deviations of each are widened by
    ``sqrt(n / (n - 1))`` and the tail of the percentiles taken from Student's t, as for one sample
    (the "expanded percentile" interval of Hesterberg 2015, *Amer. Statist.* 69(4), 371-386; from
    memory), with the degrees of freedom of Welch (1947, *Biometrika* 34, 28-35). The interval is
    never narrower than chance alone would make it. ``chance_better`` is the same t distribution
    above zero: every difference is taken as equally likely beforehand.

    Parameters
    ----------
    first, second : Sample
    level : float
        Coverage aimed at.
    seed, resamples : int
        The same seed gives the same interval.
    """
    value = second.value - first.value
    if min(len(first.holes), len(second.holes)) < FEWEST_ROUNDS:
        unknown = np.full_like(value, np.nan)
        return Difference(value, unknown, unknown, unknown, unknown, unknown)
    draws = [_drawn(each, [seed, at], resamples) for at, each in enumerate((first, second))]
    variances = [
        np.fmax(draw.var(axis=0), each.chance)
        for draw, each in zip(draws, (first, second), strict=True)
    ]
    rounds = (len(first.holes), len(second.holes))
    freedom = welch_freedom(variances[0], variances[1], *rounds)
    beyond = student.quantile((1 - level) / 2, freedom)
    low, high = _percentiles(value + draws[1] - draws[0], np.asarray(ndtr(beyond)))
    reach = -beyond * np.sqrt(first.chance + second.chance)
    spread = np.sqrt(np.fmax(variances[0] + variances[1], np.finfo(np.float64).tiny))
    return Difference(
        value,
        np.minimum(low, value - reach),
        np.maximum(high, value + reach),
        np.asarray(student.below(value / spread, freedom)),
        variances[0],
        variances[1],
    )


def _drawn(sample: Sample, seed: list[int], resamples: int) -> Array:
    """Deviations of resampled values from the value, widened; shape (resamples, k)."""
    rounds = len(sample.holes)
    rng = np.random.default_rng(seed)
    counts = rng.multinomial(rounds, np.full(rounds, 1 / rounds), size=resamples)
    values = HOLES_IN_A_ROUND * (counts @ sample.sums) / (counts @ sample.holes)[:, None]
    return np.asarray((values - sample.value) * np.sqrt(rounds / (rounds - 1)), dtype=np.float64)


def _percentiles(drawn: Array, tails: Array) -> tuple[Array, Array]:
    low, high = np.empty_like(tails), np.empty_like(tails)
    for at, tail in enumerate(tails):
        low[at], high[at] = np.quantile(drawn[:, at], [tail, 1 - tail])
    return low, high


def welch_freedom(
    first: Array, second: Array, rounds_first: Array | float, rounds_second: Array | float
) -> Array:
    """Degrees of freedom of a difference (Welch 1947); those of both where nothing varies.

    Parameters
    ----------
    first, second : ndarray
        Variances of the two values.
    rounds_first, rounds_second : ndarray or float
        Rounds behind each, at least 2.
    """
    parts = first**2 / (rounds_first - 1) + second**2 / (rounds_second - 1)
    pooled = np.zeros_like(parts) + rounds_first + rounds_second - 2
    return np.divide((first + second) ** 2, parts, out=pooled, where=parts > 0)


def rounds_to_tell(
    found: Difference, rounds: tuple[int, int], both: bool, level: float = LEVEL, at: int = 0
) -> int | None:
    """More rounds after which a difference of this size would be told from luck.

    Parameters
    ----------
    found : Difference
    rounds : tuple of int
        Rounds of the first and second sample.
    both : bool
        Both go on; else only the second does, and the first stays as it is.
    level : float
        Coverage of the interval that has to leave out zero.
    at : int
        Column.

    Returns
    -------
    int or None
        At least 1; None where a thousand would not do, or the spread is unknown.
    """
    first, second = float(found.first_variance[at]), float(found.second_variance[at])
    if np.isnan(first + second):
        return None
    more = np.arange(1.0, MOST_ROUNDS + 1)
    after = [rounds[0] + more * both, rounds[1] + more]
    ahead = [first * rounds[0] / after[0], second * rounds[1] / after[1]]
    freedom = welch_freedom(ahead[0], ahead[1], after[0], after[1])
    reach = student.quantile((1 + level) / 2, freedom) * np.sqrt(ahead[0] + ahead[1])
    enough = np.flatnonzero(reach < abs(float(found.value[at])))
    return int(more[enough[0]]) if len(enough) else None
