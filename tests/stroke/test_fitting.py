"""The fit of a stroke in its causes: derivatives, what it finds again, what it refuses."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import polars as pl
import pytest

from sgputt.errors import TooFewError
from sgputt.stroke import fitting
from sgputt.stroke.fitting import NAMES, fit_putting_stroke, seen_putts, stroke_of
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.outcomes import GRADES, LENGTHS_FT
from sgputt.stroke.player import HABITS, SPREADS, TOUR_STROKE, PuttingStroke
from sgputt.stroke.population import MEAN_GRADE, grade_weights

START = date(2020, 1, 1)


def season(
    stroke: PuttingStroke, rounds: int, seed: int, conditions: Conditions | None = None
) -> pl.DataFrame:
    golfer = InventedGolfer("A", stroke)
    return invented_season(golfer, rounds, seed, START, 2, conditions=conditions or Conditions())


@pytest.mark.parametrize("breaks_written", [False, True])
def test_derivatives_are_those_of_small_differences(breaks_written: bool) -> None:
    putts = season(TOUR_STROKE, 4, 1)
    if breaks_written:
        inches = {"left to right": 7.0, "straight": 0.0, "right to left": -11.0}
        written = pl.col("break").cast(pl.String).replace_strict(inches, return_dtype=pl.Float64)
        putts = putts.with_columns(break_in=pl.when(pl.col("putt") == 1).then(written))
    seen = seen_putts(putts)
    nodes = [node for some in seen.nodes.values() for node in some]
    assert any(np.isfinite(node.aimed).any() for node in nodes) == breaks_written
    values = fitting.values_of(
        PuttingStroke(1.3, 0.3, 0.1, 0.2, -0.1, 0.3, -0.05, 0.02, 0.03, 0.01)
    )
    _, slopes = fitting._chances(seen, stroke_of(values), 0.2, 0.7)
    step = 1e-5
    for at, name in enumerate(NAMES):
        move = np.zeros(len(NAMES))
        move[at] = step
        up, _ = fitting._chances(seen, stroke_of(values + move), 0.2, 0.7)
        down, _ = fitting._chances(seen, stroke_of(values - move), 0.2, 0.7)
        assert np.allclose((up - down) / (2 * step), slopes[:, at], rtol=1e-4, atol=1e-7), name
    more, _ = fitting._chances(seen, stroke_of(values), 0.2, 0.8)
    less, _ = fitting._chances(seen, stroke_of(values), 0.2, 0.6)
    assert np.allclose((more - less) / 0.2, slopes[:, -1], rtol=1e-4, atol=1e-9)
    steeper, _ = fitting._chances(seen, stroke_of(values), 0.2 + step, 0.7)
    flatter, _ = fitting._chances(seen, stroke_of(values), 0.2 - step, 0.7)
    assert np.allclose((steeper - flatter) / (2 * step), slopes[:, -2], rtol=1e-4, atol=1e-7)


@pytest.mark.parametrize("mean", [0.002, 0.006, MEAN_GRADE, 0.035, 0.06])
def test_every_grade_has_a_share_of_greens_however_steep_they_are(mean: float) -> None:
    """From 3.5 % on the fourth of five had less than nothing, and the fit was no number."""
    found = grade_weights(mean)
    assert found.shape == (len(GRADES),) and (found > 0).all()
    assert found.sum() == pytest.approx(1)


def test_a_season_on_steep_greens_has_a_stroke() -> None:
    """It ended in a traceback: the search came by greens of 3.5 % in the mean."""
    stroke = PuttingStroke(direction_deg=0.7, read=0.1, pace=0.07)
    putts = season(stroke, 20, 2, Conditions(grade=0.042, step_ft=0.5))
    fit = fit_putting_stroke(putts)
    assert np.isfinite(fit.values).all() and np.isfinite(fit.covariance).all()
    assert 0.025 < fit.grade < 0.045
    assert fit.stroke.direction_deg == pytest.approx(0.7, rel=0.3)


def test_a_break_that_was_played_narrows_the_greens() -> None:
    """To those whose perfect aim is the one played; of one who plays 40 % too little, to more."""
    length = int(np.searchsorted(LENGTHS_FT, 12.0))
    places, _ = fitting._tables(10.0, (length,))
    aim, _ = places.read(TOUR_STROKE.past_ft(places.length_ft))
    for less in (0.0, 0.4):
        stroke = replace(TOUR_STROKE, less_left_to_right=less)
        best = int(aim.argmax())
        played = np.array([aim[best] * (1 - less), np.nan])
        fit, changes = fitting._fit_of_aims(stroke, aim, played, length)
        expected = np.average(aim, weights=fit[0])
        assert expected == pytest.approx(aim[best], rel=0.25)
        assert (fit[1] == 1).all() and all((each[1] == 0).all() for each in changes.values())


def test_chances_of_all_that_can_be_written_add_to_one() -> None:
    seen = seen_putts(season(TOUR_STROKE, 4, 1, Conditions(words=False)))
    assert seen.count.sum() == pytest.approx(seen.putts)
    # Outcomes that part all that can happen: holed, and each kind of miss.
    nodes = []
    for node in seen.nodes[1]:
        kinds = np.eye(1 + len(node.by_pass))
        whole = replace(node, holed=kinds[0], by_pass=kinds[1:], by_stop=kinds[1:])
        nodes.append(whole)
    found, _, _ = fitting._by_place(TOUR_STROKE, 10.0, nodes, 0.5)
    for each in found:
        assert each[0].sum(axis=1) == pytest.approx(np.ones(each.shape[1]))
        assert each[1:].sum(axis=2) == pytest.approx(np.zeros((5, each.shape[1])), abs=1e-9)


PLANTED = PuttingStroke(
    direction_deg=1.3, read=0.3, pace=0.1, less_left_to_right=0.45, left_deg=0.5, long_uphill=-0.1
)


@pytest.mark.parametrize(
    "conditions",
    [
        Conditions(),
        Conditions(grade=0.022, step_ft=1.0, left_out=0.3, wrong_side=0.05, tail=6.0),
    ],
)
def test_a_stroke_is_found_again(conditions: Conditions) -> None:
    """Ninety rounds: each part within a fifth, each habit within 0.12 of the break and so on."""
    fit = fit_putting_stroke(season(PLANTED, 90, 5, conditions))
    found = fit.stroke
    assert found.direction_deg == pytest.approx(1.3, rel=0.2)
    assert found.pace == pytest.approx(0.1, rel=0.1)
    assert found.less_left_to_right == pytest.approx(0.45, abs=0.14)
    assert found.less_right_to_left == pytest.approx(0.0, abs=0.14)
    assert found.left_deg == pytest.approx(0.5, abs=0.2)
    assert found.long + found.long_uphill == pytest.approx(-0.1, abs=0.025)
    assert found.long + found.long_downhill == pytest.approx(0.0, abs=0.025)
    for name in HABITS:
        assert 0 < fit.error(name) < 0.2
    # The model's own doubt does not go away with more putts.
    for at in range(len(SPREADS)):
        more = fit.covariance[at, at] - fit.explained.covariance[at, at]
        assert more == pytest.approx(fitting.MODEL_SPREAD_DOUBT**2)


@pytest.mark.parametrize("grade", [0.012, 0.026])
def test_steeper_greens_are_learnt_and_not_taken_for_a_habit(grade: float) -> None:
    clean = PuttingStroke(direction_deg=1.3, read=0.3, pace=0.1)
    fit = fit_putting_stroke(season(clean, 90, 6, Conditions(grade=grade)))
    assert abs(fit.grade - grade) < 0.7 * abs(MEAN_GRADE - grade)
    assert fit.stroke.less_left_to_right == pytest.approx(0.0, abs=0.12)
    assert fit.stroke.less_right_to_left == pytest.approx(0.0, abs=0.12)


def test_habits_are_drawn_to_none_and_spreads_to_the_parent_where_putts_are_few() -> None:
    few = season(PLANTED, 1, 2)
    with pytest.raises(TooFewError, match="It takes 60 putts with 15 misses"):
        fit_putting_stroke(few)
    fit = fit_putting_stroke(few, any_number=True)
    assert abs(fit.stroke.less_left_to_right) < 0.4
    nothing = fit_putting_stroke(few.head(0), any_number=True)
    assert nothing.stroke.direction_deg == pytest.approx(TOUR_STROKE.direction_deg, rel=1e-3)
    assert nothing.error("direction_deg") == pytest.approx(fitting.SPREAD_DOUBT[0], rel=0.01)


@pytest.mark.parametrize(
    "spoil",
    [
        pl.lit(None, dtype=pl.Float64).alias("leave_ft"),
        pl.lit(12.0).alias("distance_ft"),
        pl.lit("unknown", dtype=pl.Enum(("uphill", "level", "downhill", "unknown"))).alias("slope"),
        pl.lit(0.03).alias("grade"),
        pl.lit(7.3).alias("stimp_ft"),
    ],
)
def test_poor_cards_are_fitted_too(spoil: pl.Expr) -> None:
    fit = fit_putting_stroke(season(TOUR_STROKE, 8, 3).with_columns(spoil))
    assert np.isfinite(fit.covariance).all()
    assert 0.1 < fit.stroke.direction_deg < 3


def test_the_same_putts_give_the_same_fit_and_draws() -> None:
    putts = season(PLANTED, 6, 4)
    one, other = (
        fit_putting_stroke(putts),
        fit_putting_stroke(putts.sample(fraction=1, shuffle=True)),
    )
    assert np.allclose(one.values, other.values, atol=1e-6)
    assert one.draws(4) == one.draws(4)
    mean = np.mean([each.left_deg for each in one.draws(50)])
    assert mean == pytest.approx(one.stroke.left_deg, abs=1e-9)
