"""A season summed up: strokes gained with intervals, by distance, and the plain figures."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.inference.cells import COMPONENTS, cell_table, chance_variance
from sgputt.inference.intervals import (
    HOLES_IN_A_ROUND,
    LEVEL,
    known_or_null,
    per_round,
    widen,
    wilson_interval,
)
from sgputt.physics.roll import Array
from sgputt.putts.bands import LABELS
from sgputt.putts.table import HOLE_KEY, ROUND_KEY
from sgputt.season.scored import Scored, one_putt, three_putt


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

    Examples
    --------
    >>> import sgputt
    >>> from sgputt.demo import demo_season
    >>> scored = sgputt.score(demo_season(), sgputt.get_baseline())
    >>> season_summary(scored, "Mara Lindqvist", "2026").rounds
    24
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
    # Variance a round that chance alone would show; 0 for what could not be split.
    chances = {each: float(chance_variance(scored.matrix, each).sum()) for each in COMPONENTS}
    chances["strokes_gained"] = sum(chances.values())
    chance = np.array([chances.get(name, 0.0) for name in columns])
    result = widen(result, chance, len(holes), level)
    return [
        Estimate(float(value), known_or_null(low), known_or_null(high), level)
        for value, low, high in zip(result.value, result.low, result.high, strict=True)
    ]


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


@dataclass(frozen=True)
class Share:
    """A share of the holes played, with Wilson's interval, which takes holes as independent."""

    holes: int
    of: int
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class PlainFigures:
    """Plain figures of some rounds; putts are strokes from the green, per 18 holes where said.

    Attributes
    ----------
    one_putts, three_putts : Share
        Holes of one putt, and of three or more, among all holes played, chip-ins too. A
        conceded putt is a stroke; a ball picked up after one putt is no one-putt.
    putts_per_round, feet_holed_per_round : Estimate
        With resampling intervals. Feet holed is the sum of the lengths of the putts holed from
        the green.
    holed_without_length : int
        Putts holed whose length was not written: feet holed lacks them.
    first_putt_ft : float or None
        Mean length of first putts from the green; None without one.
    by_round : polars.DataFrame
        One row a round in the order played: ``date, round, course, event``, ``round_id`` where
        known, ``holes, putts, putts_per_round, one_putts, one_putt_share, one_putt_low,
        one_putt_high, three_putts, three_putt_share, three_putt_low, three_putt_high,
        feet_holed, holed_without_length, first_putt_ft``.
    """

    rounds: int
    holes: int
    putts: int
    one_putts: Share
    three_putts: Share
    putts_per_round: Estimate
    feet_holed_per_round: Estimate
    holed_without_length: int
    first_putt_ft: float | None
    by_round: pl.DataFrame

    def as_dict(self) -> dict[str, Any]:
        """Their JSON, which scripts may rely on."""
        return {
            "one_putts": asdict(self.one_putts),
            "three_putts": asdict(self.three_putts),
            "putts_per_round": asdict(self.putts_per_round),
            "feet_holed_per_round": asdict(self.feet_holed_per_round),
            "holed_without_length": self.holed_without_length,
            "first_putt_ft": self.first_putt_ft,
            "by_round": self.by_round.to_dicts(),
        }


def figures(scored: Scored, level: float = LEVEL) -> PlainFigures:
    """Count up rounds.

    Parameters
    ----------
    scored : Scored
    level : float
        Coverage aimed at by every interval.
    """
    rounds = _by_round(scored)
    holes, putts = _total(rounds, "holes"), _total(rounds, "putts")
    sums = rounds.select("putts", "feet_holed").to_numpy().astype(np.float64)
    found = per_round(sums, rounds["holes"].to_numpy().astype(np.float64), level)
    estimates = [
        Estimate(
            float(found.value[at]),
            known_or_null(found.low[at]),
            known_or_null(found.high[at]),
            level,
        )
        for at in range(2)
    ]
    first = scored.holes["first_putt_ft"].drop_nulls().to_numpy()
    return PlainFigures(
        rounds=rounds.height,
        holes=holes,
        putts=putts,
        one_putts=_share(_total(rounds, "one_putts"), holes, level),
        three_putts=_share(_total(rounds, "three_putts"), holes, level),
        putts_per_round=estimates[0],
        feet_holed_per_round=estimates[1],
        holed_without_length=_total(rounds, "holed_without_length"),
        first_putt_ft=float(first.mean()) if len(first) else None,
        by_round=_with_shares(rounds, level),
    )


def _by_round(scored: Scored) -> pl.DataFrame:
    keys = [*ROUND_KEY, "course", "event"]
    keys += ["round_id"] if "round_id" in scored.holes.columns else []
    # Sorted first: sums and means must not depend on the order of the rows given.
    return (
        scored.holes.sort(HOLE_KEY)
        .join(_holed(scored), on=HOLE_KEY, how="left", maintain_order="left")
        .group_by(keys, maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("holes"),
            pl.col("putts").sum(),
            one_putt().sum().cast(pl.Int64).alias("one_putts"),
            three_putt().sum().cast(pl.Int64).alias("three_putts"),
            pl.col("feet_holed").sum(),
            pl.col("no_length").sum().cast(pl.Int64).alias("holed_without_length"),
            pl.col("first_putt_ft").mean(),
        )
        .sort("date", "round", "player")
    )


def _holed(scored: Scored) -> pl.DataFrame:
    """Feet holed on each hole; ``no_length`` where they are not known."""
    holed = (pl.col("surface") == "green") & (pl.col("result") == "holed")
    return scored.gained.filter(holed).select(
        *HOLE_KEY,
        pl.col("distance_ft").fill_null(0.0).alias("feet_holed"),
        pl.col("distance_ft").is_null().alias("no_length"),
    )


def _with_shares(rounds: pl.DataFrame, level: float) -> pl.DataFrame:
    table = rounds.with_columns(
        (HOLES_IN_A_ROUND * pl.col("putts") / pl.col("holes")).alias("putts_per_round")
    )
    for name in ("one_putt", "three_putt"):
        pairs = table.select(f"{name}s", "holes").rows()
        shares = [_share(count, of, level) for count, of in pairs]
        table = table.with_columns(
            pl.Series(f"{name}_share", [each.value for each in shares]),
            pl.Series(f"{name}_low", [each.low for each in shares]),
            pl.Series(f"{name}_high", [each.high for each in shares]),
        )
    keys = ["date", "round", "course", "event"]
    keys += ["round_id"] if "round_id" in table.columns else []
    shares_of = [
        f"{name}{end}"
        for name in ("one_putt", "three_putt")
        for end in ("s", "_share", "_low", "_high")
    ]
    ends = ["feet_holed", "holed_without_length", "first_putt_ft"]
    return table.select(*keys, "holes", "putts", "putts_per_round", *shares_of, *ends)


def _share(count: int, of: int, level: float) -> Share:
    return Share(count, of, count / of, *wilson_interval(count, of, level))


def _total(rounds: pl.DataFrame, name: str) -> int:
    return int(rounds[name].sum())
