"""The two-spread model as published, for checks against its published figures only.

A. Gelman, "Model building and expansion for golf putting", Stan case study (24 Sep 2019), seen: a
ball starts within N(0, line) of the line, would roll N(x + 1, ((x + 1) pace)^2) ft, drops if the
line is good and x <= roll <= x + 3.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from sgputt.physics.roll import Array
from sgputt.reference import read_values

VALUES = read_values("stroke_model")
ROOM_FT = VALUES["hole_radius_ft"] - VALUES["ball_radius_ft"]
LINE_RAD, PACE = float(np.radians(VALUES["s_line_deg"])), VALUES["s_pace"]


def line_angle(distance_ft: Array) -> Array:
    """Largest start-line error in radians that still finds the hole."""
    return np.arcsin(np.minimum(ROOM_FT / distance_ft, 1.0))


def make_share(distance_ft: Array, line_rad: float = LINE_RAD, pace: float = PACE) -> Array:
    """Share holed, by distance in feet."""
    past, window = VALUES["overshoot_ft"], VALUES["capture_window_ft"]
    spread = (distance_ft + past) * pace
    on_pace = ndtr((window - past) / spread) - ndtr(-past / spread)
    return np.asarray((2 * ndtr(line_angle(distance_ft) / line_rad) - 1) * on_pace)
