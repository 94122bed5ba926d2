"""Does the fit of a stroke keep its promises? Invented seasons of players whose truth is known.

``make calibrate`` runs this (two minutes on two cores) and writes a table: for every part and habit
its bias and how often the interval held the truth, on greens and cards as the fit believes them and
on others, and how often a habit was told of a player who has none.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl

from sgputt.stroke.causes import told_habits
from sgputt.stroke.fitting import NAMES, FittedStroke, fit_putting_stroke, values_of
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.player import SPREADS, PuttingStroke

SEASONS = 40
ROUNDS = 30
_START = date(2000, 1, 1)
_FIRST_SEED = 100
PLAYERS = {
    "tour": PuttingStroke(),
    "amateur": PuttingStroke(direction_deg=1.5, read=0.35, pace=0.11),
    "with habits": PuttingStroke(
        direction_deg=1.5, read=0.35, pace=0.11, less_left_to_right=0.4, left_deg=0.5, long=-0.06
    ),
}
CONDITIONS = {
    "as believed": Conditions(),
    "steeper greens": Conditions(grade=0.023),
    "heavier tails, days differ": Conditions(tail=5.0, day_pace=0.02),
    "whole feet, words absent or wrong": Conditions(step_ft=1.0, left_out=0.3, wrong_side=0.05),
}


@dataclass(frozen=True)
class CalibrationCase:
    """A player, and the greens and cards of their seasons."""

    player: str
    conditions: str


def run_case(
    case: CalibrationCase, seasons: int = SEASONS, rounds: int = ROUNDS
) -> dict[str, float]:
    """Play a case many times over and count what held.

    Returns
    -------
    dict
        For each of :data:`sgputt.stroke.fitting.NAMES` ``bias`` (of spreads as a share of them)
        and ``held`` (share of seasons in which the 90 % interval held the truth), and ``told``: the
        share of seasons in which any habit was told.
    """
    stroke = PLAYERS[case.player]
    golfer = InventedGolfer("Invented", stroke)
    truth = values_of(stroke)
    off, held, told = [], [], []
    for seed in range(_FIRST_SEED, _FIRST_SEED + seasons):
        conditions = CONDITIONS[case.conditions]
        putts = invented_season(golfer, rounds, seed, _START, 3, conditions=conditions)
        fit = fit_putting_stroke(putts)
        off.append(fit.values - truth)
        held.append(_held(fit, stroke))
        told.append(bool(told_habits(fit, putts)))
    bias, share = np.mean(off, axis=0), np.mean(held, axis=0)
    bias[: len(SPREADS)] = np.exp(bias[: len(SPREADS)]) - 1
    result = {}
    for at, name in enumerate(NAMES):
        result[f"{name} bias"], result[f"{name} held"] = float(bias[at]), float(share[at])
    return {**result, "told": float(np.mean(told))}


def _held(fit: FittedStroke, stroke: PuttingStroke) -> list[bool]:
    intervals = {name: fit.interval(name) for name in NAMES}
    return [low <= getattr(stroke, name) <= high for name, (low, high) in intervals.items()]


def cases() -> list[CalibrationCase]:
    """What the study plays."""
    return [CalibrationCase(player, conditions) for player in PLAYERS for conditions in CONDITIONS]


def table(results: Iterable[tuple[CalibrationCase, dict[str, float]]]) -> pl.DataFrame:
    """Results as one row a case and value."""
    return pl.DataFrame(
        [
            {
                "player": case.player,
                "conditions": case.conditions,
                "value": name,
                "bias": result[f"{name} bias"],
                "held": result[f"{name} held"],
                "told": result["told"],
            }
            for case, result in results
            for name in NAMES
        ]
    )


def main(arguments: Sequence[str] = ()) -> None:
    """Run the study and write its table to the file named, or ``calibration.csv``."""
    out = Path(arguments[0] if arguments else "calibration.csv")
    seasons = int(arguments[1]) if len(arguments) > 1 else SEASONS
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    todo = cases()
    with ProcessPoolExecutor() as pool:
        found = pool.map(run_case, todo, [seasons] * len(todo))
        results = table(zip(todo, found, strict=True))
    results.write_csv(out, float_precision=3)
    with pl.Config(tbl_rows=-1, tbl_cols=-1, tbl_width_chars=120, float_precision=3):
        print(results)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
