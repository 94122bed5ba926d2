"""From one stroke to the whole hole: putts to hole out, chained over the leaves of misses."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT
from sgputt.stroke.model import Array, Stroke, make_share, miss_positions

SHORTEST_FT = 0.5
LONGEST_FT = 100.0
GRID_FT: Array = np.concatenate(
    [
        np.arange(SHORTEST_FT, 20.0, 0.5),
        np.arange(20.0, 40.0, 1.0),
        np.arange(40.0, LONGEST_FT + 1, 2.0),
    ]
)
SLOPE_SIGNS = {"uphill": 1.0, "level": 0.0, "downhill": -1.0}


@dataclass(frozen=True)
class Chain:
    """Expected putts on a grid of distances.

    Attributes
    ----------
    distance_ft : ndarray, shape (n,)
    one_putt, expected_putts, three_putt : ndarray, shape (n,)
        Share holed in one, mean putts to hole out, share that takes three or more.
    leave_spread : ndarray, shape (n,)
        After a miss, the standard deviation in putts of what the leave is worth.
    """

    distance_ft: Array
    one_putt: Array
    expected_putts: Array
    three_putt: Array
    leave_spread: Array


def chain(stroke: Stroke, one_putt: Array | None = None) -> Chain:
    """Expected putts from every grid distance, on the level.

    Solves ``E = 1 + (1 - P) W E`` with ``W`` of :func:`leave_operator`.

    Parameters
    ----------
    stroke : Stroke
        Gives the leaves, and the make shares unless ``one_putt`` is given.
    one_putt : ndarray, shape (n,), optional
        Measured make shares on :data:`GRID_FT` to use instead of the model's.
    """
    holed = make_share(stroke, GRID_FT) if one_putt is None else one_putt
    return _solve(holed, leave_operator(stroke))


@lru_cache(maxsize=64)
def slope_chain(
    stroke: Stroke, grade: float = USUAL_GRADE, stimp_ft: float = USUAL_STIMP_FT
) -> dict[str, Chain]:
    """Expected putts on a slope, uphill, level and downhill.

    A ball short of the hole is putted next along the same slope, one past it along the opposite.
    Made of :func:`sgputt.stroke.model.sloped_pace`: a model, not a measured fact.

    Parameters
    ----------
    stroke : Stroke
        Spreads on the level.
    grade : float
        Rise over run of the uphill putts.
    stimp_ft : float
        Green speed, feet.
    """
    strokes = [stroke.on_slope(sign * grade, stimp_ft) for sign in SLOPE_SIGNS.values()]
    holed = np.concatenate([make_share(each, GRID_FT) for each in strokes])
    size = len(GRID_FT)
    operator = np.zeros((3 * size, 3 * size))
    for at, each in enumerate(strokes):
        rows = slice(at * size, (at + 1) * size)
        short, past = _leaves_by_side(each)
        operator[rows, rows] += short
        back = 2 - at
        operator[rows, back * size : (back + 1) * size] += past
    whole = _solve(holed, operator)
    return {name: _part(whole, at) for at, name in enumerate(SLOPE_SIGNS)}


def leave_operator(stroke: Stroke) -> Array:
    """Matrix that turns values on the grid into their mean after a miss.

    Row i holds the probabilities with which a miss from ``GRID_FT[i]`` leaves each grid distance,
    a leave between two grid points shared linearly between them; leaves outside the grid count at
    its ends. Rows sum to 1.
    """
    short, past = _leaves_by_side(stroke)
    return short + past


def _leaves_by_side(stroke: Stroke) -> tuple[Array, Array]:
    """The operator in two parts: leaves short of the hole, and past it."""
    past, across, weight = miss_positions(stroke, GRID_FT)
    inside = np.clip(np.hypot(past, across), SHORTEST_FT, LONGEST_FT)
    right = np.clip(np.searchsorted(GRID_FT, inside), 1, len(GRID_FT) - 1)
    share = (inside - GRID_FT[right - 1]) / (GRID_FT[right] - GRID_FT[right - 1])
    size = len(GRID_FT)
    cell = (np.arange(size)[:, None] * size + (past > 0) * size * size + right).ravel()
    beyond = weight * share
    counts = np.bincount(cell, beyond.ravel(), 2 * size * size)
    counts += np.bincount(cell - 1, (weight - beyond).ravel(), len(counts))
    operators = np.asarray(counts.reshape(2, size, size), dtype=np.float64)
    return operators[0], operators[1]


def _solve(holed: Array, leaves: Array) -> Chain:
    missed = 1 - holed
    system = np.eye(len(holed)) - missed[:, None] * leaves
    expected = np.asarray(np.linalg.solve(system, np.ones(len(holed))), dtype=np.float64)
    three_putt = missed * (leaves @ missed)
    variance = np.maximum(leaves @ expected**2 - (leaves @ expected) ** 2, 0.0)
    spread = np.asarray(np.sqrt(variance), dtype=np.float64)
    return Chain(GRID_FT, holed, expected, three_putt, spread)


def _part(whole: Chain, at: int) -> Chain:
    rows = slice(at * len(GRID_FT), (at + 1) * len(GRID_FT))
    return Chain(
        GRID_FT,
        whole.one_putt[rows],
        whole.expected_putts[rows],
        whole.three_putt[rows],
        whole.leave_spread[rows],
    )
