"""Slope-fair baselines: what they promise exactly, and how far the model is from what is reported.

Every slope figure of the program is a model's. The second half of this file holds the figures of
that model beside evidence from outside, each shown for what it is, and does not pretend they agree.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtri

from sgputt.baseline.catalogue import PUBLIC, get_baseline
from sgputt.baseline.slope import USUAL_MIX, SlopeFair, slope_fair
from sgputt.reference import read_notes, read_values
from sgputt.stroke.chain import GRID_FT, slope_chain
from sgputt.stroke.model import PUBLISHED_TOUR, TOUR, Array, Stroke, line_angle, make_share

SLOPES = ("uphill", "level", "downhill")
PHYSICS = read_values("green_physics")
MIXES = {
    "usual": USUAL_MIX,
    "hilly": {"uphill": 0.5, "level": 0.0, "downhill": 0.5},
    "uphill home": {"uphill": 0.7, "level": 0.2, "downhill": 0.1},
    "no level at all": {"uphill": 0.5, "downhill": 0.5},
}
REACHED = GRID_FT[(GRID_FT >= 2) & (GRID_FT <= 75)]


@pytest.fixture(scope="module")
def fair() -> SlopeFair:
    return slope_fair(get_baseline("tour"))


def column(fair: SlopeFair, slope: str, name: str) -> Array:
    return fair.by_slope[slope].table[name].to_numpy()


@pytest.mark.parametrize("mix", MIXES.values(), ids=MIXES)
@pytest.mark.parametrize("name", PUBLIC)
def test_the_mix_gives_back_the_baseline_itself(name: str, mix: dict[str, float]) -> None:
    baseline = get_baseline(name)
    split = slope_fair(baseline, mix=mix)
    for curve in ("expected_putts", "one_putt", "three_putt"):
        mean = sum(share * column(split, slope, curve) for slope, share in mix.items())
        assert np.abs(mean - baseline.table[curve].to_numpy()).max() < 1e-12


def test_between_the_points_of_the_table_the_mix_is_near(fair: SlopeFair) -> None:
    # Each slope has a cubic of its own, and a mean of monotone cubics is not the cubic of means.
    distance = np.arange(0.5, 100.0, 0.05)
    plain = get_baseline("tour").expected_putts(distance)
    each = {slope: fair.by_slope[slope].expected_putts(distance) for slope in SLOPES}
    mean = sum(USUAL_MIX[slope] * each[slope] for slope in SLOPES)
    assert np.abs(mean - plain).max() < 2e-4


def test_downhill_costs_more(fair: SlopeFair) -> None:
    up, level, down = (column(fair, slope, "expected_putts") for slope in SLOPES)
    assert (down > level).all()
    assert (level > up).all()
    made_up, made_level, made_down = (column(fair, slope, "one_putt") for slope in SLOPES)
    assert (made_up > made_level).all()
    assert (made_level > made_down).all()


def test_three_putts_do_not_rise_evenly_from_uphill_to_downhill(fair: SlopeFair) -> None:
    # An uphill miss runs past and comes back downhill, a level one comes back level: inside about
    # 25 ft the level putt is three-putted least. A consequence of the model worth knowing.
    up, level, down = (column(fair, slope, "three_putt")[GRID_FT == 10].item() for slope in SLOPES)
    assert level < up < down
    up, level, down = (column(fair, slope, "three_putt")[GRID_FT == 40].item() for slope in SLOPES)
    assert up < level < down


@pytest.mark.parametrize("name", PUBLIC)
def test_each_slope_is_monotone_where_putts_are_met(name: str) -> None:
    split = slope_fair(get_baseline(name))
    seen = np.isin(GRID_FT, REACHED)
    for slope in SLOPES:
        assert (np.diff(column(split, slope, "expected_putts")[seen]) > 0).all()
        assert (np.diff(column(split, slope, "one_putt")[seen]) < 0).all()
        # The split goes by another model than the baseline: flat to 1 in 10,000 near the hole.
        assert (np.diff(column(split, slope, "three_putt")[seen]) > -1e-4).all()
        one, three = column(split, slope, "one_putt"), column(split, slope, "three_putt")
        assert ((one > 0) & (one <= 1) & (three >= 0) & (one + three <= 1 + 1e-12)).all()


def test_without_a_slope_all_are_the_baseline() -> None:
    flat = slope_fair(get_baseline("club"), grade=0.0)
    plain = get_baseline("club").table
    for slope in SLOPES:
        for curve in ("expected_putts", "one_putt"):
            assert column(flat, slope, curve) == pytest.approx(plain[curve].to_numpy(), abs=1e-12)


def test_steeper_and_faster_part_the_slopes_further() -> None:
    def gap(grade: float, stimp_ft: float) -> float:
        split = slope_fair(get_baseline("tour"), TOUR, grade, stimp_ft)
        down, up = (column(split, slope, "expected_putts") for slope in ("downhill", "uphill"))
        return float((down - up)[GRID_FT == 20].item())

    assert 0 < gap(0.01, 10.0) < gap(0.025, 10.0) < gap(0.025, 12.0) < gap(0.03, 12.0)


def test_the_assumption_is_named(fair: SlopeFair) -> None:
    for word in ("Model", "2.5 %", "stimp 10 ft", "40 % uphill", "20 % level", "40 % downhill"):
        assert word in fair.assumption
    for slope in SLOPES:
        assert fair.by_slope[slope].name == f"tour, {slope}"
    other = slope_fair(get_baseline("tour"), grade=0.03, stimp_ft=12.0, mix=MIXES["hilly"])
    for word in ("stimp 12 ft", "50 % uphill"):
        assert word in other.assumption


def test_the_sources_are_said_to_disagree() -> None:
    assert "not a measured fact" in read_notes("green_physics")["caution"]


# Beside evidence from outside.


@pytest.mark.parametrize(
    ("stroke", "grade", "at_20", "at_40"),
    [
        (PUBLISHED_TOUR, 0.025, 2.86, 2.10),
        (PUBLISHED_TOUR, 0.03, 3.47, 2.43),
        (TOUR, 0.025, 1.62, 1.73),
        (TOUR, 0.03, 1.69, 1.88),
    ],
    ids=["published 2.5 %", "published 3 %", "ours 2.5 %", "ours 3 %"],
)
def test_three_putts_downhill_over_uphill(
    stroke: Stroke, grade: float, at_20: float, at_40: float
) -> None:
    """Common practice, no source: about three times as many.

    The published form gives 2.1 to 3.5 from 20 to 40 ft (worked out; reference.md worked out 2.3
    to 3.5 at stimp 10 to 11), falling with length. The mended form, which the program uses,
    gives 1.6 to 1.9: it makes a ball meant to stop 1.4 ft past and a pace spread of which 4.7 ft
    worth is always there, so uphill three-putts from 20 ft are nearly three times as many as
    before (3.7 against 1.3 per cent) and the ratio falls. HALF of what is said: shown, not tuned.
    """
    found = slope_chain(stroke, grade, 10.0)
    long = (GRID_FT >= 20) & (GRID_FT <= 40)
    ratio = found["downhill"].three_putt[long] / found["uphill"].three_putt[long]
    assert ratio[0] == pytest.approx(at_20, abs=0.01)
    assert ratio[-1] == pytest.approx(at_40, abs=0.01)
    said = read_values("common_practice")["downhill_over_uphill_three_putts"]
    assert (ratio > 1.5).all()
    if stroke is TOUR:
        assert (ratio < said - 1).all()


@pytest.mark.parametrize(
    ("stroke", "grade", "points", "ratio"),
    [
        (PUBLISHED_TOUR, 0.025, 0.063, 1.137),
        (TOUR, 0.025, 0.081, 1.182),
        (TOUR, 0.03, 0.103, 1.243),
    ],
    ids=["published 2.5 %", "ours 2.5 %", "ours 3 %"],
)
def test_eight_footers_uphill_and_downhill(
    stroke: Stroke, grade: float, points: float, ratio: float
) -> None:
    """Tour (magazine columns by Broadie, 2019, seen): uphill holed "5 % more often".

    Whether points or a ratio, and on which grade, is not said. Our model: 8 points, or 18 %, at
    2.5 %. Either way too much, by half again at least: the model lets slope act on makes through
    pace alone and gives the player no way to aim softer downhill.
    """
    up, down = (make_share(stroke.on_slope(sign * grade), np.array([8.0]))[0] for sign in (1, -1))
    assert up - down == pytest.approx(points, abs=0.001)
    assert up / down == pytest.approx(ratio, abs=0.002)
    reported = PHYSICS["tour_8_ft_uphill_over_downhill_makes"]
    assert up - down > reported
    assert up / down - 1 > reported


def median_leave(stroke: Stroke, distance_ft: float = 10.0) -> float:
    """Median leave of a miss, exact to 0.003 ft: strokes at even steps of both probabilities."""
    steps = (np.arange(1000) + 0.5) / 1000
    angle = stroke.line_rad * ndtri((1 + steps) / 2)[:, None]
    distance = np.array(distance_ft)
    roll = stroke.aim_ft(distance) + stroke.roll_spread_ft(distance) * ndtri(steps)
    made = (angle < line_angle(distance)) & (roll >= distance_ft)
    made &= roll <= distance_ft + stroke.form.window_ft
    return float(np.median(np.abs(roll * np.exp(1j * angle) - distance_ft)[~made]))


def test_leaves_of_ten_footers_move_less_than_the_tours() -> None:
    """Tour (the same columns, seen): medians 1.6 ft; at 3 % 1.1 ft uphill, 2.1 ft downhill.

    A whole foot between up and down, where our model has an eighth: 1.37 ft up, 1.36 level and
    1.49 down.
    Players must be doing something downhill that the model does not have (perhaps rolling it
    farther past); strokes lost downhill by the leave are therefore understated by the model.
    """
    up, level, down = (median_leave(TOUR.on_slope(grade)) for grade in (0.03, 0.0, -0.03))
    assert [up, level, down] == pytest.approx([1.365, 1.363, 1.494], abs=0.005)
    reported = {
        name: PHYSICS[f"tour_10_ft_miss_median_leave{name}_ft"]
        for name in ("_uphill_3_percent", "", "_downhill_3_percent")
    }
    assert list(reported.values()) == [1.1, 1.6, 2.1]
    assert 0 < down - up < 0.2 * (reported["_downhill_3_percent"] - reported["_uphill_3_percent"])
    assert level < reported[""]


def test_where_the_published_evidence_would_put_us(fair: SlopeFair) -> None:
    """Fearing et al. (2011) found up or down insignificant in putts to go; Penner (2002) lets
    downhill putts tolerate more direction error, the opposite sign for makes (both second hand);
    a club-golfer experiment found uphill easier. So a slope's whole weight in the program stays
    small: it must not decide a round by itself.

    Between up and down: 0.08 putts at 8 and at 10 ft, 0.07 at 20, 0.09 at 40, 0.12 at 60.
    """
    distance = np.array([3.0, 8.0, 10.0, 20.0, 40.0, 60.0])
    up, down = (fair.by_slope[slope].expected_putts(distance) for slope in ("uphill", "downhill"))
    assert down - up == pytest.approx([0.024, 0.080, 0.083, 0.070, 0.091, 0.118], abs=0.002)
