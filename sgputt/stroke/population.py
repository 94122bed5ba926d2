"""Greens as they are met: which grades and directions fit what a card says of a putt.

A card says uphill or downhill and which way a putt breaks, seldom the grade. So a putt is taken to
come from a stated population of greens: grades gamma about a mean of 1.8 %, all directions alike.
The mean and the form are assumptions of this project; so is how people use the words.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from sgputt.physics.read import INCHES_A_FOOT
from sgputt.physics.roll import Array
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    PAST_FT,
    kept_places,
)
from sgputt.stroke.player import SLOPE_FROM

MEAN_GRADE = 0.018
GRADE_SHAPE = 3.0
# Ways of calling a slope level (rise over run along the putt) and a break straight (inches at the
# hole, or rise over run across the putt). Assumptions; the usual ones stand where none are fitted.
STRAIGHT_TO_IN = 1.3
_LEVEL_TO = (0.003, SLOPE_FROM, 0.01, 0.016)
_STRAIGHT_TO_IN = (0.7, STRAIGHT_TO_IN, 2.5, 4.5)
_STRAIGHT_TO_GRADE = (0.0025, 0.004, 0.007, 0.011)
_WORD_POWER = 4
WRONG_WORD = 0.02
_ROUNDS_OF_CALLING = 60
_PUTTS_A_WAY = 0.5
# A written grade or break is taken to be right within these.
_GRADE_DOUBT = 0.006
# Grades of greens to 8 %, and how far each counts at the nodes of ``GRADES`` beside it; greens
# steeper than the last node go on as from the one before it.
_FINE_GRADES: Array = np.arange(0.00025, 0.08, 0.0005, dtype=np.float64)
_NEAR_GRADES: Array = np.array(
    [np.interp(_FINE_GRADES, GRADES, unit) for unit in np.eye(len(GRADES))]
)
_BEYOND = np.maximum(_FINE_GRADES - GRADES[-1], 0.0) / (GRADES[-1] - GRADES[-2])
_NEAR_GRADES[-2:] += np.outer([-1.0, 1.0], _BEYOND)
# A share of greens whose logarithm is still a number. A choice.
_LEAST_SHARE = 1e-6
_PLACES = len(GRADES) * len(ALL_DIRECTIONS)
# Directions between two places in which a break is called.
_DIRECTIONS_BETWEEN = 4


def grade_weights(mean: float = MEAN_GRADE) -> Array:
    """Share of greens about each node of ``GRADES``; none is without any.

    On greens so steep that most lie beyond the last node, going on as from the one before it would
    leave that one less than nothing.
    """
    weights = _NEAR_GRADES @ _grade_mass(mean)
    shares = weights / weights.sum()
    if shares.min() < _LEAST_SHARE:
        shares = np.maximum(shares, _LEAST_SHARE)
        shares = shares / shares.sum()
    return np.asarray(shares, dtype=np.float64)


def _grade_mass(mean: float) -> Array:
    """Greens of each of the fine grades, a gamma up to a factor that a sum takes out."""
    # scipy.stats takes longer to load than all else.
    of_shape = _FINE_GRADES ** (GRADE_SHAPE - 1)
    return np.asarray(of_shape * np.exp(-_FINE_GRADES * GRADE_SHAPE / mean))


@cache
def usual_weights() -> Array:
    """Shares of grade and direction with no word known, shape (60,); they add to 1."""
    alike = np.full(len(ALL_DIRECTIONS), 1 / len(ALL_DIRECTIONS))
    return np.asarray(np.outer(grade_weights(), alike).ravel(), dtype=np.float64)


def on_greens_of(grade: float) -> Array:
    """How much oftener than usual each place is met on greens of another mean grade, shape (60,).

    The weights of :func:`usual_weights` or :func:`word_weights` times this are those of such
    greens, up to a factor that dividing by their sum takes out.
    """
    return np.repeat(grade_weights(grade) / grade_weights(), len(ALL_DIRECTIONS))


@cache
def _chances_of_words(stimp_ft: float) -> Array:
    """Chances of the words at each place for every way of calling them.

    Breaks are called at the places themselves, unlike in :func:`_usual_word_weights`, which calls
    them between the places too. On purpose: called so here as well, habits of the break came out a
    fifth too large on steep greens.

    Returns
    -------
    ndarray, shape (ways, lengths, 4 slopes, 4 breaks, 60)
        Times the share of such greens.
    """
    places = kept_places(stimp_ft)
    shape = (len(LENGTHS_FT), _PLACES)
    downward = (places.grade * np.cos(places.direction)).reshape(shape)
    across = (places.grade * np.sin(places.direction)).reshape(shape)
    aim = places.aim[:, int(np.searchsorted(PAST_FT, 1.0))]
    inches = (INCHES_A_FOOT * places.length_ft * np.tan(aim)).reshape(shape)
    slopes = [_with_slips(-downward, level) for level in _LEVEL_TO]
    breaks = [_with_slips(inches, straight) for straight in _STRAIGHT_TO_IN]
    breaks += [_with_slips(across, straight) for straight in _STRAIGHT_TO_GRADE]
    ways = (
        np.stack([slope[:, None] * bend[None, :] for slope in slopes for bend in breaks])
        * usual_weights()
    )
    return np.asarray(np.moveaxis(ways, 3, 1), dtype=np.float64)


def word_weights(stimp_ft: float, ways: Array | None = None) -> Array:
    """Greens that fit the words of a card, at a node of the green speeds.

    Parameters
    ----------
    stimp_ft : float
        A node of ``STIMPS_FT``.
    ways : ndarray, optional
        How the player calls slopes and breaks, from :func:`ways_of_calling`; else as is usual.

    Returns
    -------
    ndarray, shape (lengths, 4 slopes, 4 breaks, 60)
        Chance of each grade and direction times that of the words there: divide by the sum over the
        last axis for the greens of a putt so described, sum over it for how often it is met. The
        words run as ``SLOPES`` and ``BREAKS`` do; ``unknown`` fits every green.
    """
    if ways is None:
        return _usual_word_weights(stimp_ft)
    return np.asarray(np.tensordot(ways, _chances_of_words(stimp_ft), 1), dtype=np.float64)


@cache
def _usual_word_weights(stimp_ft: float) -> Array:
    """As :func:`word_weights`; a place stands for all greens that are interpolated from there.

    Most putts called straight break a little, and are a little harder than those that do not; on
    steep greens few putts are level, fewer than one in six directions.
    """
    places = kept_places(stimp_ft)
    turns = len(ALL_DIRECTIONS)
    aim = places.aim[:, int(np.searchsorted(PAST_FT, 1.0))]
    count = turns * _DIRECTIONS_BETWEEN
    fine = (np.arange(count) + 0.5) * 2 * np.pi / count
    off = fine[:, None] - ALL_DIRECTIONS
    # From side to side of the fall line the aim is a wave through those of the places, and it grows
    # with the grade from none on a level green.
    wave = np.sin(turns * off / 2) / (turns * np.tan(off / 2))
    grades = np.concatenate([[0.0], GRADES])
    rise = np.array([np.interp(_FINE_GRADES, grades, unit) for unit in np.eye(len(grades))[1:]])
    by_place = aim.reshape(len(LENGTHS_FT), len(GRADES), turns)
    fine_aim = np.einsum("lgt,gG,ft->lGf", by_place, rise, wave, optimize=True)
    inches = INCHES_A_FOOT * LENGTHS_FT[:, None, None] * np.tan(fine_aim)
    breaks = _with_slips(inches, STRAIGHT_TO_IN)
    slopes = _with_slips(-np.outer(_FINE_GRADES, np.cos(fine)), SLOPE_FROM)
    near = np.maximum(1 - np.abs(np.arctan2(np.sin(off), np.cos(off))) * turns / (2 * np.pi), 0.0)
    met = _NEAR_GRADES * _grade_mass(MEAN_GRADE)
    words = np.einsum("sGf,blGf,gG,ft->lsbgt", slopes, breaks, met, near, optimize=True)
    words /= met.sum() * near.sum()
    return np.asarray(words.reshape(len(LENGTHS_FT), 4, 4, _PLACES), dtype=np.float64)


def ways_of_calling(counts: Array, stimp_ft: float) -> Array:
    """How a player calls slopes and breaks, from how often each word is written by length.

    Some call a putt straight by the inches it breaks, some by the tilt of the green across it, some
    sooner than others; which it is shows in how their words change with length. Shares of the ways
    are fitted by expectation and maximisation, with a few putts' worth of each to begin with.

    Parameters
    ----------
    counts : ndarray, shape (lengths, 3, 3)
        Putts by node of the lengths, slope and break, both written.
    stimp_ft : float
        The usual green speed, a node of ``STIMPS_FT``.

    Returns
    -------
    ndarray, shape (ways,)
        They add to 1.
    """
    chances = _chances_of_words(stimp_ft)[:, :, :3, :3].sum(axis=4)
    size = len(chances)
    ways = np.full(size, 1 / size)
    for _ in range(_ROUNDS_OF_CALLING):
        mixed = np.tensordot(ways, chances, 1)
        told = (chances * (counts / mixed)).sum(axis=(1, 2, 3)) * ways
        ways = (told + _PUTTS_A_WAY) / (told + _PUTTS_A_WAY).sum()
    return np.asarray(ways, dtype=np.float64)


def _with_slips(amount: Array, none_to: float) -> Array:
    """Chances of (more, none, less) and of no word for a slope or break, slips included.

    Returns
    -------
    ndarray, shape (4, ...)
        In the order of the words: positive, about none, negative, unknown.
    """
    much = (np.abs(amount) / none_to) ** _WORD_POWER
    some = much / (1 + much)
    more, less = np.where(amount > 0, some, 0.0), np.where(amount < 0, some, 0.0)
    words = np.stack([more, 1 - more - less, less])
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
    at = np.log(nodes) if log else nodes
    low = np.searchsorted(nodes[1:-1], inside)
    share = ((np.log(inside) if log else inside) - at[low]) / np.diff(at)[low]
    return np.asarray(low, dtype=np.intp), np.asarray(share)
