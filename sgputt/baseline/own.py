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
    one_putt = _scaled_misses(parent, _of(here, "one_putt"), _of(there, "one_putt"))
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
    return Baseline(
        name=name,
        title=title,
        source=f"{played}; a model shrunk toward '{parent.name}'",
        era=_span(putts),
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


def _scaled_misses(parent: Baseline, here: Array, there: Array) -> Array:
    """Make shares with the parent's odds of a miss times the ratio of the two models' odds."""
    odds = _odds(_of(parent.table, "one_putt")) * _ratio(_odds(here), _odds(there))
    return np.asarray(1 / (1 + odds), dtype=np.float64)


def _odds(made: Array) -> Array:
    return (1 - made) / np.maximum(made, np.finfo(np.float64).tiny)


def _ratio(here: Array, there: Array) -> Array:
    least = np.finfo(np.float64).eps
    return (here + least) / (there + least)


def _span(putts: pl.DataFrame) -> str:
    years = sorted(set(putts["date"].dt.year().to_list()))
    return "" if not years else f"{years[0]}-{years[-1]}" if len(years) > 1 else str(years[0])
