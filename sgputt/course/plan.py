"""What a green speed and a typical slope mean for one player's putting: a model.

All figures come from the player's stroke on a plane of that slope and speed: from straight below
the hole, from beside it, and from straight above. They are for use before or after the round, and
say nothing about the line of any putt.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl

from sgputt.course.plane import PACES_FT, Plane
from sgputt.course.putt import best_pace
from sgputt.physics.roll import USUAL_STIMP_FT, Array, steepest_grade
from sgputt.stroke.player import PuttingStroke

USUAL_GRADE = 0.025
FROM_FT: Array = np.array([3.0, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60])
CHARGE_FT = 3.0
DIE_FT = 0.25
# Where a ball meant to stop at the hole costs less than this, in putts, do not try to hole it.
LAG_COST = 0.01
# Where the ball lies, by the slope along the putt: degrees from straight above the hole.
DIRECTIONS = {"uphill": 180.0, "level": 90.0, "downhill": 0.0}
# The same in words: on a plane a putt that is level along its line runs across the slope.
SLOPES_SAID = {"uphill": "uphill", "level": "across", "downhill": "downhill"}
# An approach comes to rest anywhere in a quarter about the hole: shares of these directions, by the
# trapezium rule over the quarter. A putt straight up or down is so much easier than one a little to
# the side that 15 degrees off is needed too.
_ROUND_DEG = (0.0, 15.0, 45.0, 90.0, 135.0, 165.0, 180.0)
QUARTERS = {
    "below": (0, 0, 0, 0, 1 / 3, 1 / 2, 1 / 6),
    "beside": (0, 0, 1 / 4, 1 / 2, 1 / 4, 0, 0),
    "above": (1 / 6, 1 / 2, 1 / 3, 0, 0, 0, 0),
}


@dataclass(frozen=True)
class CoursePlan:
    """Findings for one player, green speed and grade.

    Attributes
    ----------
    stroke : PuttingStroke
        The player's.
    stimp_ft, grade : float
        Green speed in feet; rise over run of the fall line.
    approach : polars.DataFrame
        ``distance_ft``; expected putts ``uphill, level, downhill`` from straight below the hole,
        from the side and from straight above, and ``cost``, the last less the first; expected
        putts ``below, beside, above``, each the mean over a quarter about the hole, and
        ``above_cost, beside_cost``: putts that leaving the approach there costs over below.
    aims : polars.DataFrame
        ``slope, direction_deg, distance_ft, best_aim_ft, expected_putts, charge_cost, die_cost``:
        how far past the hole to aim for the fewest putts, and what it costs, in putts, to charge
        (3 ft past) or to die the ball in (0.25 ft past) instead.
    lag_from_ft : dict
        By slope, the shortest distance from which on a ball meant to stop at the hole costs less
        than 0.01 putts, so that there is no use in trying to hole it; None where there is none up
        to 60 ft.
    steepest : float
        Grade from which on a ball rolling down does not stop at this speed.
    assumption : str
    """

    stroke: PuttingStroke
    stimp_ft: float
    grade: float
    approach: pl.DataFrame
    aims: pl.DataFrame
    lag_from_ft: dict[str, float | None]
    steepest: float
    assumption: str

    @property
    def limit(self) -> str:
        """From which slope on a ball does not stop, in words."""
        return (
            f"At stimp {self.stimp_ft:.3g} ft a ball rolling down a slope of "
            f"{100 * self.steepest:.1f} % or more does not stop."
        )


def course_plan(
    stroke: PuttingStroke, stimp_ft: float = USUAL_STIMP_FT, grade: float = USUAL_GRADE
) -> CoursePlan:
    """Work out what greens of one speed and typical slope ask of a player.

    Parameters
    ----------
    stroke : PuttingStroke
    stimp_ft : float
        Green speed, 4 to 16 ft.
    grade : float
        Typical slope of a green, rise over run, 0 to 15 %.

    Raises
    ------
    SgputtError
        A speed or grade out of range.
    BallRollsOnError
        So fast and steep that a ball would not stop.
    """
    plane = Plane(stroke, grade, stimp_ft)
    length, direction = (each.ravel() for each in np.meshgrid(FROM_FT, _ROUND_DEG, indexing="ij"))
    right = plane.places(length, direction)
    meant = (CHARGE_FT, DIE_FT, 0.0)
    paces = [plane.usual_past_ft(right), *(np.full(len(length), past) for past in meant)]
    tried = np.vstack([*paces, np.broadcast_to(PACES_FT[:, None], (len(PACES_FT), len(length)))])
    putts = np.mean([each.putts for each in plane.play_both(right, tried)], axis=0)
    usual, charged, died, lagged = putts[: len(paces)]
    best, fewest = best_pace(putts[len(paces) :])
    fewest = np.min([fewest, charged, died], axis=0)
    rows = pl.DataFrame(
        {
            "direction_deg": direction,
            "distance_ft": length,
            "best_aim_ft": best,
            "expected_putts": fewest,
            "charge_cost": charged - fewest,
            "die_cost": died - fewest,
            "lag_cost": lagged - fewest,
        }
    )
    aims = pl.concat(
        rows.filter(pl.col("direction_deg") == at).select(pl.lit(slope).alias("slope"), pl.all())
        for slope, at in DIRECTIONS.items()
    )
    return CoursePlan(
        stroke,
        stimp_ft,
        grade,
        _approach(usual.reshape(len(FROM_FT), -1)),
        aims.drop("lag_cost"),
        _lag_from(aims),
        steepest_grade(stimp_ft),
        f"A model: every putt lies on a plane of {100 * grade:g} %, stimp {stimp_ft:.3g} ft, and "
        "breaks as it must; errors of read, line and pace are normal; both sides of the hole count "
        "alike.",
    )


def _approach(putts: Array) -> pl.DataFrame:
    straight = {slope: putts[:, _ROUND_DEG.index(at)] for slope, at in DIRECTIONS.items()}
    quarters = {name: putts @ np.array(share) for name, share in QUARTERS.items()}
    return pl.DataFrame(
        {
            "distance_ft": FROM_FT,
            **straight,
            "cost": straight["downhill"] - straight["uphill"],
            **quarters,
            "beside_cost": quarters["beside"] - quarters["below"],
            "above_cost": quarters["above"] - quarters["below"],
        }
    )


def _lag_from(aims: pl.DataFrame) -> dict[str, float | None]:
    found: dict[str, float | None] = {}
    for slope in DIRECTIONS:
        rows = aims.filter(pl.col("slope") == slope)
        tries = rows.filter(pl.col("lag_cost") >= LAG_COST)["distance_ft"]
        beyond = rows.filter(pl.col("distance_ft") > (tries.max() if len(tries) else 0.0))
        found[slope] = None if beyond.is_empty() else float(beyond["distance_ft"][0])
    return found
