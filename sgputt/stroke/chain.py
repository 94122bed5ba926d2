"""From one stroke to the whole hole: putts to hole out, chained over the leaves of misses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sgputt.stroke.model import Array, Stroke, make_share, miss_leaves

SHORTEST_FT = 0.5
LONGEST_FT = 100.0
GRID_FT: Array = np.concatenate(
    [
        np.arange(SHORTEST_FT, 20.0, 0.5),
        np.arange(20.0, 40.0, 1.0),
        np.arange(40.0, LONGEST_FT + 1, 2.0),
    ]
)


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


def leave_operator(stroke: Stroke, distance_ft: Array = GRID_FT) -> Array:
    """Matrix that turns values on the grid into their mean after a miss.

    Row i holds the probabilities with which a miss from ``distance_ft[i]`` leaves each grid
    distance, a leave between two grid points shared linearly between them; leaves outside the
    grid count at its ends. Rows sum to 1.
    """
    leave, weight = miss_leaves(stroke, distance_ft)
    inside = np.clip(leave, distance_ft[0], distance_ft[-1])
    right = np.clip(np.searchsorted(distance_ft, inside), 1, len(distance_ft) - 1)
    step = distance_ft[right] - distance_ft[right - 1]
    share = (inside - distance_ft[right - 1]) / step
    operator = np.zeros((len(distance_ft), len(distance_ft)))
    rows = np.broadcast_to(np.arange(len(distance_ft))[:, None], leave.shape)
    np.add.at(operator, (rows, right), weight * share)
    np.add.at(operator, (rows, right - 1), weight * (1 - share))
    return operator


def chain(stroke: Stroke, one_putt: Array | None = None) -> Chain:
    """Expected putts from every grid distance.

    Solves ``E = 1 + (1 - P) W E`` with ``W`` of :func:`leave_operator`.

    Parameters
    ----------
    stroke : Stroke
        Gives the leaves, and the make shares unless ``one_putt`` is given.
    one_putt : ndarray, shape (n,), optional
        Measured make shares on :data:`GRID_FT` to use instead of the model's.
    """
    holed = make_share(stroke, GRID_FT) if one_putt is None else one_putt
    leaves = leave_operator(stroke)
    missed = 1 - holed
    identity = np.eye(len(GRID_FT))
    system = identity - missed[:, None] * leaves
    expected = np.asarray(np.linalg.solve(system, np.ones(len(GRID_FT))), dtype=np.float64)
    three_putt = missed * (leaves @ missed)
    variance = np.maximum(leaves @ expected**2 - (leaves @ expected) ** 2, 0.0)
    spread = np.asarray(np.sqrt(variance), dtype=np.float64)
    return Chain(GRID_FT, holed, expected, three_putt, spread)
