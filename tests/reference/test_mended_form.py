"""The stroke model as published and as mended, side by side against the published facts.

The mended constants were fitted by sgputt.study.mend to makes and leaves together; they are worked
out, not published. What they were fitted to cannot test them, so this file is a statement of how
far each form is from each fact: what got better, and what it cost.

| fact                                 | published fact | published form | mended form |
|--------------------------------------|----------------|----------------|-------------|
| largest gap of a make share, 31 bins | 0              | 0.008          | 0.012       |
| median leave of a missed 10-footer   | 1.6 ft (seen)  | 0.98           | 1.36        |
| 10-footers short                     | 7 % (seen)     | 12.8           | 9.4         |
| three-putts, 8 ft (from memory)      | 1 %            | 0.07           | 0.5         |
| 10 ft                                | 1              | 0.2            | 0.8         |
| 15 ft                                | 1              | 0.8            | 1.9         |
| 20 ft                                | 2              | 1.8            | 3.3         |
| 30 ft                                | 5              | 5.0            | 6.9         |
| 40 ft                                | 10             | 9.2            | 11.3        |
| 50 ft                                | 17             | 13.7           | 15.9        |
| 60 ft                                | 23             | 18.3           | 20.5        |
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from sgputt.baseline.catalogue import get_baseline
from sgputt.reference import read_table, read_values
from sgputt.stroke.chain import GRID_FT, chain
from sgputt.stroke.model import (
    PUBLISHED,
    PUBLISHED_TOUR,
    TOUR,
    Array,
    Stroke,
    line_angle,
    make_share,
)
from sgputt.study.mend import facts, misfit

MAKES = read_table("tour_2016_2018_makes")
TABLE = read_table("tour_expected_putts")
AT_FT = TABLE["distance_ft"].to_numpy()
SAID = dict(zip(AT_FT, TABLE["three_putt_share"], strict=True))
MEDIAN_FT = read_values("green_physics")["tour_10_ft_miss_median_leave_ft"]
SHORT = read_values("amateur_facts")["left_short_10_ft_tour"]


def make_gaps(stroke: Stroke) -> Array:
    distance, tries, holed = (MAKES[name].to_numpy() for name in MAKES.columns[:3])
    return np.asarray(make_share(stroke, distance) - holed / tries, dtype=np.float64)


def median_leave(stroke: Stroke, distance_ft: float = 10.0) -> float:
    """Median leave of a miss, exact to 0.003 ft: strokes at even steps of both probabilities."""
    steps = (np.arange(1000) + 0.5) / 1000
    angle = stroke.line_rad * ndtri((1 + steps) / 2)[:, None]
    distance = np.array(distance_ft)
    roll = stroke.aim_ft(distance) + stroke.roll_spread_ft(distance) * ndtri(steps)
    made = (angle < line_angle(distance)) & (roll >= distance_ft)
    made &= roll <= distance_ft + stroke.form.window_ft
    return float(np.median(np.abs(roll * np.exp(1j * angle) - distance_ft)[~made]))


def short_share(stroke: Stroke) -> float:
    spread = stroke.roll_spread_ft(np.array(10.0))
    return float(ndtr(-stroke.form.overshoot_ft / spread))


def three_putts(stroke: Stroke) -> dict[float, float]:
    found = chain(stroke).three_putt
    return {ft: float(found[ft == GRID_FT].item()) for ft in AT_FT}


def gap(stroke: Stroke) -> dict[float, float]:
    """Three-putts less those published, by distance."""
    return {ft: share - SAID[ft] for ft, share in three_putts(stroke).items()}


# Worked out here; the table above to three digits.
WORKED_OUT = {
    "published": (PUBLISHED_TOUR, 0.0079, 0.977, 0.1279),
    "mended": (TOUR, 0.0116, 1.363, 0.0935),
}
THREE_PUTTS = {
    "published": [0.0007, 0.0019, 0.0080, 0.0185, 0.0503, 0.0917, 0.1370, 0.1827],
    "mended": [0.0048, 0.0081, 0.0189, 0.0331, 0.0693, 0.1127, 0.1588, 0.2047],
}


@pytest.mark.parametrize("form", WORKED_OUT)
def test_the_table_is_what_the_forms_say(form: str) -> None:
    stroke, make_gap, median_ft, short = WORKED_OUT[form]
    assert np.abs(make_gaps(stroke)).max() == pytest.approx(make_gap, abs=5e-5)
    assert median_leave(stroke) == pytest.approx(median_ft, abs=0.005)
    assert short_share(stroke) == pytest.approx(short, abs=5e-5)
    found = three_putts(stroke)
    shares = [found[ft] for ft in (8, 10, 15, 20, 30, 40, 50, 60)]
    assert shares == pytest.approx(THREE_PUTTS[form], abs=6e-5)


def test_what_got_better() -> None:
    assert abs(median_leave(TOUR) - MEDIAN_FT) < 0.5 * abs(median_leave(PUBLISHED_TOUR) - MEDIAN_FT)
    assert abs(short_share(TOUR) - SHORT) < 0.5 * abs(short_share(PUBLISHED_TOUR) - SHORT)
    ours, theirs = gap(TOUR), gap(PUBLISHED_TOUR)
    # Inside 10 ft the published shares are 0 or 1 whole per cent and not monotone at 8 ft, so the
    # sum from 7 to 10 ft is compared: 2 %, against 2.3 and 0.4.
    near = (7, 8, 9, 10)
    assert abs(sum(ours[ft] for ft in near)) < 0.005
    assert sum(theirs[ft] for ft in near) < -0.015
    for ft in (50, 60):
        assert abs(ours[ft]) < 0.6 * abs(theirs[ft])
    # At 40 ft they are the other way round, and no better: 1.3 points too many, 0.8 too few.
    assert (ours[40], theirs[40]) == pytest.approx((0.013, -0.008), abs=0.001)


def test_what_is_still_wrong_after_mending() -> None:
    assert median_leave(TOUR) == pytest.approx(MEDIAN_FT - 0.237, abs=0.005)
    assert short_share(TOUR) == pytest.approx(SHORT + 0.0235, abs=0.001)
    assert gap(TOUR)[50] == pytest.approx(-0.011, abs=0.001)
    assert gap(TOUR)[60] == pytest.approx(-0.025, abs=0.001)


def test_what_got_worse_and_by_how_much() -> None:
    # Makes: 1.2 points off at most, at 3.9 ft (too few), where the published form was 0.3 off.
    ours, theirs = np.abs(make_gaps(TOUR)), np.abs(make_gaps(PUBLISHED_TOUR))
    assert theirs.max() < ours.max() <= 0.012
    assert 0.003 < np.average(ours, weights=MAKES["tries"].to_numpy()) < 0.005
    # Three-putts from 15 to 30 ft: 0.9, 1.3 and 1.9 points too many, where the published form was
    # within 0.2. Since the published shares are from memory and whole per cents, half a point of
    # each is rounding.
    for ft, too_many in ((15, 0.009), (20, 0.013), (30, 0.019)):
        assert gap(TOUR)[ft] == pytest.approx(too_many, abs=0.001)
        assert abs(gap(PUBLISHED_TOUR)[ft]) < 0.0025


@pytest.mark.parametrize("ft", AT_FT)
def test_the_tour_baseline_still_gives_the_published_averages(ft: float) -> None:
    # The baseline takes its makes from the counts, so only leaves could have spoilt it.
    tolerance = 0.05 if ft >= 50 else 0.02
    expected = get_baseline("tour").expected_putts(np.array([ft]))[0]
    published = TABLE["expected_putts"].to_numpy()[ft == AT_FT].item()
    assert expected == pytest.approx(published, abs=tolerance)


def test_mending_took_the_baseline_nearer_from_40_ft_and_farther_at_20_to_30() -> None:
    tour = get_baseline("tour")
    measured = tour.table["one_putt"].to_numpy()
    old = np.interp(AT_FT, GRID_FT, chain(PUBLISHED_TOUR, measured).expected_putts)
    published = TABLE["expected_putts"].to_numpy()
    off = {"old": np.abs(old - published), "new": np.abs(tour.expected_putts(AT_FT) - published)}
    far, middle = AT_FT >= 40, (AT_FT >= 20) & (AT_FT <= 30)
    assert (off["new"][far] < off["old"][far]).all()
    assert off["new"][middle].max() > off["old"][middle].max()
    assert off["new"][middle].max() < 0.02


def test_the_study_finds_the_same_and_the_mended_form_fits_better_over_all() -> None:
    found = facts(TOUR)
    assert found.make_gap == pytest.approx(np.abs(make_gaps(TOUR)).max(), abs=1e-12)
    # The study reads the median off 24 x 24 x 3 nodes: 0.035 ft low with the mended form.
    assert found.median_leave_ft == pytest.approx(median_leave(TOUR), abs=0.045)
    assert found.short == pytest.approx(short_share(TOUR), abs=1e-12)
    assert found.three_putt == pytest.approx(three_putts(TOUR), abs=1e-12)
    # Makes alone: sum of squares 28 for 31 bins with the published form, 51 with the mended one;
    # with the leaves weighed in as the study does 101 against 70.
    assert facts(PUBLISHED_TOUR).make_misfit == pytest.approx(28.4, abs=0.1)
    assert found.make_misfit == pytest.approx(50.6, abs=0.1)
    assert misfit(TOUR) < 0.75 * misfit(PUBLISHED_TOUR)


def test_the_published_form_is_that_of_its_source() -> None:
    source = read_values("stroke_model")
    assert (PUBLISHED.overshoot_ft, PUBLISHED.window_ft) == (
        source["overshoot_ft"],
        source["capture_window_ft"],
    )
    assert PUBLISHED.steady_ft == 0
    assert PUBLISHED_TOUR.line_deg == pytest.approx(source["s_line_deg"])
    assert source["s_pace"] == PUBLISHED_TOUR.pace
