"""Fitted spreads: planted ones found again, honest about their doubt, and what they rest on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

import numpy as np
import polars as pl
import pytest
from scipy.optimize import minimize
from scipy.stats import binom, norm

from sgputt.errors import TooFewError
from sgputt.putts.table import conform_putts
from sgputt.stroke.fit import Prior, StrokeFit, fit_stroke, outcomes
from sgputt.stroke.green import USUAL_GRADE
from sgputt.stroke.model import MENDED, PUBLISHED_TOUR, Array, Form, Stroke
from sgputt.stroke.simulate import Golfer, season

START = date(2026, 3, 14)
ROUNDS, SEASONS = 30, 15
PLAYERS = {
    "tour": Stroke(),
    "amateur": Stroke(float(np.radians(1.4)), 0.105),
    "published": PUBLISHED_TOUR,
}


def play(stroke: Stroke, rounds: int, seed: int, grade: float = USUAL_GRADE) -> pl.DataFrame:
    return season(Golfer("Ada Brook", stroke, grade=grade), rounds, seed, START, every_days=1)


def without_leaves(putts: pl.DataFrame) -> pl.DataFrame:
    return putts.with_columns(pl.lit(None, dtype=pl.Float64).alias("leave_ft"))


@dataclass(frozen=True)
class Fits:
    """Fits of many invented seasons of one player: with leaves, and of the makes alone."""

    truth: Array
    fits: list[StrokeFit]
    makes_only: list[StrokeFit]

    def off(self) -> Array:
        """Logarithm of fitted over true line and pace, a row a season."""
        found = [[fit.stroke.line_rad, fit.stroke.pace] for fit in self.fits]
        return np.asarray(np.log(np.array(found) / self.truth))

    def inside(self) -> Array:
        """Whether the intervals hold the truth."""
        line, pace = self.truth
        return np.array(
            [
                [
                    f.line_range[0] <= line <= f.line_range[1],
                    f.pace_range[0] <= pace <= f.pace_range[1],
                ]
                for f in self.fits
            ],
            dtype=np.float64,
        )


def errors(fits: list[StrokeFit]) -> Array:
    """Mean standard errors of line and pace, as shares of them."""
    shares = [[f.line_error / f.stroke.line_rad, f.pace_error / f.stroke.pace] for f in fits]
    return np.asarray(np.mean(shares, axis=0), dtype=np.float64)


@pytest.fixture(scope="module")
def many() -> dict[str, Fits]:
    found = {}
    for at, (name, stroke) in enumerate(PLAYERS.items()):
        tables = [play(stroke, ROUNDS, 1000 * at + seed) for seed in range(SEASONS)]
        found[name] = Fits(
            np.array([stroke.line_rad, stroke.pace]),
            [fit_stroke(putts, stroke.form) for putts in tables],
            [fit_stroke(without_leaves(putts), stroke.form) for putts in tables],
        )
    return found


@pytest.mark.parametrize("player", PLAYERS)
def test_planted_spreads_are_found_again(many: dict[str, Fits], player: str) -> None:
    # The mean of 15 seasons is known to about 1.3 % (line) and 1 % (pace): a bias of 4 % would
    # show. Over 250 seasons of the tour's stroke it was found to be +0.1 % and -0.8 %.
    assert np.abs(many[player].off().mean(axis=0)).max() < 0.04


def test_intervals_hold_the_truth_about_as_often_as_said(many: dict[str, Fits]) -> None:
    # 45 seasons of two parameters at 90 %: fewer than 35 of 45 comes 1 time in 100.
    held = np.sum([each.inside().sum(axis=0) for each in many.values()], axis=0)
    tries = SEASONS * len(many)
    assert (held >= binom.ppf(0.005, tries, 0.90)).all()


def test_standard_errors_are_the_scatter_of_fits(many: dict[str, Fits]) -> None:
    # A scatter over 45 seasons is known to 11 %; three of those.
    scatter = np.sqrt(np.mean([each.off().var(axis=0, ddof=1) for each in many.values()], axis=0))
    said = np.sqrt(np.mean([errors(each.fits) ** 2 for each in many.values()], axis=0))
    assert scatter / said == pytest.approx(1, abs=0.33)


@pytest.mark.parametrize("player", PLAYERS)
def test_leaves_add_what_makes_alone_do_not_tell(many: dict[str, Fits], player: str) -> None:
    """Design, section 10: 30 rounds give 5 % on both; makes alone 8 % and 20-30 %.

    Found here: 5 % and 4 % with leaves. Makes alone: 10 % and 22 % with the published form, as
    the design says; 7 % and 8 to 12 % with the mended one, whose pace spread of short putts (the
    steady part) makes them tell pace too.
    """
    both, makes = errors(many[player].fits), errors(many[player].makes_only)
    assert both == pytest.approx([0.05, 0.037], abs=0.01)
    assert makes[0] > 1.25 * both[0]
    assert makes[1] > 2 * both[1]
    if player == "published":
        assert makes == pytest.approx([0.10, 0.21], abs=0.05)


def own_cost(logs: Array, putts: pl.DataFrame, form: Form) -> float:
    """Binomial surprise of the makes, written from reference.md sections 3 and 7 alone."""
    line, pace = np.exp(logs)
    x = putts["distance_ft"].to_numpy()
    sign = {"uphill": 1, "level": 0, "downhill": -1}
    grade = 0.025 * np.array([sign[slope] for slope in putts["slope"].to_list()])
    level = 1.83**2 / (2 * 10 * 0.3048)
    ratio = level / (level + 5 / 7 * 9.81 * grade)
    sloped = pace * np.sqrt(0.34 + 0.66 * ratio**2)
    spread = sloped * np.sqrt((x + form.overshoot_ft) ** 2 + form.steady_ft**2)
    room = (4.25 - 1.68) / 24
    straight = 1 - 2 * norm.sf(np.arcsin(np.minimum(room / x, 1)), scale=line)
    roll = norm(x + form.overshoot_ft, spread)
    share = straight * (roll.cdf(x + form.window_ft) - roll.cdf(x))
    made = (putts["result"] == "holed").to_numpy()
    return -float(np.sum(np.log(np.maximum(np.where(made, share, 1 - share), 1e-300))))


@pytest.mark.parametrize("player", PLAYERS)
def test_a_second_opinion_on_makes_alone(many: dict[str, Fits], player: str) -> None:
    stroke = PLAYERS[player]
    at = list(PLAYERS).index(player)
    putts = play(stroke, ROUNDS, 1000 * at)
    best = minimize(
        own_cost, np.log([0.02, 0.1]), (putts, stroke.form), method="Powell", options={"xtol": 1e-6}
    )
    ours = many[player].makes_only[0]
    assert np.exp(best.x) == pytest.approx([ours.stroke.line_rad, ours.stroke.pace], rel=2e-3)


def test_the_report_counts_what_it_used() -> None:
    putts = play(Stroke(), 10, 4)
    fit = fit_stroke(putts)
    missed = putts.filter(pl.col("result") == "missed")
    assert (fit.putts, fit.misses, fit.leaves) == (putts.height, missed.height, missed.height)
    assert fit.line_range[0] < fit.stroke.line_rad < fit.line_range[1]
    assert fit.pace_range[0] < fit.stroke.pace < fit.pace_range[1]
    assert fit.level == 0.9
    narrow = fit_stroke(putts, level=0.5)
    assert narrow.stroke == fit.stroke
    assert fit.line_range[0] < narrow.line_range[0] < narrow.line_range[1] < fit.line_range[1]


def test_too_few_putts_are_said_in_words() -> None:
    putts = play(Stroke(), 4, 5)
    with pytest.raises(TooFewError, match=r"Too few putts to fit a stroke: 59 putts") as caught:
        fit_stroke(putts.head(59))
    assert "60 putts with 15 misses" in caught.value.hint
    holed = putts.filter(pl.col("result") == "holed")
    some = pl.concat([holed, putts.filter(pl.col("result") == "missed").head(14)])
    with pytest.raises(TooFewError, match="14 misses"):
        fit_stroke(some)


def test_a_prior_holds_few_putts_and_lets_go_of_many() -> None:
    prior = Prior(Stroke(), 0.3)
    player = Stroke(float(np.radians(2.0)), 0.14)
    putts = play(player, 60, 6)
    nothing = fit_stroke(putts.clear(), prior=prior)
    assert nothing.stroke.line_rad == pytest.approx(Stroke().line_rad, rel=1e-3)
    assert nothing.stroke.pace == pytest.approx(Stroke().pace, rel=1e-3)
    assert nothing.line_error / nothing.stroke.line_rad == pytest.approx(0.3, rel=0.01)
    assert (nothing.putts, nothing.misses, nothing.leaves) == (0, 0, 0)
    off = [
        np.log(fit_stroke(putts.head(count), prior=prior).stroke.line_rad / player.line_rad)
        for count in (0, 6, 60, putts.height)
    ]
    assert off[0] == pytest.approx(np.log(1.014 / 2.0), abs=1e-3)
    assert abs(off[1] - off[0]) < 0.3
    assert abs(off[3]) < 0.1
    tight = fit_stroke(putts.head(60), prior=Prior(Stroke(), 0.01))
    assert tight.stroke.line_rad == pytest.approx(Stroke().line_rad, rel=0.02)
    free = fit_stroke(putts)
    loose = fit_stroke(putts, prior=Prior(Stroke(), 100.0))
    assert loose.stroke.line_rad == pytest.approx(free.stroke.line_rad, rel=2e-3)


def rounded(putts: pl.DataFrame, step_ft: float) -> pl.DataFrame:
    """Leaves as they are written: to the nearest step, but never nothing."""
    near = (pl.col("leave_ft") / step_ft).round() * step_ft
    written = pl.max_horizontal(near, pl.lit(step_ft))
    missed = pl.col("result") == "missed"
    return putts.with_columns(pl.when(missed).then(written).otherwise("leave_ft").alias("leave_ft"))


@cache
def off_by_rounding(step_ft: float) -> tuple[float, float]:
    """How far leaves to a step move line and pace, in logarithms, over 150 rounds."""
    putts = play(PLAYERS["amateur"], 150, 11)
    exact, coarse = fit_stroke(putts).stroke, fit_stroke(rounded(putts, step_ft)).stroke
    return float(np.log(coarse.line_rad / exact.line_rad)), float(np.log(coarse.pace / exact.pace))


def test_leaves_to_half_a_foot_leave_the_pace_alone() -> None:
    line, pace = off_by_rounding(0.5)
    # 30 rounds know the pace to 3.7 %.
    assert abs(pace) < 0.02
    assert abs(line) < 0.05


@pytest.mark.parametrize("step_ft", [0.5, 1.0])
def test_leaves_to_a_step_leave_the_line_alone(step_ft: float) -> None:
    """30 rounds know the line to 5 %; half of that would be harmless.

    Nobody writes 0 for a miss, so the shortest length written, one step, stands for everything
    from the hole's edge to a step and a half, not from half a step. With that cell so the line
    comes out 1.3 % too narrow at half a foot and 1.4 % too wide at a foot (tried, 150 rounds).
    """
    assert abs(off_by_rounding(step_ft)[0]) < 0.025


def strange(**more: Any) -> pl.DataFrame:
    base = {"player": "Ada Brook", "date": START, "hole": 1, "putt": 1, "distance_ft": 4.0}
    base |= {"result": "missed", "leave_ft": 60.0}
    types = {"distance_ft": pl.Float64, "leave_ft": pl.Float64}
    return conform_putts(pl.DataFrame([{**base, **more}], schema_overrides=types))


@pytest.mark.parametrize(
    "more",
    [{"result": "conceded"}, {"surface": "off green"}, {"distance_ft": None}],
    ids=["conceded", "off the green", "length unknown"],
)
def test_putts_that_tell_nothing_change_nothing(more: dict[str, Any]) -> None:
    putts = play(Stroke(), 6, 8)
    fit, with_it = fit_stroke(putts), fit_stroke(pl.concat([putts, strange(**more)]))
    assert with_it.stroke == fit.stroke
    assert with_it.putts == fit.putts


def test_a_miss_without_a_leave_counts_as_a_miss() -> None:
    data = outcomes(pl.concat([strange(leave_ft=None), strange(leave_ft=0.0), strange()]))
    assert data.made.tolist() == [False, False, False]
    assert np.isfinite(data.leave_ft).tolist() == [False, False, True]
    assert data.leave_ft[2] == 60.0
    holed = outcomes(strange(result="holed", leave_ft=0.0))
    assert holed.made.tolist() == [True] and np.isnan(holed.leave_ft).all()


def test_own_grade_and_green_speed_are_used_where_written() -> None:
    down = {"slope": "downhill"}
    rows = [
        strange(slope="unknown"),
        strange(slope="level", grade=0.04, stimp_ft=12.0),
        strange(**down),
        strange(**down, grade=0.025, stimp_ft=10.0),
        strange(**down, grade=0.01),
        strange(**down, grade=0.025, stimp_ft=8.0),
        strange(slope="uphill"),
        # A ball would not stop there; the usual downhill slope stands in.
        strange(**down, grade=0.12, stimp_ft=14.0),
    ]
    slower = outcomes(pl.concat(rows)).slower
    assert slower[:2] == pytest.approx(1)
    # Penner 2002 and Karlsen & Nilsson 2008 by hand: 0.549 / (0.549 - 0.175) = 1.467.
    assert slower[2] == slower[3] == slower[7] == pytest.approx(1.328, abs=0.002)
    assert 1 < slower[4] < slower[5] < slower[3]
    assert slower[6] < 1


def test_the_same_putts_called_steeper_show_a_steadier_pace() -> None:
    putts = play(Stroke(), 60, 9, grade=0.035)
    written = putts.with_columns(pl.lit(0.035).alias("grade"))
    right, usual = fit_stroke(written).stroke.pace, fit_stroke(putts).stroke.pace
    assert right == pytest.approx(Stroke().pace, rel=0.08)
    assert usual > right


def test_one_slip_of_the_pencil_does_not_drag_the_fit() -> None:
    # 4 ft missed, 60 ft left: no stroke of this player does that.
    putts = play(Stroke(), 30, 10)
    fit, slipped = fit_stroke(putts).stroke, fit_stroke(pl.concat([putts, strange()])).stroke
    assert slipped.line_rad == pytest.approx(fit.line_rad, rel=0.02)
    assert slipped.pace == pytest.approx(fit.pace, rel=0.02)
    assert slipped.form == MENDED


def test_a_tap_in_left_as_long_as_it_was_does_not_drag_the_fit() -> None:
    """One of 364 putts, 0.4 ft leaving 0.4 ft, once moved the line and made its error 10 times too
    small: half the 30-round seasons of a poor putter were hit so. See test_likelihood.py.
    """
    putts = play(Stroke(float(np.radians(1.6)), 0.12), 10, 12)
    same = pl.col("leave_ft") == pl.col("distance_ft")
    tap_ins = putts.filter(same & (pl.col("distance_ft") < 0.5))
    assert tap_ins.height > 0
    fit, without = fit_stroke(putts), fit_stroke(putts.filter(~same))
    assert fit.line_error == pytest.approx(without.line_error, rel=0.1)
    assert fit.stroke.line_rad == pytest.approx(without.stroke.line_rad, rel=0.02)
