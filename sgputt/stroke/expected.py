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
    roll_shares,
    side_shares,
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
# Of strokes with the same angles, 4 MB each.
_SIDES_KEPT = 4


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
        ends = _ends(self.stroke, self.stimp_ft)
        return self._by_words(_after(ends, self.stimp_ft, 1 - ends.made))

    def at(self, length_ft: Array, slope: NDArray[np.intp], bend: NDArray[np.intp]) -> Array:
        """Mean putts of putts described by length and codes of slope and break."""
        low, share = between(length_ft, LENGTHS_FT, log=True)
        first, second = self.expected[low, slope, bend], self.expected[low + 1, slope, bend]
        return np.asarray((1 - share) * first + share * second)

    def _by_words(self, each: Array) -> Array:
        shape = (len(LENGTHS_FT), len(GRADES) * _TURNS)
        greens = _greens(self.stimp_ft, self.grade)
        return np.asarray(np.einsum("lsbp,lp->lsb", greens, each.reshape(shape)))


def weights_by_place(weights: Array, stimp_ft: float, grade: float) -> Array:
    """Weights of words, of the shape of ``ExpectedGrid.expected``, as weights of ``by_place``."""
    found = np.einsum("lsbp,lsb->lp", _greens(stimp_ft, grade), weights)
    return np.asarray(found.reshape(len(LENGTHS_FT), len(GRADES), _TURNS))


def _greens(stimp_ft: float, grade: float) -> Array:
    """Places that fit each length and words, adding to 1, shape (l, 4, 4, grades x directions)."""
    weights = word_weights(stimp_ft) * on_greens_of(grade)
    return np.asarray(weights / weights.sum(axis=3, keepdims=True))


@lru_cache(_STROKES_KEPT)
def expected_grid(
    stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT, grade: float = MEAN_GRADE
) -> ExpectedGrid:
    """Expected putts of a stroke on greens of one speed (a node of ``STIMPS_FT``) and mean grade.

    The next putt is played along the same plane from where the ball stopped.
    """
    return ExpectedGrid(stroke, stimp_ft, grade, LENGTHS_FT, _expected_by_place(stroke, stimp_ft))


@lru_cache(_STROKES_KEPT)
def _expected_by_place(stroke: StrokeModel, stimp_ft: float) -> Array:
    ends = _ends(stroke, stimp_ft)
    value = 1 + (1 - ends.made)
    for _ in range(_SWEEPS):
        value = 1 + _after(ends, stimp_ft, value)
    return value.reshape(len(LENGTHS_FT), len(GRADES), _TURNS)


def _ends(stroke: StrokeModel, stimp_ft: float) -> Shares:
    """How putts of a stroke end at every node of the kept tables."""
    places = kept_places(stimp_ft)
    sent = stroke.send(places)
    sides = _sides(stimp_ft, sent.angle.tobytes(), sent.angle_spread.tobytes())
    return Shares(roll_shares(places, sent), *sides)


@lru_cache(_SIDES_KEPT)
def _sides(stimp_ft: float, angle: bytes, spread: bytes) -> tuple[Array, Array]:
    """Most of the work, and the same for strokes that differ in their pace alone."""
    return side_shares(kept_places(stimp_ft), np.frombuffer(angle), np.frombuffer(spread))


def _after(ends: Shares, stimp_ft: float, value: Array) -> Array:
    """Mean over the misses of each place of a value at the place they leave."""
    return ends.over_misses((next_putts(stimp_ft) @ value).reshape(ends.beside.shape))


@cache
def next_putts(stimp_ft: float) -> csr_array:
    """From each cell of misses to the nodes of the putt it leaves; rows add to 1.

    Rows run as the cells of ``Shares.missed`` do, columns as the kept places.
    """
    places = kept_places(stimp_ft)
    past, left = places.stops
    # Nodes of direction count round in equal steps from the fall line.
    turn = np.arctan2(-left, -past) * (_TURNS / (2 * np.pi))
    low_turn = np.floor(turn)
    turn -= low_turn
    rows = np.arange(len(places.length_ft), dtype=np.int32)[:, None, None, None]
    direction = low_turn.astype(np.int32) + rows % _TURNS
    length, near = between(places.leave_ft, LENGTHS_FT, log=True)
    same_grade = length.astype(np.int32) * len(GRADES) + (rows // _TURNS) % len(GRADES)
    index = np.empty((*past.shape, 4), dtype=np.int32)
    share = np.empty((*past.shape, 4))
    for go, turn_share in ((0, 1 - turn), (1, turn)):
        index[..., go] = same_grade * _TURNS + (direction + go) % _TURNS
        index[..., 2 + go] = index[..., go] + len(GRADES) * _TURNS
        share[..., 2 + go] = near * turn_share
        share[..., go] = turn_share - share[..., 2 + go]
    starts = np.arange(past.size + 1, dtype=np.int32) * 4
    return csr_array((share.ravel(), index.ravel(), starts), shape=(past.size, len(rows)))


def leave_spread(
    stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT, grade: float = MEAN_GRADE
) -> Array:
    """By length, the standard deviation in putts of what a miss leaves, over all such greens."""
    ends = _ends(stroke, stimp_ft)
    value = next_putts(stimp_ft) @ _expected_by_place(stroke, stimp_ft).reshape(-1)
    worth = value.reshape(ends.beside.shape)
    by_length = (len(LENGTHS_FT), -1)
    weights = np.tile(usual_weights() * on_greens_of(grade), len(LENGTHS_FT))
    share, first, second = (
        (weights * ends.over_misses(worth**power)).reshape(by_length).sum(axis=1)
        for power in (0, 1, 2)
    )
    share = np.maximum(share, np.finfo(np.float64).tiny)
    return np.asarray(np.sqrt(np.maximum(second / share - (first / share) ** 2, 0.0)))
