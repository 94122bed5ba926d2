"""A season: headline figures with intervals, strokes by distance, and the cells of losses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.inference.cells import COMPONENTS, cell_table, chance_variance
from sgputt.inference.resample import HOLES_IN_A_ROUND, per_round, widen
from sgputt.inference.shares import LEVEL
from sgputt.putts.bands import LABELS
from sgputt.season.scored import Scored
from sgputt.stroke.model import Array


@dataclass(frozen=True)
class Estimate:
    """A value with its resampling interval; ``low`` and ``high`` are None from one round."""

    value: float
    low: float | None
    high: float | None
    level: float = LEVEL


@dataclass(frozen=True)
class SeasonSummary:
    """A player's rounds together, each figure for a round of 18 holes.

    Attributes
    ----------
    against : Baseline
        The players compared with.
    by_distance : polars.DataFrame
        ``distance, putts, per_round, low, high``: strokes gained by band, all bands.
    cells : polars.DataFrame
        From :func:`sgputt.inference.cells.cell_table`.
    rounds_table : polars.DataFrame
        One row a round, from :attr:`sgputt.season.scored.Scored.rounds`.
    """

    player: str
    season: str
    against: Baseline
    rounds: int
    holes: int
    putts: int
    putts_per_round: float
    three_putts_per_round: float
    one_putts_per_round: float
    strokes_gained: Estimate
    holing: Estimate
    leave: Estimate
    not_split: Estimate
    by_distance: pl.DataFrame
    cells: pl.DataFrame
    rounds_table: pl.DataFrame

    @property
    def putts_counted(self) -> int:
        """Putts that strokes gained counts: from the green, of known length, not conceded."""
        return int(self.by_distance["putts"].sum())


def season_summary(scored: Scored, player: str, season: str, level: float = LEVEL) -> SeasonSummary:
    """Summarise rounds.

    Parameters
    ----------
    scored : Scored
    player, season : str
        What the summary is headed with.
    level : float
        Coverage aimed at by every interval.
    """
    rounds = scored.rounds
    holes = int(rounds["holes"].sum())
    per_18 = HOLES_IN_A_ROUND / holes
    parts = ("strokes_gained", "holing", "leave", "not_split")
    estimates = dict(zip(parts, _estimates(scored, parts, level), strict=True))
    return SeasonSummary(
        player=player,
        season=season,
        against=scored.baseline,
        rounds=len(rounds),
        holes=holes,
        putts=int(rounds["putts"].sum()),
        putts_per_round=int(rounds["putts"].sum()) * per_18,
        three_putts_per_round=int(rounds["three_putts"].sum()) * per_18,
        one_putts_per_round=int(rounds["one_putts"].sum()) * per_18,
        **estimates,
        by_distance=by_distance(scored, level),
        cells=cell_table(scored.matrix, level),
        rounds_table=rounds,
    )


def _estimates(scored: Scored, columns: tuple[str, ...], level: float) -> list[Estimate]:
    rounds = scored.rounds
    holes = rounds["holes"].to_numpy().astype(np.float64)
    result = per_round(rounds.select(columns).to_numpy(), holes, level)
    result = widen(result, _chance(scored, columns), len(holes), level)
    return [
        Estimate(float(value), _known(low), _known(high), level)
        for value, low, high in zip(result.value, result.low, result.high, strict=True)
    ]


def _chance(scored: Scored, columns: tuple[str, ...]) -> Array:
    """Variance a round that chance alone would show; 0 for what could not be split."""
    parts = {each: float(chance_variance(scored.matrix, each).sum()) for each in COMPONENTS}
    parts["strokes_gained"] = sum(parts.values())
    return np.array([parts.get(name, 0.0) for name in columns])


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def by_distance(scored: Scored, level: float = LEVEL) -> pl.DataFrame:
    """Strokes gained a round of 18 holes by distance: ``distance, putts, per_round, low, high``.

    All bands, with resampling intervals never narrower than chance; null from one round.
    """
    matrix = scored.matrix
    gained: Array = matrix.sums["strokes_gained"].sum(axis=2)
    chance = sum(chance_variance(matrix, component).sum(axis=1) for component in COMPONENTS)
    result = per_round(gained, matrix.holes, level)
    result = widen(result, np.asarray(chance), len(matrix.holes), level)
    return pl.DataFrame(
        {
            "distance": pl.Series(LABELS, dtype=pl.Enum(LABELS)),
            "putts": matrix.total("putts").sum(axis=1).astype(np.int64),
            "per_round": result.value,
            "low": result.low,
            "high": result.high,
        }
    ).with_columns(pl.col("low", "high").fill_nan(None))
