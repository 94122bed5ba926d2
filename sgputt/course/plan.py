"""What a green speed and a typical slope mean for one player's putting: a model.

All figures come from the stroke model chained to the hole, on a stated grade and green speed. They
are for use before or after the round, and say nothing about the line of any putt.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from sgputt.errors import SgputtError
from sgputt.stroke.chain import GRID_FT, LONGEST_FT, SHORTEST_FT, SLOPE_SIGNS, Chain, slope_chain
from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT, roll_ratio
from sgputt.stroke.model import Array, Stroke, make_share, miss_positions

STIMP_RANGE_FT = (4.0, 16.0)
STEEPEST = 0.08
FROM_FT: Array = np.array([3.0, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60])
# Aims tried, feet past the hole; below 0 the ball is meant to stop short.
AIMS_FT: Array = np.arange(-2.0, 4.01, 0.25)
CHARGE_FT = 3.0
DIE_FT = 0.25
# A best aim of no more than this past the hole no longer tries to hole the putt.
LAG_AIM_FT = 0.5
_BACK = {"uphill": "downhill", "level": "level", "downhill": "uphill"}


@dataclass(frozen=True)
class CoursePlan:
    """Findings for one player, green speed and grade.

    Attributes
    ----------
    stroke : Stroke
        The player's spreads on the level.
    stimp_ft, grade : float
        Green speed in feet; rise over run along the putt.
    approach : polars.DataFrame
        ``distance_ft, uphill, level, downhill`` (expected putts) and ``cost``: putts that leaving
        the approach above the hole costs over leaving it below.
    aims : polars.DataFrame
        ``slope, distance_ft, best_aim_ft, expected_putts, charge_cost, die_cost``: how far past
        the hole to aim for the fewest putts, and what it costs, in putts, to charge (3 ft past)
        or to die the ball in (0.25 ft past) instead.
    lag_from_ft : dict
        By slope, the shortest distance from which the best aim no longer tries to hole the putt;
        None where there is none up to 60 ft.
    assumption : str
    """

    stroke: Stroke
    stimp_ft: float
    grade: float
    approach: pl.DataFrame
    aims: pl.DataFrame
    lag_from_ft: dict[str, float | None]
    assumption: str


def course_plan(
    stroke: Stroke, stimp_ft: float = USUAL_STIMP_FT, grade: float = USUAL_GRADE
) -> CoursePlan:
    """Work out what greens of one speed and typical slope ask of a player.

    Parameters
    ----------
    stroke : Stroke
        The player's spreads on the level.
    stimp_ft : float
        Green speed, 4 to 16 ft.
    grade : float
        Typical slope along the putt, rise over run, above 0 and up to 8 %.

    Raises
    ------
    SgputtError
        A speed or grade out of range, or so fast and steep that a ball would not stop downhill.
    """
    _check(stimp_ft, grade)
    chains = slope_chain(stroke, grade, stimp_ft)
    aims = pl.concat(
        [
            _aims(stroke.on_slope(sign * grade, stimp_ft), slope, chains)
            for slope, sign in SLOPE_SIGNS.items()
        ]
    )
    return CoursePlan(
        stroke,
        stimp_ft,
        grade,
        _approach(chains),
        aims,
        _lag_from(aims),
        _assumption(grade, stimp_ft),
    )


def _check(stimp_ft: float, grade: float) -> None:
    low, high = STIMP_RANGE_FT
    if not low <= stimp_ft <= high:
        raise SgputtError(
            f"A green speed of {stimp_ft:g} ft is out of range.",
            f"Give a stimp of {low:g} to {high:g} ft.",
        )
    if not 0 < grade <= STEEPEST:
        raise SgputtError(
            f"A grade of {grade:.1%} is out of range.",
            f"Give a typical slope above 0 and up to {100 * STEEPEST:g} (per cent).",
        )
    try:
        roll_ratio(-grade, stimp_ft)
    except ValueError as exc:
        raise SgputtError(
            f"At stimp {stimp_ft:g} ft {exc}.", "Give a flatter grade or a slower green."
        ) from exc


def _approach(chains: dict[str, Chain]) -> pl.DataFrame:
    expected = {
        slope: np.interp(FROM_FT, GRID_FT, chained.expected_putts)
        for slope, chained in chains.items()
    }
    return pl.DataFrame({"distance_ft": FROM_FT, **expected}).with_columns(
        (pl.col("downhill") - pl.col("uphill")).alias("cost")
    )


def _aims(stroke: Stroke, slope: str, chains: dict[str, Chain]) -> pl.DataFrame:
    """Best aim from each distance on one slope; ``stroke`` is the player's along it."""
    expected = np.stack([_expected(stroke, aim, slope, chains) for aim in AIMS_FT])
    best = expected.argmin(axis=0)
    fewest = expected.min(axis=0)
    return pl.DataFrame(
        {
            "slope": [slope] * len(FROM_FT),
            "distance_ft": FROM_FT,
            "best_aim_ft": AIMS_FT[best],
            "expected_putts": fewest,
            "charge_cost": _expected(stroke, CHARGE_FT, slope, chains) - fewest,
            "die_cost": _expected(stroke, DIE_FT, slope, chains) - fewest,
        }
    )


def _expected(stroke: Stroke, aim_ft: float, slope: str, chains: dict[str, Chain]) -> Array:
    """Putts to hole out when the first is meant to stop ``aim_ft`` past the hole."""
    aimed = replace(stroke, form=replace(stroke.form, overshoot_ft=float(aim_ft)))
    past, across, weight = miss_positions(aimed, FROM_FT)
    leave = np.clip(np.hypot(past, across), SHORTEST_FT, LONGEST_FT)
    after = np.where(
        past > 0,
        np.interp(leave, GRID_FT, chains[_BACK[slope]].expected_putts),
        np.interp(leave, GRID_FT, chains[slope].expected_putts),
    )
    missed = 1 - make_share(aimed, FROM_FT)
    return np.asarray(1 + missed * (weight * after).sum(axis=1), dtype=np.float64)


def _lag_from(aims: pl.DataFrame) -> dict[str, float | None]:
    found: dict[str, float | None] = {}
    for slope in SLOPE_SIGNS:
        rows = aims.filter(pl.col("slope") == slope)
        tries = rows.filter(pl.col("best_aim_ft") > LAG_AIM_FT)["distance_ft"]
        beyond = rows.filter(pl.col("distance_ft") > (tries.max() if len(tries) else 0.0))
        found[slope] = None if beyond.is_empty() else float(beyond["distance_ft"][0])
    return found


def _assumption(grade: float, stimp_ft: float) -> str:
    return (
        f"A model: every putt runs along a slope of {100 * grade:g} %, stimp {stimp_ft:g} ft; "
        "start line and pace errors are normal and independent; pace errors from reading and the "
        "green grow downhill; a ball drops while it would roll no more than 3.1 ft past. Break is "
        "left out."
    )
