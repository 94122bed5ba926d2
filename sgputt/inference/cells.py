"""Where strokes go: gains a round by distance band, slope and component, raw and shrunk.

A cell is one band, one slope and one component (holing or leave); slope ``any`` is the whole
band, putts of unknown slope included. Every figure is strokes gained a round of 18 holes.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import polars as pl
from scipy.special import ndtri

from sgputt.gained.sums import SUMS
from sgputt.inference.intervals import (
    HOLES_IN_A_ROUND,
    LEVEL,
    PerRound,
    per_round,
    t_below,
    t_quantile,
    widen,
)
from sgputt.inference.shrinkage import Posterior, posterior
from sgputt.physics.roll import Array
from sgputt.putts.bands import LABELS
from sgputt.putts.table import ROUND_KEY, SLOPES

COMPONENTS = ("holing", "leave")
ANY = "any"
SURE = 0.95
_MOST_ROUNDS_TO_TELL = 1000
# Putts a miss leaves are taken to spread by at least this: the baseline's own spread is too small
# inside 15 ft, and one long leave is no proof of anything. An assumption, not published.
_LEAST_LEAVE_SPREAD = 0.10
# Fewer putts than this tell nothing, whatever they did.
FEWEST_PUTTS = 10

CELLS_SCHEMA: dict[str, pl.DataType] = {
    "distance": pl.Enum(LABELS),
    "slope": pl.Enum((ANY, *SLOPES)),
    "component": pl.Enum(COMPONENTS),
    "putts": pl.Int64(),
    "per_round": pl.Float64(),
    "low": pl.Float64(),
    "high": pl.Float64(),
    "shrunk_per_round": pl.Float64(),
    "shrunk_low": pl.Float64(),
    "shrunk_high": pl.Float64(),
    "chance_of_loss": pl.Float64(),
    "rounds_to_tell": pl.Int64(),
}


@dataclass(frozen=True)
class RoundMatrix:
    """Per-round sums as arrays: rounds along the first axis, bands and slopes along the next two.

    Attributes
    ----------
    sums : dict of ndarray, shape (rounds, 8 bands, 4 slopes)
        One array for each name of :data:`sgputt.gained.sums.SUMS`.
    holes : ndarray, shape (rounds,)
    """

    sums: dict[str, Array]
    holes: Array

    def total(self, name: str) -> Array:
        """Sum over rounds, shape (8 bands, 4 slopes)."""
        return np.asarray(self.sums[name].sum(axis=0), dtype=np.float64)


def round_matrix(sums: pl.DataFrame, holes: pl.DataFrame) -> RoundMatrix:
    """Arrange the table of sums by round.

    Parameters
    ----------
    sums : polars.DataFrame
        From :func:`sgputt.gained.sums.round_sums`.
    holes : polars.DataFrame
        The round key and ``holes``, the holes played in each round; decides which rounds there
        are, so a round of chip-ins counts.
    """
    rounds = holes.sort(ROUND_KEY).select(*ROUND_KEY, "holes").with_row_index("at")
    placed = sums.join(rounds, on=ROUND_KEY, maintain_order="left")
    at = tuple(
        column.to_numpy()
        for column in (
            placed["at"],
            placed["band"].to_physical(),
            placed["slope"].to_physical(),
        )
    )
    arrays = {}
    for name in SUMS:
        arrays[name] = np.zeros((len(rounds), len(LABELS), len(SLOPES)))
        arrays[name][at] = placed[name].to_numpy()
    return RoundMatrix(arrays, rounds["holes"].to_numpy().astype(np.float64))


def cell_table(matrix: RoundMatrix, level: float = LEVEL) -> pl.DataFrame:
    """Strokes gained a round of every cell, with intervals, shrunk values and chances.

    Returns
    -------
    polars.DataFrame
        Columns of :data:`CELLS_SCHEMA`, one row a cell with at least one putt. Positive is good.
        ``low, high`` is the resampling interval of ``per_round`` (null with one round);
        ``shrunk_low, shrunk_high`` the posterior interval of ``shrunk_per_round``;
        ``chance_of_loss`` the posterior probability of a true loss; ``rounds_to_tell`` the rounds
        after which there would be ten putts and a true value as large as the shrunk one would
        be told from none 19 times in 20, null when that is over a thousand. A leave cell with no
        known leave is absent.
    """
    tables = [_component_cells(matrix, component, level) for component in COMPONENTS]
    return pl.concat(tables).sort("distance", "slope", "component")


def chance_variance(matrix: RoundMatrix, component: str) -> Array:
    """Variance a round of 18 holes that the baseline itself would show, shape (bands, slopes)."""
    a_round = (HOLES_IN_A_ROUND / float(matrix.holes.sum())) ** 2
    return matrix.total(f"{component}_variance") * a_round


def _component_cells(matrix: RoundMatrix, component: str, level: float) -> pl.DataFrame:
    factor = _scale_up(matrix, component)
    seen = (matrix.total("putts") > 0) & np.isfinite(factor)
    factor = np.where(seen, factor, 0.0)
    values = matrix.sums[component] * factor
    chance = chance_variance(matrix, component) * factor
    raw = _raw(values, chance, matrix.holes, level)
    noise = np.where(seen, np.fmax(raw.variance, _least_noise(matrix, component)), 0.0)
    belief = posterior(raw.value, noise, matrix.total(f"{component}_scale"), seen)
    putts = np.where(seen, matrix.total("putts"), 0)
    whole = [array.sum(axis=-1, keepdims=True) for array in (values, chance, putts, noise)]
    whole_raw = _raw(whole[0], whole[1], matrix.holes, level)
    slopes = np.arange(1, len(SLOPES) + 1)
    table = pl.concat(
        [
            _frame(slopes, putts, raw, belief.by_slope(), noise),
            _frame(np.array([0]), whole[2], whole_raw, belief.by_band(), whole[3]),
        ]
    )
    return _judge(table.filter(pl.col("putts") > 0), len(matrix.holes), level, component)


def _scale_up(matrix: RoundMatrix, component: str) -> Array:
    """Factor from the sum over known leaves to all; infinite or NaN where none is known."""
    if component == "holing":
        return np.ones((len(LABELS), len(SLOPES)))
    misses, known = matrix.total("misses"), matrix.total("leaves_known")
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(misses == 0, 1.0, misses / known)


def _raw(values: Array, chance: Array, holes: Array, level: float) -> PerRound:
    """Per-round values of arrays shaped (rounds, bands, k), as arrays (bands, k)."""
    result = per_round(values.reshape(len(holes), -1), holes, level)
    wide = widen(result, chance.ravel(), len(holes), level)
    shape = values.shape[1:]
    return PerRound(*(getattr(wide, each.name).reshape(shape) for each in fields(PerRound)))


def _least_noise(matrix: RoundMatrix, component: str) -> Array:
    """Least variance a round that is believed of a cell."""
    variance = matrix.total(f"{component}_variance")
    if component == "leave":
        misses = matrix.total("putts") - matrix.total("expected_made")
        variance = np.maximum(variance, misses * _LEAST_LEAVE_SPREAD**2)
    return variance * (HOLES_IN_A_ROUND / float(matrix.holes.sum())) ** 2


def _frame(
    slopes: np.typing.NDArray[np.int64],
    putts: Array,
    raw: PerRound,
    belief: Posterior,
    noise: Array,
) -> pl.DataFrame:
    """Cells laid out in rows; code 0 of ``slopes`` is the whole band."""
    bands = np.repeat(np.arange(len(LABELS)), len(slopes))
    return pl.DataFrame(
        {
            "distance": np.array(LABELS)[bands],
            "slope": np.array((ANY, *SLOPES))[np.tile(slopes, len(LABELS))],
            "putts": putts.ravel(),
            "per_round": raw.value.ravel(),
            "low": raw.low.ravel(),
            "high": raw.high.ravel(),
            "shrunk_per_round": belief.mean.ravel(),
            "spread": np.sqrt(belief.variance.ravel()),
            "noise": noise.ravel(),
        }
    )


def _judge(table: pl.DataFrame, rounds: int, level: float, component: str) -> pl.DataFrame:
    shrunk, spread = table["shrunk_per_round"].to_numpy(), table["spread"].to_numpy()
    # Few putts say little of their own spread: Student's t, with a degree of freedom a putt.
    freedom = table["putts"].to_numpy()
    reach = t_quantile((1 + level) / 2, freedom) * spread
    chance = np.asarray(t_below(-shrunk / spread, freedom))
    tail = float(ndtri(SURE))
    with np.errstate(divide="ignore"):
        needed = tail**2 * table["noise"].to_numpy() * rounds / shrunk**2
    enough = FEWEST_PUTTS * rounds / table["putts"].to_numpy()
    needed = np.ceil(np.maximum(needed, enough))
    return table.with_columns(
        pl.lit(component).alias("component"),
        pl.Series("shrunk_low", shrunk - reach),
        pl.Series("shrunk_high", shrunk + reach),
        pl.Series("chance_of_loss", chance),
        pl.Series("rounds_to_tell", np.where(needed <= _MOST_ROUNDS_TO_TELL, needed, np.nan)),
        pl.col("low", "high"),
    ).select(
        pl.col(name).fill_nan(None).cast(dtype)
        if dtype in (pl.Float64(), pl.Int64()) and name != "putts"
        else pl.col(name).cast(dtype)
        for name, dtype in CELLS_SCHEMA.items()
    )
