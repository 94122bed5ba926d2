"""A baseline fitted to stored putts, shrunk toward its parent where they are few."""

from __future__ import annotations

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.stroke.chain import Chain, chain
from sgputt.stroke.fit import Prior, fit_stroke
from sgputt.stroke.model import TOUR, Array, Stroke

# How far a player's spreads are taken to lie from the parent's before any putt is seen, as a share
# of them: a 90-shooter's line spread is about half as large again as the tour's. An assumption.
PRIOR_SHARE = 0.4


def own_baseline(
    name: str, title: str, putts: pl.DataFrame, parent: Baseline, parent_stroke: Stroke = TOUR
) -> Baseline:
    """Fit a baseline to putts.

    The stroke model's spreads are fitted with a prior at the parent's; the parent's odds of a miss
    and putts after a miss are then scaled by the model's ratio of the two strokes. No putts give
    back the parent.

    Parameters
    ----------
    name, title : str
        What it is called.
    putts : polars.DataFrame
        The putts table of the player or players.
    parent : Baseline
        On the grid of :mod:`sgputt.stroke.chain`.
    parent_stroke : Stroke
        Spreads of the parent's players.
    """
    # The parent is over all slopes together, so the fit must be too.
    level = putts.with_columns(pl.lit("unknown", dtype=putts.schema["slope"]).alias("slope"))
    fit = fit_stroke(level, parent_stroke.form, prior=Prior(parent_stroke, PRIOR_SHARE))
    here, there = chain(fit.stroke), chain(parent_stroke)
    one_putt = _scaled_misses(parent, here.one_putt, there.one_putt)
    after_miss = _after_miss(parent) * _ratio(_beyond(here), _beyond(there))
    three = _ratio(here.three_putt, there.three_putt)
    spread = _ratio(here.leave_spread, there.leave_spread)
    table = parent.table.with_columns(
        pl.Series("one_putt", one_putt),
        pl.Series("expected_putts", 1 + (1 - one_putt) * np.maximum(after_miss, 1.0)),
        pl.Series("three_putt", _column(parent, "three_putt") * three),
        pl.Series("leave_spread", _column(parent, "leave_spread") * spread),
    )
    rounds = putts.select("player", "date", "round").n_unique()
    played = f"{rounds} stored round{'s' * (rounds != 1)}, {fit.putts} putts"
    return Baseline(
        name=name,
        title=title,
        source=f"{played}; a model shrunk toward '{parent.name}'",
        era=_span(putts),
        limits="the stroke model's shape; where putts are few, the parent",
        approximate=True,
        table=table,
    )


def _column(parent: Baseline, name: str) -> Array:
    return np.asarray(parent.table[name].to_numpy(), dtype=np.float64)


def _after_miss(parent: Baseline) -> Array:
    return (_column(parent, "expected_putts") - 1) / (1 - _column(parent, "one_putt"))


def _beyond(chained: Chain) -> Array:
    """Putts after a miss by the model; 1 where it never misses."""
    missed = 1 - chained.one_putt
    never = missed < np.finfo(np.float64).eps
    return np.where(never, 1.0, (chained.expected_putts - 1) / np.where(never, 1.0, missed))


def _scaled_misses(parent: Baseline, here: Array, there: Array) -> Array:
    """Make shares with the parent's odds of a miss times the ratio of the two models' odds."""
    odds = _odds(_column(parent, "one_putt")) * _ratio(_odds(here), _odds(there))
    return np.asarray(1 / (1 + odds), dtype=np.float64)


def _odds(made: Array) -> Array:
    return (1 - made) / np.maximum(made, np.finfo(np.float64).tiny)


def _ratio(here: Array, there: Array) -> Array:
    least = np.finfo(np.float64).eps
    return (here + least) / (there + least)


def _span(putts: pl.DataFrame) -> str:
    years = sorted(set(putts["date"].dt.year().to_list()))
    return "" if not years else f"{years[0]}-{years[-1]}" if len(years) > 1 else str(years[0])
