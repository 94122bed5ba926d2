"""Whether the fair figures by slope and break are fairer than those by distance alone.

``python -m sgputt.study.fairness [ROUNDS]`` plays invented seasons of players who are equally good
on every putt and prints, for each sort of player and of greens, how far their strokes gained a
round lie apart by slope and by break. Fair would be 0.

Distance alone is shown twice: as it stands, and with the player's level taken off as the fair
figures do it, so that a worse player's heavier losses where putts are many do not count against it.

The mean grade of the greens is what fits of the first seasons learnt, in the mean: a fair figure
hardly bends with it, and many rounds without a fit leave less to luck than few with one.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from typing import get_args

import numpy as np
import polars as pl
from polars.dataframe.group_by import GroupBy

from sgputt.baseline.catalogue import get_baseline
from sgputt.season.fairness import By, fair_gained
from sgputt.season.scored import score
from sgputt.stroke.fitting import fit_putting_stroke
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke

ROUNDS = 4000
A_SEASON = 40
_FITTED = 30
PLAYERS = {
    "tour": TOUR_STROKE,
    "amateur": PuttingStroke(direction_deg=1.5, read=0.35, pace=0.11),
}
GREENS = {
    "as believed": Conditions(),
    "steeper, 2.5 %": Conditions(grade=0.025),
    "whole feet, stimp 12": Conditions(step_ft=1.0, stimp_ft=12.0),
}
_START = date(2000, 1, 1)


@dataclass(frozen=True)
class Apart:
    """How far the figures of an equally good player lie apart, strokes a round.

    Attributes
    ----------
    distance : float
        Strokes gained by distance alone.
    same_level : float
        The same with the player's level taken off.
    fair : float
        The fair figures.
    error : float
        Standard error of one word's fair figure.
    """

    distance: float
    same_level: float
    fair: float
    error: float


def equally_good(stroke: PuttingStroke, greens: Conditions, rounds: int) -> dict[By, Apart]:
    """Play seasons of a player who is equally good on every putt, and compare the words."""
    seasons = max(rounds // A_SEASON, 2)
    baseline = get_baseline("tour")
    tables: dict[By, list[pl.DataFrame]] = {by: [] for by in get_args(By)}
    golfer = InventedGolfer("Equal", stroke)
    played = [
        invented_season(golfer, A_SEASON, seed, _START, conditions=greens)
        for seed in range(seasons)
    ]
    grade = float(np.mean([fit_putting_stroke(putts).grade for putts in played[:_FITTED]]))
    for putts in played:
        for by, found in tables.items():
            wordless = putts.with_columns(pl.lit("unknown").cast(putts.schema[by]).alias(by))
            alike = fair_gained(score(wordless, baseline), by)["fair"].alias("alike")
            each = fair_gained(score(putts, baseline), by, grade).with_columns(alike)
            found.append(each.group_by(by).agg(pl.col("sg", "alike", "fair").sum() / A_SEASON))
    return {by: _apart(pl.concat(found).group_by(by), seasons) for by, found in tables.items()}


def _apart(words: GroupBy, seasons: int) -> Apart:
    mean = words.agg(pl.col("sg", "alike", "fair").mean())
    error = words.agg(pl.col("fair").std())["fair"].to_numpy().max() / np.sqrt(seasons)
    sg, alike, fair = (float(np.ptp(mean[name].to_numpy())) for name in ("sg", "alike", "fair"))
    return Apart(sg, alike, fair, float(error))


def main(rounds: int) -> None:
    """Write the table."""
    sys.stdout.write("player | greens | by | distance alone | same level | fair | error\n")
    names = [(player, greens) for player in PLAYERS for greens in GREENS]
    with ProcessPoolExecutor() as pool:
        strokes, greens = [PLAYERS[one] for one, _ in names], [GREENS[name] for _, name in names]
        results = pool.map(equally_good, strokes, greens, [rounds] * len(names))
        for (player, name), apart in zip(names, results, strict=True):
            for by, found in apart.items():
                figures = (found.distance, found.same_level, found.fair, found.error)
                shown = " | ".join(f"{each:.2f}" for each in figures)
                sys.stdout.write(f"{player} | {name} | {by} | {shown}\n")
                sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS)
