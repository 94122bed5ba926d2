"""Does the method keep its promises? Invented seasons of players whose truth is known.

``make calibrate`` runs this (a few minutes) and writes a table: how often intervals hold the
truth, and how far fitted spreads are off.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.inference.cells import ANY, cell_table
from sgputt.season.scored import Scored, score
from sgputt.season.summary import season_summary
from sgputt.stroke.fit import fit_stroke
from sgputt.stroke.model import TOUR, Stroke
from sgputt.stroke.simulate import Golfer, season

SEASONS = 100
TRUTH_ROUNDS = 3000
ROUNDS = (10, 30, 60)
_START = date(2000, 1, 1)
_PLAYERS = {"tour": TOUR, "amateur": Stroke(float(np.radians(1.4)), 0.105)}


@dataclass(frozen=True)
class Case:
    """A player and a number of rounds."""

    player: str
    rounds: int

    def golfer(self) -> Golfer:
        """The invented player."""
        return Golfer("Invented", _PLAYERS[self.player])


def _play(golfer: Golfer, rounds: int, seed: int) -> Scored:
    return score(season(golfer, rounds, seed, _START, every_days=1), get_baseline("tour"))


def _cells(scored: Scored) -> pl.DataFrame:
    return cell_table(scored.matrix)


def run_case(case: Case, seasons: int = SEASONS) -> dict[str, float]:
    """Play a case many times over and count what held.

    Returns
    -------
    dict
        Shares of seasons in which the interval held the truth: ``total`` (strokes gained a round),
        ``bands`` (raw cells of whole bands), ``shrunk`` (the same cells, shrunk), ``line``,
        ``pace``; ``line_bias, pace_bias`` as shares; ``false`` (a cell that loses nothing is called
        a sure loss).
    """
    golfer = case.golfer()
    long_run = _play(golfer, TRUTH_ROUNDS, 2)
    truth = season_summary(long_run, "Invented", "").strokes_gained.value
    true_cells = _whole_bands(_cells(long_run))
    counts = [_one(case, golfer, seed, truth, true_cells) for seed in range(100, 100 + seasons)]
    columns = {name: np.array([each[name] for each in counts]) for name in counts[0]}
    return {
        name: float(column.mean()) if np.isfinite(column).all() else np.nan
        for name, column in columns.items()
    }


def _whole_bands(cells: pl.DataFrame) -> pl.DataFrame:
    return cells.filter(pl.col("slope") == ANY).with_columns(
        pl.col("distance", "component").cast(pl.String)
    )


def _one(
    case: Case, golfer: Golfer, seed: int, truth: float, true_cells: pl.DataFrame
) -> dict[str, float]:
    scored = _play(golfer, case.rounds, seed)
    summary = season_summary(scored, "Invented", "")
    gained = summary.strokes_gained
    both = _whole_bands(summary.cells).join(
        true_cells.select("distance", "component", pl.col("per_round").alias("truth")),
        on=["distance", "component"],
    )
    worth = both.filter(pl.col("truth").abs() + pl.col("high") - pl.col("low") > _TRIVIAL)
    return {
        "total": _inside(truth, gained.low, gained.high),
        "bands": _share(worth, "low", "high"),
        "shrunk": _share(worth, "shrunk_low", "shrunk_high"),
        **_stroke(golfer, scored),
        "false": float(_false_alarm(both, case)),
    }


def _stroke(golfer: Golfer, scored: Scored) -> dict[str, float]:
    """How the fitted spreads did."""
    fit = fit_stroke(scored.gained)
    line, pace = golfer.stroke.line_rad, golfer.stroke.pace
    return {
        "line": _inside(line, *fit.line_range),
        "pace": _inside(pace, *fit.pace_range),
        "line_bias": fit.stroke.line_rad / line - 1,
        "pace_bias": fit.stroke.pace / pace - 1,
    }


# Strokes a round; cells whose truth and interval together are smaller are no decision.
_TRIVIAL = 0.02


def _inside(truth: float, low: float | None, high: float | None) -> float:
    return float(low is not None and high is not None and low <= truth <= high)


def _share(cells: pl.DataFrame, low: str, high: str) -> float:
    return float(np.mean(cells["truth"].is_between(cells[low], cells[high]).to_numpy()))


def _false_alarm(cells: pl.DataFrame, case: Case) -> bool:
    """Whether a cell that loses nothing to speak of is called a sure loss."""
    return not cells.filter(
        (pl.col("truth") > -_TRIVIAL)
        & (pl.col("shrunk_per_round") <= -_TRIVIAL)
        & (pl.col("chance_of_loss") >= 0.95)
    ).is_empty()


def cases() -> list[Case]:
    """What the study plays."""
    return [Case(player, rounds) for player in _PLAYERS for rounds in ROUNDS]


def table(results: Iterable[tuple[Case, dict[str, float]]]) -> pl.DataFrame:
    """Results as one row a case."""
    return pl.DataFrame(
        [
            {
                "player": case.player,
                "rounds": case.rounds,
                **result,
            }
            for case, result in results
        ],
        infer_schema_length=None,
    )


def main(arguments: Sequence[str] = ()) -> None:
    """Run the study and write its table to the file named, or ``calibration.csv``."""
    out = Path(arguments[0] if arguments else "calibration.csv")
    todo = cases()
    with ProcessPoolExecutor() as pool:
        results = table(zip(todo, pool.map(run_case, todo), strict=True))
    results.write_csv(out, float_precision=3)
    with pl.Config(tbl_rows=-1, tbl_cols=-1, tbl_width_chars=200, float_precision=2):
        print(results)  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
