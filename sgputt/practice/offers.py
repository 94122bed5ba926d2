"""Set-ups that fit the player: a gate's width, a circle's size, a streak that can be finished."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import tan

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtri

from sgputt.practice.drills import SIXTEENTHS, Scoring, inches, listed
from sgputt.practice.streak import expected_balls
from sgputt.practice.success import START_LINE_SHARE, station_chances
from sgputt.stroke.model import BALL_RADIUS_FT, Stroke

# Share of balls that the stroke aimed at should pass through a gate, or stop in a circle or strip.
WANTED_SHARE = 0.8
INCHES_IN_A_FOOT = 12
_WIDTHS_IN = (1.8, 24.0)
_SIZES_FT = (0.5, 20.0)
_STEP_FT = 0.5
_FINE_BELOW_FT = 10.0
# Tees more than a third nearer would train other putts.
_NEARER = tuple(1 - 0.05 * step for step in range(1, 7))
_WIDER_AT_MOST = 2.0


@dataclass(frozen=True)
class SetUp:
    """A scoring to play by, and how the set-up differs from the written one, in words."""

    scoring: Scoring
    words: str = ""


def gate_width_in(target: Stroke, gate_ft: float, share: float = WANTED_SHARE) -> float:
    """Width of a gate, inches between its edges, that a share of balls passes.

    The inverse of a normal start direction of :data:`sgputt.practice.success.START_LINE_SHARE` of
    the line spread; to a sixteenth of an inch. A model, not a measured figure.

    Parameters
    ----------
    target : Stroke
    gate_ft : float
        From the ball to the gate.
    share : float
        Share of the balls that pass.
    """
    angle = float(ndtri((1 + share) / 2)) * target.line_rad * START_LINE_SHARE
    width_in = 2 * (gate_ft * tan(angle) + BALL_RADIUS_FT) * INCHES_IN_A_FOOT
    return round(float(np.clip(width_in, *_WIDTHS_IN)) * SIXTEENTHS) / SIXTEENTHS


def gate_for(scoring: Scoring, target: Stroke) -> SetUp:
    """The gate through which the stroke aimed at sends 8 balls of 10."""
    width = gate_width_in(target, float(scoring.gate_ft or 1.0))
    words = f"Set the gate {inches(width)} wide, not {scoring.width_in:g}: "
    words += "the stroke to aim at sends 8 balls of 10 through."
    fitted = replace(scoring, width_in=width)
    return SetUp(fitted, "" if width == scoring.width_in else words)


def size_for(scoring: Scoring, target: Stroke, share: float = WANTED_SHARE) -> float | None:
    """Radius of a circle, or depth of a strip, in which a share of balls stops.

    Parameters
    ----------
    scoring : Scoring
        A count of balls.
    target : Stroke
    share : float

    Returns
    -------
    float or None
        Feet, to half a foot; None when nothing is scored that has a size, or none up to 20 ft does.
    """
    key = {"circle": "radius_ft", "past-window": "window_ft"}.get(scoring.target)
    if key is None:
        return None

    def surplus(size_ft: float) -> float:
        sized = _resized(scoring, size_ft)
        return float(station_chances(sized, target).mean()) - share

    if surplus(_SIZES_FT[0]) >= 0 or surplus(_SIZES_FT[1]) <= 0:
        return None
    size = float(brentq(surplus, *_SIZES_FT, xtol=0.05))
    return max(round(size / _STEP_FT) * _STEP_FT, _STEP_FT)


def _resized(scoring: Scoring, size_ft: float) -> Scoring:
    if scoring.target == "circle":
        return replace(scoring, radius_ft=size_ft)
    return replace(scoring, window_ft=size_ft)


def streak_for(scoring: Scoring, own: Stroke) -> SetUp:
    """A restart-on-miss set that this stroke gets through in the balls of a set, on average.

    When the written one takes more balls than its limit, the smallest change that brings the mean
    under the limit, as a share of what is changed: a wider circle, nearer tees, fewer in a row.

    Parameters
    ----------
    scoring : Scoring
        A streak; ``balls`` is its limit.
    own : Stroke
        The player's stroke as it is now.
    """
    needed = expected_balls(station_chances(scoring, own))
    if needed <= scoring.balls:
        return SetUp(scoring)
    for _, changed, words in sorted(_easier(scoring), key=lambda change: change[0]):
        if expected_balls(station_chances(changed, own)) <= scoring.balls:
            many = f"about {needed:.0f}" if needed < 1000 else "over a thousand"
            why = f"As you putt now it would take {many} balls, and a set has {scoring.balls}"
            return SetUp(changed, f"{why}: {words}.")
    return SetUp(replace(scoring, stations_ft=scoring.stations_ft[:1], slopes=scoring.slopes[:1]))


def _easier(scoring: Scoring) -> Iterator[tuple[float, Scoring, str]]:
    """Easier sets with the size of their change, 0 to 1."""
    yield from _wider(scoring)
    yield from _nearer(scoring)
    stations = len(scoring.stations_ft)
    for kept in range(stations - 1, 0, -1):
        shorter = replace(
            scoring, stations_ft=scoring.stations_ft[:kept], slopes=scoring.slopes[:kept]
        )
        words = f"go for {kept} in a row, not {stations}"
        if len(set(scoring.stations_ft)) > 1:
            words += f" (the last from {shorter.stations_ft[-1]:g} ft)"
        yield 1 - kept / stations, shorter, words


def _wider(scoring: Scoring) -> Iterator[tuple[float, Scoring, str]]:
    written = scoring.radius_ft
    if scoring.target != "circle" or written is None:
        return
    for radius in np.arange(written + _STEP_FT, written * _WIDER_AT_MOST + 0.01, _STEP_FT):
        words = f"mark the circle {radius:g} ft from the hole, not {written:g}"
        yield float(radius) / written - 1, replace(scoring, radius_ft=float(radius)), words


def _nearer(scoring: Scoring) -> Iterator[tuple[float, Scoring, str]]:
    for factor in _NEARER:
        stations = tuple(_tee(distance * factor) for distance in scoring.stations_ft)
        moved = max(1 - new / old for new, old in zip(stations, scoring.stations_ft, strict=True))
        if stations != scoring.stations_ft:
            words = f"set the tees at {listed(stations)} ft, not {listed(scoring.stations_ft)}"
            yield moved, replace(scoring, stations_ft=stations), words


def _tee(distance_ft: float) -> float:
    """A length that can be paced out: to half a foot, from 10 ft on to a foot."""
    step = _STEP_FT if distance_ft < _FINE_BELOW_FT else 1.0
    return max(round(distance_ft / step) * step, _STEP_FT)
