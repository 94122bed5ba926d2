"""Does the method keep its promises? Invented seasons of players whose truth is known.

``make calibrate`` runs this (a few minutes) and writes a table: how often intervals hold the
truth, how often a planted weakness is the first priority, how far fitted spreads are off, and what
limits them: the best any method could do that knew the size of the weakness beforehand.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

import numpy as np
import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.inference.cells import ANY, cell_table
from sgputt.practice.drills import load_drills
from sgputt.practice.priorities import rank_priorities
from sgputt.putts.bands import RANGES_FT
from sgputt.season.scored import Scored, score
from sgputt.season.summary import season_summary
from sgputt.stroke.fit import fit_stroke
from sgputt.stroke.model import TOUR, Stroke
from sgputt.stroke.simulate import Golfer, Weakness, season

SEASONS = 100
TRUTH_ROUNDS = 3000
ROUNDS = (10, 30, 60)
SIZES = (0.15, 0.25, 0.4)
_START = date(2000, 1, 1)
_PLAYERS = {"tour": TOUR, "amateur": Stroke(float(np.radians(1.4)), 0.105)}
_PLANTED = (
    ("3-5 ft", ANY, "holing"),
    ("5-7 ft", "downhill", "holing"),
    ("7-10 ft", ANY, "holing"),
    ("10-15 ft", ANY, "holing"),
    ("15-25 ft", ANY, "leave"),
    ("25-40 ft", "downhill", "leave"),
    ("40+ ft", ANY, "leave"),
)


@dataclass(frozen=True)
class Case:
    """A player, with a planted weakness or none, and a number of rounds."""

    player: str
    rounds: int
    band: str | None = None
    slope: str = ANY
    component: str = ""
    size: float = 0.0

    def golfer(self) -> Golfer:
        """The invented player."""
        faults = (_fault(self),) if self.band else ()
        return Golfer("Invented", _PLAYERS[self.player], faults)


def _play(golfer: Golfer, rounds: int, seed: int) -> Scored:
    return score(season(golfer, rounds, seed, _START, every_days=1), get_baseline("tour"))


@cache
def _fault(case: Case) -> Weakness:
    """The fault that costs the wanted strokes a round, found by playing many rounds."""
    assert case.band is not None
    low, high = RANGES_FT[case.band]
    slopes = ("uphill", "level", "downhill") if case.slope == ANY else (case.slope,)
    golfer = Golfer("Invented", _PLAYERS[case.player])
    before = _true_cell(golfer, case)
    if case.component == "holing":
        share = 0.2
        for _ in range(4):
            fault = Weakness(low, high, slopes, lost_makes=share)
            lost = before - _true_cell(Golfer("Invented", golfer.stroke, (fault,)), case)
            share = min(share * case.size / max(lost, 0.01), 0.95)
        return Weakness(low, high, slopes, lost_makes=share)
    growth = 0.5
    for _ in range(6):
        fault = Weakness(low, high, slopes, longer_leaves=1 + growth)
        lost = before - _true_cell(Golfer("Invented", golfer.stroke, (fault,)), case)
        growth *= min(case.size / max(lost, 0.01), 4.0) ** 0.8
    return Weakness(low, high, slopes, longer_leaves=1 + growth)


def _true_cell(golfer: Golfer, case: Case) -> float:
    cells = _cells(_play(golfer, TRUTH_ROUNDS // 3, 1))
    found = cells.filter(
        (pl.col("distance") == case.band)
        & (pl.col("slope") == case.slope)
        & (pl.col("component") == case.component)
    )
    return float(found["per_round"][0])


def _cells(scored: Scored) -> pl.DataFrame:
    return cell_table(scored.matrix)


def run_case(case: Case, seasons: int = SEASONS) -> dict[str, float]:
    """Play a case many times over and count what held.

    Returns
    -------
    dict
        Shares of seasons in which the interval held the truth: ``total`` (strokes gained a round),
        ``bands`` (raw cells of whole bands), ``shrunk`` (the same cells, shrunk), ``line``,
        ``pace``; ``line_bias, pace_bias`` as shares; ``found`` (the planted cell's band and
        component come first), ``best`` (what the likelihood ratio of the known size would find),
        ``false`` (another cell than the planted one is called sure).
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
        **_stroke(golfer, scored, fitted=case.band is None),
        "false": float(_false_alarm(both, case)),
        **_found(summary.cells, case, both),
    }


def _stroke(golfer: Golfer, scored: Scored, fitted: bool) -> dict[str, float]:
    """How the fitted spreads did; not for players whose planted fault is no matter of spreads."""
    if not fitted:
        return dict.fromkeys(("line", "pace", "line_bias", "pace_bias"), np.nan)
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


def _found(cells: pl.DataFrame, case: Case, both: pl.DataFrame) -> dict[str, float]:
    if case.band is None:
        return {"found": np.nan, "best": np.nan}
    first = rank_priorities(cells, load_drills(), most=1)
    hit = bool(first) and (first[0].distance, first[0].component) == (case.band, case.component)
    return {"found": float(hit), "best": _best(both, case)}


def _best(both: pl.DataFrame, case: Case) -> float:
    """Whether the likelihood ratio of the planted size, noise known, points at the planted cell.

    No method that sees only these sums and does not know the cell can do better on average.
    """
    reach = float(_QUANTILE)
    spread = (both["high"] - both["low"]) / (2 * reach)
    loss = -both["per_round"]
    ratio = (loss * case.size - case.size**2 / 2) / spread.clip(lower_bound=1e-3) ** 2
    at = int(ratio.arg_max() or 0)
    return float((both["distance"][at], both["component"][at]) == (case.band, case.component))


_QUANTILE = 1.645


def cases() -> list[Case]:
    """What the study plays."""
    plain = [Case(player, rounds) for player in _PLAYERS for rounds in ROUNDS]
    planted = [Case("tour", 30, *where, size=size) for where in _PLANTED for size in SIZES]
    more = [Case("tour", rounds, *where, size=0.25) for where in _PLANTED for rounds in (10, 60)]
    return [*plain, *planted, *more]


def table(results: Iterable[tuple[Case, dict[str, float]]]) -> pl.DataFrame:
    """Results as one row a case."""
    return pl.DataFrame(
        [
            {
                "player": case.player,
                "rounds": case.rounds,
                "planted": f"{case.band}, {case.slope}, {case.component}" if case.band else "",
                "size": case.size,
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
