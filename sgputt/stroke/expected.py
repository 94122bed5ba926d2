"""From one stroke to the whole hole: expected putts on the usual greens, chained over leaves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    Shares,
    StrokeModel,
    kept_places,
    make_shares,
    shares,
)
from sgputt.stroke.population import (
    MEAN_GRADE,
    between,
    on_greens_of,
    usual_weights,
    word_weights,
)

_TURNS = len(ALL_DIRECTIONS)
_SWEEPS = 3
# A season asks for the same few strokes again and again; a grid takes some 15 kB.
_STROKES_KEPT = 32


@dataclass(frozen=True)
class ExpectedGrid:
    """Putts by length and by what a card says of the putt; kept, so not to be written into.

    Attributes
    ----------
    stroke : StrokeModel
    stimp_ft : float
        Node of the green speeds.
    grade : float
        Mean grade of the greens, rise over run.
    length_ft : ndarray, shape (l,)
    by_place : ndarray, shape (l, grades, directions)
        Mean putts at every node of the kept tables.
    """

    stroke: StrokeModel
    stimp_ft: float
    grade: float
    length_ft: Array
    by_place: Array

    @cached_property
    def expected(self) -> Array:
        """Mean putts to hole out, shape (l, 4, 4): by length, slope and break.

        These as ``SLOPES`` and ``BREAKS`` run; the last of each is all of them together.
        """
        return self._by_words(self.by_place)

    @cached_property
    def one_putt(self) -> Array:
        """Share holed with one, of the shape of ``expected``."""
        places = kept_places(self.stimp_ft)
        return self._by_words(make_shares(places, self.stroke.send(places)))

    @cached_property
    def three_putt(self) -> Array:
        """Share that takes three or more, of the shape of ``expected``."""
        places = kept_places(self.stimp_ft)
        ends = shares(places, self.stroke.send(places))
        return self._by_words(_after(ends, self.stimp_ft, 1 - ends.made))

    def at(self, length_ft: Array, slope: NDArray[np.intp], bend: NDArray[np.intp]) -> Array:
        """Mean putts of putts described by length and codes of slope and break."""
        low, share = between(length_ft, LENGTHS_FT, log=True)
        first, second = self.expected[low, slope, bend], self.expected[low + 1, slope, bend]
        return np.asarray((1 - share) * first + share * second)

    def _by_words(self, each: Array) -> Array:
        weights = word_weights(self.stimp_ft) * on_greens_of(self.grade)
        shape = (len(LENGTHS_FT), len(GRADES) * _TURNS)
        return np.asarray(
            np.einsum("lsbp,lp->lsb", weights, each.reshape(shape)) / weights.sum(axis=3)
        )


@lru_cache(_STROKES_KEPT)
def expected_grid(
    stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT, grade: float = MEAN_GRADE
) -> ExpectedGrid:
    """Expected putts of a stroke on greens of one speed (a node of ``STIMPS_FT``) and mean grade.

    The next putt is played along the same plane from where the ball stopped.
    """
    places = kept_places(stimp_ft)
    ends = shares(places, stroke.send(places))
    value = 1 + (1 - ends.made)
    for _ in range(_SWEEPS):
        value = 1 + _after(ends, stimp_ft, value)
    shape = (len(LENGTHS_FT), len(GRADES), _TURNS)
    return ExpectedGrid(stroke, stimp_ft, grade, LENGTHS_FT, value.reshape(shape))


def _after(ends: Shares, stimp_ft: float, value: Array) -> Array:
    """Mean over the misses of each place of a value at the place they leave."""
    missed = ends.missed.reshape(len(ends.made), -1)
    there = (next_putts(stimp_ft) @ value).reshape(missed.shape)
    return np.asarray(np.einsum("pc,pc->p", missed, there))


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


def leave_spread(
    stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT, grade: float = MEAN_GRADE
) -> Array:
    """By length, the standard deviation in putts of what a miss leaves, over all such greens."""
    places = kept_places(stimp_ft)
    missed = shares(places, stroke.send(places)).missed.reshape(len(places.length_ft), -1)
    worth = next_putts(stimp_ft) @ expected_grid(stroke, stimp_ft).by_place.reshape(-1)
    worth = worth.reshape(missed.shape)
    by_length = (len(LENGTHS_FT), -1)
    weights = np.tile(usual_weights() * on_greens_of(grade), len(LENGTHS_FT))
    share, first, second = (
        (weights * (missed * worth**power).sum(axis=1)).reshape(by_length).sum(axis=1)
        for power in (0, 1, 2)
    )
    share = np.maximum(share, np.finfo(np.float64).tiny)
    return np.asarray(np.sqrt(np.maximum(second / share - (first / share) ** 2, 0.0)))
