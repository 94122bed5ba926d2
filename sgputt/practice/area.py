"""The putts on the course that a drill trains, and what they gained round by round."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import polars as pl

from sgputt.gained.per_putt import after_miss
from sgputt.gained.sums import round_sums
from sgputt.inference.cells import RoundMatrix, chance_variance, round_matrix
from sgputt.inference.intervals import HOLES_IN_A_ROUND, Sample, per_round, widen
from sgputt.inference.shrinkage import LEAST_BAND_SPREAD, SLOPE_SPREAD, paule_mandel
from sgputt.practice.drills import COMPONENTS, SLOPES, Drill
from sgputt.putts.table import ROUND_KEY
from sgputt.season.scored import Scored
from sgputt.stroke.model import Array


@dataclass(frozen=True)
class Area:
    """What the putts a drill trains gained, round by round.

    Attributes
    ----------
    rounds : polars.DataFrame
        One row a round in the order played: the round key, ``holes``, ``putts`` of the area,
        ``gained`` and ``variance`` (of the baseline's own chance) in strokes, ``rest`` (what all
        other putts gained).
    share : dict of ndarray, shape (bands,)
        By component: the share of each band's chances to gain that lies in the area.
    """

    rounds: pl.DataFrame
    share: dict[str, Array]

    def sample(self, rounds: pl.DataFrame, column: str = "gained") -> Sample:
        """Some of the rounds as a sample of one column."""
        holes = rounds["holes"].to_numpy().astype(np.float64)
        total = float(holes.sum()) or 1.0
        chance = float(rounds["variance"].sum()) * (HOLES_IN_A_ROUND / total) ** 2
        chance = chance if column == "gained" else 0.0
        return Sample(rounds[column].to_numpy()[:, None], holes, np.array([chance]))


def area_of(drill: Drill, scored: Scored) -> Area | None:
    """Gather what a drill trains.

    A putt of unknown slope counts where a drill trains all three slopes. Leaves that are unknown
    are taken to be like the known ones.

    Parameters
    ----------
    drill : Drill
    scored : Scored
        Rounds of one player.

    Returns
    -------
    Area or None
        None where strokes gained say nothing: off the green, or no leave is known.
    """
    if drill.surface != "green":
        return None
    counted = scored.gained.filter("counts")
    parts, shares = [], {}
    for component in COMPONENTS:
        if any(target.component == component for target in drill.trains):
            inside = counted.filter(within(drill, component))
            part = _part(inside, component)
            if part is None:
                return None
            parts.append(part)
            shares[component] = _shares(inside, counted, component)
    sums = pl.concat(parts).group_by(ROUND_KEY).agg(pl.col("putts", "gained", "variance").sum())
    joined = (
        scored.rounds.select(*ROUND_KEY, "holes", "strokes_gained")
        .join(sums, on=ROUND_KEY, how="left", maintain_order="left")
        .with_columns(pl.col("putts", "gained", "variance").fill_null(0))
        .with_columns((pl.col("strokes_gained") - pl.col("gained")).alias("rest"))
    )
    return Area(joined.drop("strokes_gained"), shares)


def within(drill: Drill, component: str) -> pl.Expr:
    """Whether a putt lies in what a drill trains of one component."""
    inside = pl.lit(False)
    for target in drill.trains:
        if target.component == component:
            length = pl.col("distance_ft").is_between(target.low_ft, target.high_ft, "right")
            inside = inside | (length & on_slopes(target.slopes))
    return inside


def on_slopes(slopes: tuple[str, ...]) -> pl.Expr:
    """Whether a putt runs along one of the slopes; an unknown slope fits all three together."""
    known = list(dict.fromkeys(slopes))
    wanted = [*known, "unknown"] if set(known) == set(SLOPES) else known
    return pl.col("slope").cast(pl.String).is_in(wanted)


def _part(inside: pl.DataFrame, component: str) -> pl.DataFrame | None:
    factor = 1.0 if component == "holing" else _scale_up(inside)
    if factor is None:
        return None
    return inside.group_by(ROUND_KEY).agg(
        pl.len().alias("putts").cast(pl.Int64),
        (pl.col(component).sum() * factor).alias("gained"),
        (_variance(component).sum() * factor).alias("variance"),
    )


def _scale_up(inside: pl.DataFrame) -> float | None:
    """Misses for each miss whose leave is known; None where none is."""
    misses = inside.filter(pl.col("result") == "missed")
    known = int(misses["leave"].is_not_null().sum())
    if misses.height == 0:
        return 1.0
    return misses.height / known if known else None


def _variance(component: str) -> pl.Expr:
    """Variance of a putt's component by the baseline's own chance, as in the sums a round."""
    share = pl.col("one_putt")
    if component == "holing":
        return share * (1 - share) * after_miss() ** 2
    return (1 - share) * pl.col("leave_spread") ** 2


def _scale(component: str) -> pl.Expr:
    share = pl.col("one_putt")
    if component == "holing":
        return share * (1 - share) * after_miss()
    return (1 - share) * pl.col("leave_spread")


def _shares(inside: pl.DataFrame, counted: pl.DataFrame, component: str) -> Array:
    by_band = [
        frame.group_by("band").agg(_scale(component).sum().alias("scale"))
        for frame in (inside, counted)
    ]
    both = by_band[1].join(by_band[0], on="band", how="inner", suffix="_inside").sort("band")
    return np.asarray((both["scale_inside"] / both["scale"]).fill_nan(0.0).to_numpy())


@dataclass(frozen=True)
class Prior:
    """What is believed of an area's strokes gained a round before looking at it."""

    mean: float
    variance: float


def prior_of(area: Area, scored: Scored, until: dt.date) -> Prior:
    """What the player's other putts say of an area, from the rounds up to a day.

    The model of :mod:`sgputt.inference.shrinkage`: each band's true value lies about the player's
    own mean, and an area takes its share of the bands it reaches into.
    """
    rounds = scored.rounds.filter(pl.col("date") <= until)
    early = scored.gained.join(rounds.select(ROUND_KEY), on=ROUND_KEY, how="semi")
    matrix = round_matrix(round_sums(early), rounds)
    mean, variance = 0.0, 0.0
    for component, share in area.share.items():
        own_mean, between = _between_bands(matrix, component)
        mean += own_mean * float(share.sum())
        variance += between * float((share**2).sum()) + SLOPE_SPREAD**2 * float(share.sum())
    return Prior(mean, variance)


def _between_bands(matrix: RoundMatrix, component: str) -> tuple[float, float]:
    """Mean of the bands' values and the variance between them, strokes a round."""
    seen = matrix.total("putts").sum(axis=1) > 0
    chance = chance_variance(matrix, component).sum(axis=1)
    values = per_round(matrix.sums[component].sum(axis=2), matrix.holes)
    noise = np.fmax(widen(values, chance, len(matrix.holes)).variance, chance)
    seen &= noise > 0
    if not seen.any():
        return 0.0, LEAST_BAND_SPREAD**2
    own_mean, between = paule_mandel(values.value[seen], noise[seen])
    return own_mean, max(between, LEAST_BAND_SPREAD**2)
