"""How a putt behaves on a slope, from above the hole round to below it: for setting up practice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np

from sgputt.course.plane import MOST_PAST_FT, PACES_FT, Plane
from sgputt.errors import SgputtError
from sgputt.physics.hole import HOLE_RADIUS_FT
from sgputt.physics.read import INCHES_A_FOOT, perfect_read
from sgputt.physics.roll import USUAL_STIMP_FT, Array
from sgputt.stroke.outcomes import StrokeModel
from sgputt.stroke.player import TOUR_STROKE

USUAL_GRADE = 0.02
HOLE_IN = 2 * HOLE_RADIUS_FT * INCHES_A_FOOT
LIES = {
    0: "straight above",
    45: "above, to the side",
    90: "to the side",
    135: "below, to the side",
    180: "straight below",
}
ASSUMPTION = (
    "A model: the green about the hole is a plane without grain, errors are normal, and the ball "
    "is meant to drop over the middle. It knows nothing of the green in front of you."
)


@dataclass(frozen=True)
class SlopedPutt:
    """One putt.

    Attributes
    ----------
    distance_ft, stimp_ft, grade : float
        Length, green speed, rise over run of the fall line.
    direction_deg : float
        Where the ball lies: 0 straight above the hole, 90 to the side, 180 straight below.
    break_in : float
        How far outside the middle of the hole to start it, at the hole, inches; the same to
        either side.
    past_ft : float
        Pace for which all this holds: how far past the hole the ball would stop.
    level_roll_ft : float
        How far the ball would roll on the level, struck as hard.
    best_past_ft : float
        Pace that takes this player the fewest putts; negative: short of the hole.
    make, expected_putts : float
        This player's chance to hole and mean putts to hole out, from either side alike.
    tour_make : float
        A tour player's chance.
    make_left_to_right, make_right_to_left : float
        This player's chance by the way the putt breaks.
    """

    distance_ft: float
    stimp_ft: float
    grade: float
    direction_deg: float
    break_in: float
    past_ft: float
    level_roll_ft: float
    best_past_ft: float
    make: float
    expected_putts: float
    tour_make: float
    make_left_to_right: float
    make_right_to_left: float

    @property
    def lies(self) -> str:
        """Where the ball lies, in words."""
        return LIES[int(self.direction_deg)]

    @property
    def break_cups(self) -> float:
        """The break in widths of the hole, 4.25 in."""
        return self.break_in / HOLE_IN

    @property
    def longer_ft(self) -> float:
        """How much longer than on the level to hit it; negative: shorter."""
        return self.level_roll_ft - self.distance_ft - self.past_ft

    def as_dict(self) -> dict[str, float]:
        """The figures as JSON has them."""
        return {key: value for key, value in asdict(self).items() if "_to_" not in key}


def sloped_putts(
    lengths_ft: Sequence[float],
    stroke: StrokeModel = TOUR_STROKE,
    stimp_ft: float = USUAL_STIMP_FT,
    grade: float = USUAL_GRADE,
    past_ft: float | None = None,
) -> list[SlopedPutt]:
    """How putts behave from :data:`LIES` about the hole.

    Parameters
    ----------
    lengths_ft : sequence of float
        0.5 to 100 ft.
    stroke : StrokeModel
        This player's.
    stimp_ft, grade : float
        Green speed, 4 to 16 ft; rise over run, 0 to 15 %.
    past_ft : float, optional
        Meant pace, 0 to 4.5 ft past the hole; else as this player usually means it.

    Returns
    -------
    list of SlopedPutt
        One a length and direction, lengths in the order given.

    Raises
    ------
    SgputtError
        A length, speed, grade or pace out of range.
    BallRollsOnError
        A ball on such a green does not stop.
    """
    if past_ft is not None and not 0 <= past_ft <= MOST_PAST_FT:
        raise SgputtError(
            f"A pace of {past_ft:g} ft past the hole is out of range.",
            f"Give 0 to {MOST_PAST_FT:g} ft.",
        )
    plane, tour = Plane(stroke, grade, stimp_ft), Plane(TOUR_STROKE, grade, stimp_ft)
    lies = np.array(list(LIES), dtype=np.float64)
    length, direction = (each.ravel() for each in np.meshgrid(lengths_ft, lies, indexing="ij"))
    right = plane.places(length, direction)
    past = plane.usual_past_ft(right) if past_ft is None else np.full(len(length), past_ft)
    read = perfect_read(length, np.radians(direction), grade, stimp_ft, past)
    tried = np.vstack([past, np.broadcast_to(PACES_FT[:, None], (len(PACES_FT), len(past)))])
    to_right, to_left = plane.play_both(right, tried)
    putts = (to_right.putts + to_left.putts) / 2
    best, _ = best_pace(putts[1:])
    tour_past = tour.usual_past_ft(right) if past_ft is None else past
    columns = {
        "break_in": np.abs(read.break_in),
        "past_ft": past,
        "level_roll_ft": read.roll_ft,
        "best_past_ft": best,
        "make": (to_right.make[0] + to_left.make[0]) / 2,
        "expected_putts": putts[0],
        "tour_make": tour.play(right, tour_past).make,
        "make_left_to_right": to_right.make[0],
        "make_right_to_left": to_left.make[0],
    }
    return [
        SlopedPutt(
            float(length[at]),
            stimp_ft,
            grade,
            float(direction[at]),
            **{name: float(column[at]) for name, column in columns.items()},
        )
        for at in range(len(length))
    ]


def best_pace(putts: Array) -> tuple[Array, Array]:
    """Pace of the fewest putts, and how many, by a parabola through the lowest of three.

    Parameters
    ----------
    putts : ndarray, shape (paces, n)
        Mean putts at each of :data:`PACES_FT`.

    Returns
    -------
    past_ft, putts : ndarray, shape (n,)
    """
    each = np.arange(putts.shape[1])
    at = np.clip(putts.argmin(axis=0), 1, len(PACES_FT) - 2)
    before, here, after = putts[at - 1, each], putts[at, each], putts[at + 1, each]
    bend = before - 2 * here + after
    step = np.where(bend > 0, (before - after) / (2 * np.where(bend > 0, bend, 1.0)), 0.0)
    step = np.where(np.abs(step) <= 1, step, np.sign(step))
    fewest = here + step * (after - before) / 2 + step**2 * bend / 2
    past = PACES_FT[at] + step * (PACES_FT[1] - PACES_FT[0])
    return np.asarray(past), np.minimum(fewest, putts.min(axis=0))
