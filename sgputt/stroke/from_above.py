"""One putt seen from above: the line a perfect read takes, and where a player's balls go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sgputt.physics.read import perfect_read
from sgputt.physics.roll import Array, position, slope_ratio
from sgputt.stroke.outcomes import StrokeModel
from sgputt.stroke.station import Station, make_share, places_of, sample

_STEPS = 40
_SEED = 20261
# A ball slows to nothing: the last thousandth of its phase is where it lies.
_STOPPED_PHASE = 1e-6


@dataclass(frozen=True)
class FromAbove:
    """A putt on a plane, in feet; the hole is the origin, the ball lies straight below it.

    Attributes
    ----------
    station : Station
        With ``direction_deg`` and ``grade``.
    perfect, usual : ndarray, shape (n, 2)
        The line of a perfect read at the player's meant pace, and of the player's usual ball
        (habits and all, without the spread), each to where it would stop were there no hole:
        columns to the right of the line ball to hole, and along it past the hole.
    stops : ndarray, shape (m, 2)
        Where the misses of :attr:`balls` balls stop.
    balls : int
    make : float
        Chance to hole.
    """

    station: Station
    perfect: Array
    usual: Array
    stops: Array
    balls: int
    make: float


def putt_from_above(stroke: StrokeModel, station: Station, balls: int = 200) -> FromAbove:
    """Play a putt many times; the same each time it is asked.

    Parameters
    ----------
    stroke : StrokeModel
    station : Station
        With ``direction_deg`` and ``grade``.
    balls : int
        How many to play.

    Raises
    ------
    ValueError
        A station without a direction or a grade.
    """
    if station.direction_deg is None or station.grade is None:
        raise ValueError("station: give direction_deg and grade")
    places, _ = places_of(station)
    past = stroke.past_ft(places.length_ft)
    toward = np.radians(station.direction_deg)
    read = perfect_read(station.length_ft, toward, station.grade, station.stimp_ft, past)
    sent = stroke.send(places)
    k = float(slope_ratio(station.grade, station.stimp_ft))
    ends = sample(stroke, station, balls, np.random.default_rng(_SEED))
    missed = ~ends.holed
    return FromAbove(
        station=station,
        perfect=_path(station.length_ft, toward, float(read.aim[0]), float(read.roll_ft[0]), k),
        usual=_path(station.length_ft, toward, float(sent.angle[0]), float(sent.roll_ft[0]), k),
        stops=np.column_stack([-ends.left_ft[missed], ends.past_ft[missed]]),
        balls=balls,
        make=make_share(stroke, station),
    )


def _path(length_ft: float, toward: float, aim: float, roll_ft: float, k: float) -> Array:
    """Line of a ball from where it lies to where it stops, in the frame of the putt."""
    # Even steps of speed: the phase is about the square of it.
    phase = np.linspace(1.0, np.sqrt(_STOPPED_PHASE), _STEPS) ** 2
    down, across = position(toward + aim, phase, k)
    along = roll_ft * (down * np.cos(toward) + across * np.sin(toward))
    left = roll_ft * (across * np.cos(toward) - down * np.sin(toward))
    return np.column_stack([-left, along - length_ft])
