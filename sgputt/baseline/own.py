"""A baseline fitted to stored putts, shrunk toward its parent where they are few."""

from __future__ import annotations

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline, stroke_table
from sgputt.physics.roll import Array
from sgputt.stroke.fitting import fit_putting_stroke
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.wording import plural

# How far a player's spreads are taken to lie from the parent's before any putt is seen, as a share
# of them: a 90-shooter's line spread is about half as large again as the tour's. An assumption.
PRIOR_SHARE = 0.4


def own_baseline(
    name: str,
    title: str,
    putts: pl.DataFrame,
    parent: Baseline,
    parent_stroke: PuttingStroke = TOUR_STROKE,
) -> Baseline:
    """Fit a baseline to putts.

    The stroke is fitted, drawn to the parent's; the parent's odds of a miss and putts after a miss
    are then scaled by the model's ratio of the two strokes. No putts give back the parent.

    Parameters
    ----------
    name, title : str
        What it is called.
    putts : polars.DataFrame
        The putts table of the player or players.
    parent : Baseline
        On :data:`sgputt.baseline.curve.GRID_FT`.
    parent_stroke : PuttingStroke
        Stroke of the parent's players.
    """
    fit = fit_putting_stroke(putts, parent_stroke, any_number=True)
    here, there = stroke_table(fit.stroke, grade=fit.grade), stroke_table(parent_stroke)
    parents, own, model = (_odds(_of(each, "one_putt")) for each in (parent.table, here, there))
    one_putt = np.asarray(1 / (1 + parents * _ratio(own, model)), dtype=np.float64)
    after_miss = _after_miss(parent.table) * _ratio(_after_miss(here), _after_miss(there))
    three = _ratio(_of(here, "three_putt"), _of(there, "three_putt"))
    spread = _ratio(_of(here, "leave_spread"), _of(there, "leave_spread"))
    table = parent.table.with_columns(
        pl.Series("one_putt", one_putt),
        pl.Series("expected_putts", 1 + (1 - one_putt) * np.maximum(after_miss, 1.0)),
        pl.Series("three_putt", _of(parent.table, "three_putt") * three),
        pl.Series("leave_spread", _of(parent.table, "leave_spread") * spread),
    )
    played = f"{plural(fit.rounds, 'stored round')}, {plural(fit.putts, 'putt')}"
    years = sorted(set(putts["date"].dt.year().to_list()))
    return Baseline(
        name=name,
        title=title,
        source=f"{played}; a model shrunk toward '{parent.name}'",
        era="-".join(str(year) for year in dict.fromkeys([*years[:1], *years[-1:]])),
        limits="the stroke model's shape; where putts are few, the parent",
        approximate=True,
        table=table,
    )


def _of(table: pl.DataFrame, name: str) -> Array:
    return np.asarray(table[name].to_numpy(), dtype=np.float64)


def _after_miss(table: pl.DataFrame) -> Array:
    """Putts after a miss; 1 where there is none."""
    missed = 1 - _of(table, "one_putt")
    never = missed < np.finfo(np.float64).eps
    return np.where(never, 1.0, (_of(table, "expected_putts") - 1) / np.where(never, 1.0, missed))


def _odds(made: Array) -> Array:
    """Odds of a miss."""
    return (1 - made) / np.maximum(made, np.finfo(np.float64).tiny)


def _ratio(here: Array, there: Array) -> Array:
    least = np.finfo(np.float64).eps
    return (here + least) / (there + least)
