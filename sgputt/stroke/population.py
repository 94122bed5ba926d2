"""Greens as they are met: which grades and directions fit what a card says of a putt.

A card says uphill or downhill and which way a putt breaks, seldom the grade. So a putt is taken to
come from a stated population of greens: grades gamma about a mean of 1.8 %, all directions alike.
The mean and the form are assumptions of this project; so is how people use the words.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.stats import gamma

from sgputt.physics.read import INCHES_A_FOOT
from sgputt.physics.roll import Array
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    PAST_FT,
    kept_places,
)
from sgputt.stroke.player import slope_shares

MEAN_GRADE = 0.018
GRADE_SHAPE = 3.0
# People call a putt straight about up to this break, and rarely mistake left for right.
STRAIGHT_TO_IN = 1.3
_BREAK_POWER = 4
WRONG_WORD = 0.02
# A written grade or break is taken to be right within these.
_GRADE_DOUBT = 0.006
_PLACES = len(GRADES) * len(ALL_DIRECTIONS)


def grade_weights(mean: float = MEAN_GRADE) -> Array:
    """Share of greens about each node of ``GRADES``."""
    fine = np.linspace(1e-4, 0.08, 4000)
    mass = gamma.pdf(fine, GRADE_SHAPE, scale=mean / GRADE_SHAPE)
    weights = np.array([mass @ np.interp(fine, GRADES, unit) for unit in np.eye(len(GRADES))])
    return np.asarray(weights / weights.sum(), dtype=np.float64)


@cache
def usual_weights() -> Array:
    """Shares of grade and direction with no word known, shape (60,); they add to 1."""
    alike = np.full(len(ALL_DIRECTIONS), 1 / len(ALL_DIRECTIONS))
    return np.asarray(np.outer(grade_weights(), alike).ravel(), dtype=np.float64)


@cache
def word_weights(stimp_ft: float) -> Array:
    """Greens that fit the words of a card, at a node of the green speeds.

    Returns
    -------
    ndarray, shape (lengths, 4 slopes, 4 breaks, 60)
        Chance of each grade and direction times that of the words there: divide by the sum over the
        last axis for the greens of a putt so described, sum over it for how often it is met. The
        words run as ``SLOPES`` and ``BREAKS`` do; ``unknown`` fits every green.
    """
    places = kept_places(stimp_ft)
    shape = (len(LENGTHS_FT), _PLACES)
    up, down = slope_shares((places.grade * np.cos(places.direction)).reshape(shape))
    slopes = _with_slips(np.stack([up, 1 - up - down, down]))
    aim = places.aim[:, int(np.searchsorted(PAST_FT, 1.0))]
    inches = (INCHES_A_FOOT * places.length_ft * np.tan(aim)).reshape(shape)
    much = (np.abs(inches) / STRAIGHT_TO_IN) ** _BREAK_POWER
    bends = much / (1 + much)
    left = np.where(inches > 0, bends, 0.0)
    right = np.where(inches < 0, bends, 0.0)
    breaks = _with_slips(np.stack([left, 1 - left - right, right]))
    both = slopes[:, None] * breaks[None, :] * usual_weights()
    return np.moveaxis(both, 2, 0)


def _with_slips(words: Array) -> Array:
    """Chances of three words and of none written, shape (4, ...), slips of the pencil included."""
    slipped = (1 - WRONG_WORD) * words + WRONG_WORD / 3
    return np.concatenate([slipped, np.ones_like(words[:1])])


def grade_fit(grade: float) -> Array:
    """How well each green fits a written grade, shape (60,)."""
    off = (GRADES - np.clip(grade, GRADES[0], GRADES[-1])) / _GRADE_DOUBT
    return np.repeat(np.exp(-(off**2) / 2), len(ALL_DIRECTIONS))


def between(
    values: float | Array, nodes: Array, log: bool = False
) -> tuple[NDArray[np.intp], Array]:
    """Node below each value and the share of the node above it; values outside are clipped."""
    inside = np.clip(np.asarray(values, dtype=np.float64), nodes[0], nodes[-1])
    scale = np.log if log else np.asarray
    right = np.clip(np.searchsorted(nodes, inside), 1, len(nodes) - 1)
    low, high = scale(nodes[right - 1]), scale(nodes[right])
    return np.asarray(right - 1, dtype=np.intp), np.asarray((scale(inside) - low) / (high - low))
