"""Putts played to the end by the definition of a stroke, ball by ball: a second implementation."""

from __future__ import annotations

import numpy as np

from sgputt.physics.hole import play
from sgputt.physics.read import read_for
from sgputt.physics.roll import Array, slope_ratio
from sgputt.stroke.player import PuttingStroke, slope_shares


def putts_to_hole_out(
    stroke: PuttingStroke,
    length_ft: float,
    direction_deg: float,
    grade: float,
    stimp_ft: float,
    count: int,
    seed: int,
    past_ft: float | None = None,
) -> Array:
    """Putts of each of ``count`` balls; ``past_ft`` is the meant pace of the first."""
    rng = np.random.default_rng(seed)
    k = float(slope_ratio(grade, stimp_ft))
    length, toward = np.full(count, length_ft), np.full(count, np.radians(direction_deg))
    taken, left = np.zeros(count), np.arange(count)
    for number in range(7):
        past = stroke.past_ft(length)
        if number == 0 and past_ft is not None:
            past = np.full(len(length), past_ft)
        read = read_for(length, toward, k, np.maximum(past, 0.0))
        less = np.where(toward >= 0, stroke.less_left_to_right, stroke.less_right_to_left)
        spread = np.hypot(np.radians(stroke.direction_deg), stroke.read * read.aim)
        angle = read.aim * (1 - less) + np.radians(stroke.left_deg) + spread * draw(rng, length)
        up, down = slope_shares(grade * np.cos(toward))
        habit = stroke.long + stroke.long_uphill * up + stroke.long_downhill * down
        # Karlsen & Nilsson (2008): technique is 34 % of the variance and does not grow downhill.
        wide = np.sqrt(0.34 + 0.66 / (1 - np.cos(toward) * k) ** 2)
        roll = read.roll_ft * np.minimum(1 + past / length, 1.0)
        roll = roll * (1 + habit + stroke.pace * wide * draw(rng, length))
        done = play(length, toward, angle, roll, k, stimp_ft)
        taken[left] += 1
        on = ~done.holed
        turn = np.arctan2(-done.left_ft[on], -done.past_ft[on])
        toward = np.mod(toward[on] + turn + np.pi, 2 * np.pi) - np.pi
        length = np.clip(np.hypot(done.past_ft[on], done.left_ft[on]), 0.1, 100.0)
        left = left[on]
        if len(left) == 0:
            break
    return taken


def draw(rng: np.random.Generator, like: Array) -> Array:
    return rng.normal(size=len(like))
