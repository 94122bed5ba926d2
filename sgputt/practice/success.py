"""How often one ball succeeds at a drill, by the stroke model."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from scipy.special import ndtr, ndtri

from sgputt.practice.drills import Scoring
from sgputt.stroke.green import USUAL_GRADE
from sgputt.stroke.model import BALL_RADIUS_FT, Array, Stroke, line_angle, make_share

# Share of the line spread that is the stroke's own start direction: 0.39 deg (Karlsen, Smith &
# Nilsson 2008, second hand) of the 1.02 deg of line and read together (Gelman 2019).
START_LINE_SHARE = 0.39 / 1.02
_GRADES = {"uphill": USUAL_GRADE, "level": 0.0, "downhill": -USUAL_GRADE}
_QUANTILES = (np.arange(400) + 0.5) / 400
_INCHES_IN_A_FOOT = 12


def station_chances(scoring: Scoring, stroke: Stroke) -> Array:
    """Chance that one ball succeeds, one a station; a gate has one.

    Slopes are taken at the usual grade of 2.5 %. A model, not a measured figure.
    """
    if scoring.type == "gate":
        return np.array([_gate_chance(scoring, stroke)])
    bare = replace(scoring, balls=0, stations_ft=(), slopes=())
    return np.array(
        [
            _chance(bare, stroke.on_slope(_GRADES.get(slope, 0.0)), distance_ft)
            for distance_ft, slope in zip(scoring.stations_ft, scoring.slopes, strict=True)
        ]
    )


@lru_cache(maxsize=4096)
def _chance(scoring: Scoring, stroke: Stroke, distance_ft: float) -> float:
    if scoring.target == "past-window":
        window = float(scoring.window_ft or 0.0)
        spread = _spread(stroke, distance_ft + window / 2)
        return float(2 * ndtr(window / 2 / spread) - 1)
    holed = float(make_share(stroke, np.array([distance_ft]))[0])
    if scoring.target == "hole":
        return holed
    return max(holed, _circle_chance(scoring, stroke, distance_ft))


def _circle_chance(scoring: Scoring, stroke: Stroke, distance_ft: float) -> float:
    """Share of balls that would drop or stop in the circle; the player aims at its middle."""
    middle = distance_ft + scoring.beyond_ft
    roll = np.maximum(middle + _spread(stroke, middle) * ndtri(_QUANTILES), 0.0)[:, None]
    angle = stroke.line_rad * ndtri(_QUANTILES)[None, :]
    inside = np.hypot(roll * np.cos(angle) - middle, roll * np.sin(angle)) <= float(
        scoring.radius_ft or 0.0
    )
    on_pace = (roll >= distance_ft) & (roll <= distance_ft + stroke.form.window_ft)
    drops = on_pace & (np.abs(angle) < line_angle(np.array(distance_ft)))
    return float(np.mean(inside | drops))


def _spread(stroke: Stroke, aimed_ft: float) -> float:
    """Spread of the roll when the ball is meant to stop at ``aimed_ft``."""
    return float(stroke.roll_spread_ft(np.array(aimed_ft - stroke.form.overshoot_ft)))


def _gate_chance(scoring: Scoring, stroke: Stroke) -> float:
    """Share of balls that start within the gate: the ball's middle has the width less a ball."""
    width_ft = float(scoring.width_in or 0.0) / _INCHES_IN_A_FOOT
    room = max(width_ft / 2 - BALL_RADIUS_FT, 0.0)
    start_line = stroke.line_rad * START_LINE_SHARE
    return float(2 * ndtr(np.arctan(room / float(scoring.gate_ft or 1.0)) / start_line) - 1)
