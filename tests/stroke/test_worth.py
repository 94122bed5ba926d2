"""What a better stroke is worth: against seasons played with both strokes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import polars as pl
import pytest

from sgputt.putts.table import conform_putts
from sgputt.stroke.chain import GRID_FT, chain
from sgputt.stroke.fit import Prior, StrokeFit, fit_stroke
from sgputt.stroke.model import Stroke
from sgputt.stroke.simulate import Golfer, season
from sgputt.stroke.worth import FirstPutts, Worth, first_putts, worth_of_better

START = date(1960, 1, 1)
AMATEUR = Stroke(float(np.radians(1.4)), 0.105)
ROUNDS = 6_000
SIGMAS = 4.0


def fit_of(stroke: Stroke, share: float = 0.05) -> StrokeFit:
    """A fit that found exactly this stroke, known to this share."""
    nothing = season(Golfer("Ada Brook", stroke), 1, 1, START).clear()
    return replace(fit_stroke(nothing, stroke.form, prior=Prior(stroke, share)), stroke=stroke)


@pytest.fixture(scope="module")
def played() -> pl.DataFrame:
    return season(Golfer("Ada Brook", AMATEUR), ROUNDS, 5, START, every_days=1)


@pytest.fixture(scope="module")
def met(played: pl.DataFrame) -> FirstPutts:
    return first_putts(played, ROUNDS * 18)


def by_name(worths: list[Worth]) -> dict[tuple[str, str], Worth]:
    return {(each.part, each.change): each for each in worths}


def test_putts_a_round_are_those_played(played: pl.DataFrame, met: FirstPutts) -> None:
    counts = played.group_by("date", "hole").len()["len"].to_numpy()
    holes = np.concatenate([counts, np.zeros(ROUNDS * 18 - len(counts))])
    error = 18 * holes.std() / np.sqrt(len(holes))
    # 0.02: the grid's half feet, leaves under half a foot taken as half a foot.
    assert met.putts_a_round(AMATEUR) == pytest.approx(18 * holes.mean(), abs=SIGMAS * error + 0.02)


@pytest.mark.parametrize(
    "better",
    [
        replace(AMATEUR, line_rad=0.9 * AMATEUR.line_rad),
        replace(AMATEUR, pace=0.9 * AMATEUR.pace),
        replace(AMATEUR, line_rad=Stroke().line_rad),
        replace(AMATEUR, pace=Stroke().pace),
    ],
    ids=["line 10 %", "pace 10 %", "line of the tour", "pace of the tour"],
)
def test_the_worth_is_what_playing_on_gains(
    played: pl.DataFrame, met: FirstPutts, better: Stroke
) -> None:
    # The same seed: the same first putts, and the same luck in the first stroke of each hole.
    other = season(Golfer("Ada Brook", better), ROUNDS, 5, START, every_days=1)
    hole = ["date", "hole"]
    both = played.group_by(hole).len().join(other.group_by(hole).len(), on=hole, suffix="_other")
    saved = (both["len"].cast(pl.Int64) - both["len_other"].cast(pl.Int64)).to_numpy()
    first = played.filter(pl.col("putt") == 1).select(*hole, "distance_ft")
    assert first.equals(other.filter(pl.col("putt") == 1).select(*hole, "distance_ft"))
    error = 18 * saved.std() / np.sqrt(len(saved))
    model = met.putts_a_round(AMATEUR) - met.putts_a_round(better)
    assert model == pytest.approx(saved.sum() / ROUNDS, abs=SIGMAS * error + 0.01)
    assert error < 0.03 < model


def test_better_gains_and_more_doubt_widens(met: FirstPutts) -> None:
    found = worth_of_better(fit_of(AMATEUR), met)
    assert list(by_name(found)) == [
        ("line", "10 % better"),
        ("pace", "10 % better"),
        ("line", "tour level"),
        ("pace", "tour level"),
    ]
    doubtful = by_name(worth_of_better(fit_of(AMATEUR, 0.1), met))
    for key, each in by_name(found).items():
        assert 0 < each.low < each.value < each.high
        assert doubtful[key].value == pytest.approx(each.value)
        assert doubtful[key].high - each.value == pytest.approx(2 * (each.high - each.value))
    assert by_name(found)["line", "10 % better"].value == pytest.approx(
        met.putts_a_round(AMATEUR)
        - met.putts_a_round(replace(AMATEUR, line_rad=0.9 * AMATEUR.line_rad))
    )


@pytest.mark.parametrize(
    ("stroke", "parts"),
    [
        (Stroke(), []),
        (replace(Stroke(), line_rad=0.9 * Stroke().line_rad, pace=0.05), []),
        (replace(Stroke(), line_rad=1.1 * Stroke().line_rad), ["line"]),
        (replace(Stroke(), pace=1.1 * Stroke().pace), ["pace"]),
    ],
    ids=["tour", "better", "worse line", "worse pace"],
)
def test_tour_level_only_where_not_there_yet(
    stroke: Stroke, parts: list[str], met: FirstPutts
) -> None:
    found = worth_of_better(fit_of(stroke), met)
    assert [each.part for each in found if each.change == "tour level"] == parts
    assert all(each.value > 0 for each in found)
    assert len(found) == 2 + len(parts)


def one(hole: int, putt: int, distance_ft: float | None, **more: Any) -> dict[str, Any]:
    base = {"player": "Ada Brook", "date": START, "result": "missed", "slope": "level"}
    return {**base, "hole": hole, "putt": putt, "distance_ft": distance_ft, **more}


def table(*rows: dict[str, Any]) -> pl.DataFrame:
    types = {"distance_ft": pl.Float64}
    return conform_putts(pl.DataFrame(rows, schema_overrides=types, infer_schema_length=None))


def test_first_putts_from_the_green_are_counted_once_a_hole() -> None:
    putts = table(
        one(1, 2, 2.0, result="holed"),
        one(1, 1, 20.0, slope="uphill"),
        one(2, 1, 60.0, surface="off green"),
        one(2, 2, 10.25, slope="downhill"),
        one(3, 1, None),
        one(4, 1, 5.0, slope="unknown"),
        one(4, 1, 7.0, round=2),
        one(5, 1, 0.2),
        one(6, 1, 140.0),
    )
    weights = first_putts(putts, holes=36).weights
    # Half a round's worth each: 18 of 36 holes.
    assert {slope: float(each.sum()) for slope, each in weights.items()} == pytest.approx(
        {"uphill": 0.5, "downhill": 0.5, "level": 2.0}
    )
    assert weights["uphill"][GRID_FT == 20.0].item() == 0.5
    assert weights["downhill"][(GRID_FT == 10.0) | (GRID_FT == 10.5)].tolist() == [0.25, 0.25]
    level = {ft: float(weights["level"][ft == GRID_FT].item()) for ft in (0.5, 5.0, 7.0, 100.0)}
    assert set(level.values()) == {0.5}


def test_level_first_putts_need_about_what_the_level_chain_says() -> None:
    # Slopes enter with the comeback putts alone, which are level again here.
    putts = table(one(1, 1, 20.0))
    needed = first_putts(putts, holes=18).putts_a_round(AMATEUR)
    at_20 = float(chain(AMATEUR).expected_putts[GRID_FT == 20.0].item())
    assert needed == pytest.approx(at_20, abs=1e-9)
