"""From one stroke to the whole hole: expected putts on the usual greens, chained over leaves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    StrokeModel,
    kept_places,
    shares,
)
from sgputt.stroke.population import between, usual_weights, word_weights

_TURNS = len(ALL_DIRECTIONS)
_SWEEPS = 3


@dataclass(frozen=True)
class ExpectedGrid:
    """Putts by length and by what a card says of the putt.

    Attributes
    ----------
    length_ft : ndarray, shape (l,)
    expected, one_putt, three_putt : ndarray, shape (l, 4, 4)
        Mean putts to hole out, share holed with one, share that takes three or more, by length,
        slope and break as ``SLOPES`` and ``BREAKS`` run; the last of each is all of them together.
    by_place : ndarray, shape (l, grades, directions)
        Mean putts at every node of the kept tables.
    """

    length_ft: Array
    expected: Array
    one_putt: Array
    three_putt: Array
    by_place: Array

    def at(self, length_ft: Array, slope: NDArray[np.intp], bend: NDArray[np.intp]) -> Array:
        """Mean putts of putts described by length and codes of slope and break."""
        low, share = between(length_ft, LENGTHS_FT, log=True)
        first, second = self.expected[low, slope, bend], self.expected[low + 1, slope, bend]
        return np.asarray((1 - share) * first + share * second)


def expected_grid(stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT) -> ExpectedGrid:
    """Expected putts of a stroke on the usual greens of one speed (a node of ``STIMPS_FT``).

    The next putt is played along the same plane from where the ball stopped.
    """
    places = kept_places(stimp_ft)
    ends = shares(places, stroke.send(places))
    missed = ends.missed.reshape(len(ends.made), -1)
    value = 1 + (1 - ends.made)
    for _ in range(_SWEEPS):
        value = 1 + (missed.reshape(-1) * (next_putts(stimp_ft) @ value)).reshape(missed.shape).sum(
            axis=1
        )
    again = (missed.reshape(-1) * (next_putts(stimp_ft) @ (1 - ends.made))).reshape(missed.shape)
    shape = (len(LENGTHS_FT), len(GRADES) * _TURNS)
    weights = word_weights(stimp_ft)
    total = weights.sum(axis=3)

    def by_words(each: Array) -> Array:
        return np.asarray(np.einsum("lsbp,lp->lsb", weights, each.reshape(shape)) / total)

    return ExpectedGrid(
        LENGTHS_FT,
        by_words(value),
        by_words(ends.made),
        by_words(again.sum(axis=1)),
        value.reshape(len(LENGTHS_FT), len(GRADES), _TURNS),
    )


@cache
def next_putts(stimp_ft: float) -> csr_array:
    """From each cell of misses to the nodes of the putt it leaves; rows add to 1.

    Rows run as the cells of ``shares(...).missed`` do, columns as the kept places.
    """
    places = kept_places(stimp_ft)
    past, left = places.stops
    rows = np.arange(len(places.length_ft))
    grade = (rows // _TURNS) % len(GRADES)
    length, near = between(np.hypot(past, left), LENGTHS_FT, log=True)
    toward = places.direction[:, None, None, None] + np.arctan2(-left, -past)
    turn = np.mod(toward, 2 * np.pi) / (2 * np.pi) * _TURNS
    low_turn = np.floor(turn).astype(np.int64)
    round_share = turn - low_turn
    columns, weights = [], []
    for step, length_share in ((0, 1 - near), (1, near)):
        for go, turn_share in ((0, 1 - round_share), (1, round_share)):
            place = (length + step) * len(GRADES) + grade[:, None, None, None]
            columns.append((place * _TURNS + (low_turn + go) % _TURNS).astype(np.int32))
            weights.append(length_share * turn_share)
    index = np.stack(columns, axis=-1).reshape(-1)
    data = np.stack(weights, axis=-1).reshape(-1)
    count = past.size
    starts = np.arange(count + 1, dtype=np.int32) * 4
    return csr_array((data, index, starts), shape=(count, len(rows)))


def leave_spread(stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT) -> Array:
    """By length, the standard deviation in putts of what a miss leaves, over all usual greens."""
    places = kept_places(stimp_ft)
    missed = shares(places, stroke.send(places)).missed.reshape(len(places.length_ft), -1)
    worth = next_putts(stimp_ft) @ expected_grid(stroke, stimp_ft).by_place.reshape(-1)
    worth = worth.reshape(missed.shape)
    by_length = (len(LENGTHS_FT), -1)
    weights = np.tile(usual_weights(), len(LENGTHS_FT))
    share, first, second = (
        (weights * (missed * worth**power).sum(axis=1)).reshape(by_length).sum(axis=1)
        for power in (0, 1, 2)
    )
    share = np.maximum(share, np.finfo(np.float64).tiny)
    return np.asarray(np.sqrt(np.maximum(second / share - (first / share) ** 2, 0.0)))
