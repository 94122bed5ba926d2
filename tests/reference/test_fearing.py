"""An independent tour curve (Fearing, Acimovic & Graves 2011) against the tour baseline.

The published formula is coded here a second time, from its coefficients alone: chance of holing,
gamma distributed leave after a miss, and the two chained to the hole on a grid of our own.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import expit
from scipy.stats import gamma

from sgputt.baseline.catalogue import get_baseline
from sgputt.physics.roll import Array
from sgputt.reference import read_notes, read_table, read_values

VALUES = read_values("fearing_2011")
LIMIT_FT = float(read_notes("fearing_2011")["limit_ft"])
STEP_FT = 0.1
GRID_FT: Array = np.arange(STEP_FT, LIMIT_FT + STEP_FT / 2, STEP_FT)


def make_chance(distance_ft: Array) -> Array:
    d = np.minimum(distance_ft, LIMIT_FT)
    powers = sum(VALUES[f"make_d{k if k > 1 else ''}"] * d**k for k in (1, 2, 3, 4))
    logit = VALUES["make_const"] + VALUES["make_ln_d"] * np.log(d) + powers
    return np.asarray(expit(logit), dtype=np.float64)


def mean_leave(distance_ft: Array) -> Array:
    d = np.minimum(distance_ft, LIMIT_FT)
    bend = VALUES["leave_d"] * d + VALUES["leave_d2"] * d**2
    return np.asarray(np.exp(VALUES["leave_const"] + VALUES["leave_ln_d"] * np.log(d) + bend))


def chained() -> Array:
    """Expected putts on the grid: E = 1 + (1 - p) W E, W the gamma mass around each point."""
    shape = VALUES["leave_gamma_shape"]
    edges = np.concatenate([[0.0], (GRID_FT[:-1] + GRID_FT[1:]) / 2, [np.inf]])
    scale = (mean_leave(GRID_FT) / shape)[:, None]
    mass = np.diff(gamma.cdf(edges[None, :], shape, scale=scale), axis=1)
    missed = 1 - make_chance(GRID_FT)
    system = np.eye(len(GRID_FT)) - missed[:, None] * mass
    return np.asarray(np.linalg.solve(system, np.ones(len(GRID_FT))), dtype=np.float64)


EXPECTED = chained()


@pytest.mark.parametrize("row", read_table("fearing_2011_checks").to_dicts(), ids=str)
def test_the_formula_gives_the_figures_worked_out_from_it(row: dict[str, float]) -> None:
    # Worked out, not published, by another program on another grid: the third digit.
    ours = float(np.interp(row["distance_ft"], GRID_FT, EXPECTED))
    assert ours == pytest.approx(row["expected_putts"], abs=0.0015)


def gaps(distance_ft: Array) -> Array:
    ours = get_baseline("tour").expected_putts(distance_ft)
    return np.asarray(ours - np.interp(distance_ft, GRID_FT, EXPECTED), dtype=np.float64)


def test_the_tour_baseline_is_near_the_second_curve() -> None:
    # Coefficients second hand, of earlier seasons; reference.md found 0.025 against the published
    # table, and 0.03 is asked for here from 3 to 47 ft; beyond, our three-putts are too few
    # (0.0304 at 48 ft).
    assert np.abs(gaps(np.arange(3.0, 48.0))).max() < 0.03


def test_beyond_50_ft_the_tour_baseline_is_the_easier_curve() -> None:
    # NOT within 0.03: the gap grows to 0.046 at 60 ft, one way only. The published averages show
    # the same at half the size (test_tour_baseline.py): long leaves of the model are too short.
    gap = gaps(np.arange(51.0, 61.0))
    assert gap.min() > -0.05
    assert gap.max() < 0


def test_both_curves_hole_alike() -> None:
    # Share holed, 2 to 75 ft, different seasons. Most apart (0.02) at 5 ft, where the earlier
    # curve holes more, as the published per cents do.
    distance = np.arange(2.0, LIMIT_FT + 1)
    gap = get_baseline("tour").one_putt(distance) - make_chance(distance)
    assert np.abs(gap).max() < 0.025


def test_the_words_of_the_paper_follow_from_its_formula() -> None:
    # "50 % from 8 ft, 20 % from 16 ft", second hand: to the foot.
    assert make_chance(np.array([VALUES["half_holed_ft"]]))[0] == pytest.approx(0.5, abs=0.02)
    assert make_chance(np.array([VALUES["fifth_holed_ft"]]))[0] == pytest.approx(0.2, abs=0.02)
