"""Balls it takes to succeed at every station in a row, a miss starting again at the first."""

from __future__ import annotations

import numpy as np

from sgputt.stroke.model import Array


def expected_balls(chances: Array) -> float:
    """Mean balls to succeed at every station in a row; endless where a chance is 0.

    From the chain of stations: with success chances ``p_1 .. p_k`` the mean is
    ``sum_{i=1..k} 1 / (p_i p_{i+1} ... p_k)``; for equal chances it is Feller's
    ``(1 - p^r) / (q p^r)`` (*An Introduction to Probability Theory*, vol. 1, XIII.7; from memory).

    Parameters
    ----------
    chances : ndarray, shape (k,)
        Chance of a success at each station in its order.
    """
    with np.errstate(divide="ignore"):
        return float(np.sum(1 / np.cumprod(chances[::-1])))


def finished_within(chances: Array, most: int) -> Array:
    """Probabilities of being through within 0, 1, ... ``most`` balls, exact.

    Powers of the chain's matrix: from station i to i + 1 with chance ``p_i``, else back to the
    first; the end is kept.

    Parameters
    ----------
    chances : ndarray, shape (k,)
        Chance of a success at each station in its order.
    most : int

    Returns
    -------
    ndarray, shape (most + 1,)
    """
    stations = len(chances)
    step = np.zeros((stations + 1, stations + 1))
    step[range(stations), range(1, stations + 1)] = chances
    step[:stations, 0] += 1 - chances
    step[stations, stations] = 1
    state = np.zeros(stations + 1)
    state[0] = 1
    done = np.zeros(most + 1)
    for balls in range(1, most + 1):
        state = state @ step
        done[balls] = state[stations]
    return done


def balls_for_share(chances: Array, share: float, most: int) -> int | None:
    """Fewest balls within which this share of tries is through; None if more than ``most``."""
    enough = np.flatnonzero(finished_within(chances, most) >= share)
    return int(enough[0]) if len(enough) else None
