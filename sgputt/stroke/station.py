"""A putt to be judged, described by words or by its geometry, and what a stroke makes of it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from sgputt.errors import SgputtError
from sgputt.physics.hole import Finish, play
from sgputt.physics.roll import USUAL_STIMP_FT, Array, check_stops
from sgputt.putts.table import BREAKS, SLOPES
from sgputt.stroke.expected import ExpectedGrid, expected_grid
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    STIMPS_FT,
    Outcomes,
    StrokeModel,
    kept_places,
    make_shares,
    outcomes_from,
    shares,
)
from sgputt.stroke.population import between, grade_fit, word_weights

_A_PLANE = len(GRADES) * len(ALL_DIRECTIONS)


@dataclass(frozen=True)
class Station:
    """One putt.

    Its green is given either by ``direction_deg`` and ``grade`` (a plane), or by words, which stand
    for all usual greens that fit them; a grade without a direction narrows these.

    Attributes
    ----------
    length_ft : float
        From ball to hole, 0.5 to 105 ft.
    slope, bend : str
        Words of the putts table's ``slope`` and ``break``.
    direction_deg : float, optional
        Of the line ball to hole from the fall line: 0 straight downhill, 180 straight uphill,
        between them it breaks left to right; below 0 right to left.
    grade : float, optional
        Rise over run of the plane.
    stimp_ft : float
        Green speed.
    past_ft : float, optional
        How far past the hole the ball is meant to stop, 0 to 4.5; else as the player usually means.
    """

    length_ft: float
    slope: str = "unknown"
    bend: str = "unknown"
    direction_deg: float | None = None
    grade: float | None = None
    stimp_ft: float = USUAL_STIMP_FT
    past_ft: float | None = None


@dataclass(frozen=True)
class Stops:
    """Where putts from a station end.

    Attributes
    ----------
    holed : float
        Chance to hole.
    past_ft, left_ft, weight : ndarray, shape (m,)
        Where misses stop, past and left of the hole as seen from the ball, with their chances; with
        ``holed`` they add to 1.
    """

    holed: float
    past_ft: Array
    left_ft: Array
    weight: Array


@lru_cache(maxsize=4096)
def places_of(station: Station) -> tuple[Outcomes, Array]:
    """The places a station stands for, with their weights, which add to 1.

    Raises
    ------
    SgputtError
        A length out of range, a word that is none, a direction without a grade, or a green on which
        a ball does not stop.
    """
    _check(station)
    if station.direction_deg is not None and station.grade is not None:
        turned = float(np.mod(station.direction_deg + 180, 360) - 180)
        direction = np.radians(turned)
        places = outcomes_from(station.length_ft, direction, station.grade, station.stimp_ft)
        return places, np.ones(1)
    slope, bend = SLOPES.index(station.slope), BREAKS.index(station.bend)
    length, near = between(station.length_ft, LENGTHS_FT, log=True)
    speed, fast = between(station.stimp_ft, STIMPS_FT)
    found, weights = [], []
    for step, length_share in ((0, 1 - near), (1, near)):
        for quick, speed_share in ((0, 1 - fast), (1, fast)):
            share = float(length_share * speed_share)
            if share < 1e-9:
                continue
            stimp = float(STIMPS_FT[int(speed) + quick])
            at = int(length) + step
            fit = word_weights(stimp)[at, slope, bend]
            if station.grade is not None:
                fit = fit * grade_fit(station.grade)
            found.append(kept_places(stimp).take(slice(at * _A_PLANE, (at + 1) * _A_PLANE)))
            weights.append(share * fit / fit.sum())
    return _joined(found), np.concatenate(weights)


def make_share(stroke: StrokeModel, station: Station) -> float:
    """Chance to hole from a station."""
    places, weights = places_of(station)
    return float(weights @ make_shares(places, stroke.send(places, _past(station, places))))


def stops(stroke: StrokeModel, station: Station) -> Stops:
    """Where putts from a station end."""
    places, weights = places_of(station)
    ends = shares(places, stroke.send(places, _past(station, places)))
    past, left = places.stops
    each = weights[:, None, None, None] * ends.missed
    return Stops(float(weights @ ends.made), past.ravel(), left.ravel(), each.ravel())


def stops_between(stroke: StrokeModel, station: Station, low_ft: float, high_ft: float) -> float:
    """Chance that a ball rolls on to between two distances past, were there no hole."""
    places, weights = places_of(station)
    past = _past(station, places)
    sent = stroke.send(places, past)
    meant = stroke.past_ft(places.length_ft) if past is None else past
    _, roll = places.read(meant)
    # What is rolled, as a share of what is meant, is the same on the level and on a slope.
    for_high, for_low = (
        roll * (places.length_ft + each) / (places.length_ft + meant) for each in (high_ft, low_ft)
    )
    high = ndtr((for_high - sent.roll_ft) / sent.roll_spread_ft)
    low = ndtr((for_low - sent.roll_ft) / sent.roll_spread_ft)
    return float(weights @ (high - low))


def gate_share(stroke: StrokeModel, half_angle_deg: float) -> float:
    """Chance to start a ball within an angle to either side of the line it is aimed along.

    Takes the start line's part of the spread and the habit left or right; nothing of the read.
    """
    left, spread = stroke.start_line()
    high = ndtr((half_angle_deg - left) / spread)
    return float(high - ndtr((-half_angle_deg - left) / spread))


def sample(stroke: StrokeModel, station: Station, count: int, rng: np.random.Generator) -> Finish:
    """Balls putted from a station, each on a green that fits it, played by the physics."""
    places, weights = places_of(station)
    rows = rng.choice(len(weights), count, p=weights / weights.sum())
    sent = stroke.send(places, _past(station, places))
    angle = sent.angle[rows] + sent.angle_spread[rows] * rng.normal(size=count)
    roll = sent.roll_ft[rows] + sent.roll_spread_ft[rows] * rng.normal(size=count)
    length = np.full(count, station.length_ft)
    return play(
        length,
        places.direction[rows],
        angle,
        roll * length / places.length_ft[rows],
        places.k[rows],
        places.stimp_ft[rows],
    )


def expected(stroke: StrokeModel, stimp_ft: float = USUAL_STIMP_FT) -> ExpectedGrid:
    """Expected putts by length, slope and break, at the nearest kept green speed."""
    return expected_grid(stroke, float(STIMPS_FT[np.abs(STIMPS_FT - stimp_ft).argmin()]))


def _past(station: Station, places: Outcomes) -> Array | None:
    if station.past_ft is None:
        return None
    return np.full(len(places.length_ft), station.past_ft)


def _check(station: Station) -> None:
    if not LENGTHS_FT[0] <= station.length_ft <= LENGTHS_FT[-1]:
        raise SgputtError(
            f"A putt of {station.length_ft:g} ft is out of range.",
            f"Give a length of {LENGTHS_FT[0]:g} to {LENGTHS_FT[-1]:g} ft.",
        )
    for word, words in ((station.slope, SLOPES), (station.bend, BREAKS)):
        if word not in words:
            raise SgputtError(f"There is no '{word}' putt.", f"Say one of: {', '.join(words)}.")
    if station.direction_deg is not None and station.grade is None:
        raise SgputtError(
            "A direction says nothing without a grade.", "Give the grade too, such as 0.02."
        )
    if station.grade is not None:
        check_stops(station.grade, station.stimp_ft)


def _joined(parts: list[Outcomes]) -> Outcomes:
    names = [each.name for each in fields(Outcomes)]
    return Outcomes(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))
