"""Intervals: Student's t, shares, whole rounds resampled, and differences of two samples."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaln, ndtr, ndtri, stdtr, stdtrit

from sgputt.physics.roll import Array


def t_quantile(chance: ArrayLike, freedom: ArrayLike) -> Array:
    """Value that t stays under with that chance."""
    return np.asarray(stdtrit(np.asarray(freedom), np.asarray(chance)), dtype=np.float64)


def t_below(value: ArrayLike, freedom: ArrayLike) -> Array:
    """Chance that t stays under a value."""
    return np.asarray(stdtr(np.asarray(freedom), np.asarray(value)), dtype=np.float64)


def t_density(value: ArrayLike, freedom: ArrayLike) -> Array:
    """Density of t at a value."""
    nu = np.asarray(freedom, dtype=np.float64)
    scale = gammaln((nu + 1) / 2) - gammaln(nu / 2) - np.log(nu * np.pi) / 2
    return np.asarray(np.exp(scale - (nu + 1) / 2 * np.log1p(np.square(value) / nu)))


LEVEL = 0.90


def wilson_interval(successes: int, tries: int, level: float = LEVEL) -> tuple[float, float]:
    """Wilson's score interval for a share.

    Source: Wilson (1927); checked on Newcombe, R. G. (1998) *Statist. Med.* 17, 857-872.

    Parameters
    ----------
    successes, tries : int
        0 <= successes <= tries.
    level : float
        Coverage aimed at.

    Returns
    -------
    low, high : float
        0 and 1 when there were no tries.
    """
    if tries == 0:
        return 0.0, 1.0
    z = float(ndtri((1 + level) / 2))
    share = successes / tries
    centre = (share + z**2 / (2 * tries)) / (1 + z**2 / tries)
    spread = share * (1 - share) / tries + z**2 / (4 * tries**2)
    half = z * float(np.sqrt(spread)) / (1 + z**2 / tries)
    low = 0.0 if successes == 0 else centre - half
    high = 1.0 if successes == tries else centre + half
    return low, high


RESAMPLES = 2000
SEED = 20260101
HOLES_IN_A_ROUND = 18
ROUNDS_FOR_AN_INTERVAL = 2


def known_or_null(value: float) -> float | None:
    """A figure as results hold it: NaN, which is not known, as None."""
    return None if np.isnan(value) else float(value)


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
    if rounds < ROUNDS_FOR_AN_INTERVAL:
        unknown = np.full_like(value, np.nan)
        return PerRound(value, unknown, unknown, unknown)
    counts = _draws(rounds, seed, resamples)
    drawn = HOLES_IN_A_ROUND * (counts @ sums) / (counts @ holes)[:, None]
    tail = float(ndtr(np.sqrt(rounds / (rounds - 1)) * t_quantile((1 - level) / 2, rounds - 1)))
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
    if rounds < ROUNDS_FOR_AN_INTERVAL:
        return result
    reach = float(t_quantile((1 + level) / 2, rounds - 1)) * np.sqrt(chance)
    return PerRound(
        result.value,
        np.minimum(result.low, result.value - reach),
        np.maximum(result.high, result.value + reach),
        np.maximum(result.variance, chance),
    )


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
    if min(len(first.holes), len(second.holes)) < ROUNDS_FOR_AN_INTERVAL:
        unknown = np.full_like(value, np.nan)
        return Difference(value, unknown, unknown, unknown, unknown, unknown)
    draws = [_drawn(each, [seed, at], resamples) for at, each in enumerate((first, second))]
    variances = [
        np.fmax(draw.var(axis=0), each.chance)
        for draw, each in zip(draws, (first, second), strict=True)
    ]
    rounds = (len(first.holes), len(second.holes))
    freedom = welch_freedom(variances[0], variances[1], *rounds)
    beyond = t_quantile((1 - level) / 2, freedom)
    low, high = _percentiles(value + draws[1] - draws[0], np.asarray(ndtr(beyond)))
    reach = -beyond * np.sqrt(first.chance + second.chance)
    spread = np.sqrt(np.fmax(variances[0] + variances[1], np.finfo(np.float64).tiny))
    return Difference(
        value,
        np.minimum(low, value - reach),
        np.maximum(high, value + reach),
        np.asarray(t_below(value / spread, freedom)),
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
    reach = t_quantile((1 + level) / 2, freedom) * np.sqrt(ahead[0] + ahead[1])
    enough = np.flatnonzero(reach < abs(float(found.value[at])))
    return int(more[enough[0]]) if len(enough) else None
