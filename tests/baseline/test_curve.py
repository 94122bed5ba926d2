"""A baseline between, at and beyond the points of its table."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from sgputt.baseline.catalogue import PUBLIC, get_baseline
from sgputt.baseline.curve import Baseline, each_once, stroke_table
from sgputt.errors import RangeError, SgputtError
from sgputt.physics.roll import Array
from sgputt.reference import read_table
from sgputt.stroke.player import PuttingStroke

TENTHS = st.integers(1, 1000).map(lambda tenths: tenths / 10)
ANY_LENGTH = st.floats(0.0, 100.0, exclude_min=True)
CURVES = ("expected_putts", "one_putt", "three_putt", "leave_spread")


@pytest.fixture(scope="module", params=[*PUBLIC, "a stroke"])
def baseline(request: pytest.FixtureRequest) -> Baseline:
    """Every baseline of the reference data, and one of an amateur's stroke."""
    if request.param != "a stroke":
        return get_baseline(request.param)
    table = stroke_table(PuttingStroke(direction_deg=1.7, read=0.4, pace=0.12))
    return replace(get_baseline("tour"), name="a stroke", table=table)


def values(baseline: Baseline, curve: str, distance_ft: Array) -> Array:
    found = getattr(baseline, curve)(distance_ft)
    assert isinstance(found, np.ndarray)
    return found


@pytest.mark.parametrize("curve", CURVES)
def test_a_curve_goes_through_every_point_of_its_table(baseline: Baseline, curve: str) -> None:
    distance = baseline.table["distance_ft"].to_numpy()
    found = values(baseline, curve, distance)
    assert found == pytest.approx(baseline.table[curve].to_numpy(), abs=1e-12)


def test_curves_are_monotone_at_every_hundredth_of_a_foot(baseline: Baseline) -> None:
    distance = np.arange(0.5, 100.0001, 0.01).clip(max=100.0)
    assert (np.diff(values(baseline, "expected_putts", distance)) >= 0).all()
    assert (np.diff(values(baseline, "one_putt", distance)) <= 0).all()
    assert (np.diff(values(baseline, "three_putt", distance)) >= 0).all()


def test_shares_are_shares_and_putts_at_least_one(baseline: Baseline) -> None:
    distance = np.linspace(0.5, 100, 500)
    one, three = (values(baseline, name, distance) for name in ("one_putt", "three_putt"))
    assert ((one > 0) & (one <= 1)).all()
    assert ((three >= 0) & (one + three <= 1)).all()
    # E >= 1 one-putts + 2 two-putts + 3 of the rest.
    least = 1 + (1 - one) + three
    expected = values(baseline, "expected_putts", distance)
    assert (expected >= least - 1e-6).all()
    assert (values(baseline, "leave_spread", distance) >= 0).all()


def test_a_tap_in_counts_as_half_a_foot(baseline: Baseline) -> None:
    short = np.array([1e-9, 0.1, 0.49, 0.5])
    for curve in CURVES:
        found = values(baseline, curve, short)
        assert (found == found[-1]).all()


@given(st.floats(100.0, 1e6, exclude_min=True) | st.floats(-1e6, 0.0) | st.just(np.inf))
def test_a_length_out_of_range_is_refused(distance_ft: float) -> None:
    tour = get_baseline("tour")
    with pytest.raises(RangeError, match="outside the baseline, which runs to 100 ft") as caught:
        tour.expected_putts(np.array([8.0, distance_ft]))
    assert "up to 100 ft (30.5 m)" in caught.value.hint
    with pytest.raises(RangeError, match="outside the baseline"):
        tour.one_putt(np.asarray(distance_ft))


def test_the_ends_themselves_are_allowed(baseline: Baseline) -> None:
    assert np.isfinite(values(baseline, "expected_putts", np.array([0.5, 100.0]))).all()


def test_an_unknown_length_stays_unknown(baseline: Baseline) -> None:
    found = values(baseline, "expected_putts", np.array([np.nan, 8.0]))
    assert np.isnan(found[0]) and np.isfinite(found[1])


def test_nothing_in_nothing_out(baseline: Baseline) -> None:
    assert values(baseline, "expected_putts", np.array([])).shape == (0,)
    assert values(baseline, "expected_putts", np.full((2, 3), 8.0)).shape == (2, 3)


def test_an_unknown_name_lists_those_there_are() -> None:
    with pytest.raises(SgputtError, match="no baseline 'scratch'") as caught:
        get_baseline("scratch")
    assert "tour" in caught.value.hint


def test_three_putts_of_the_table_belong_to_its_one_putts() -> None:
    # E - 1 is the share that misses once plus the share that misses twice, and so on.
    table = read_table("tour_baseline")
    one, expected, three = (
        table[name].to_numpy() for name in ("one_putt", "expected_putts", "three_putt")
    )
    # What is left over, four putts and more, is never negative and stays small.
    four = expected - 2 + one - three
    assert four.min() > -1e-8
    assert four.max() < 0.02


@given(st.lists(st.one_of(TENTHS, ANY_LENGTH, st.just(np.nan)), max_size=40))
def test_lengths_written_in_tenths_are_looked_up_as_scipy_would(lengths: list[float]) -> None:
    """Outside check: SciPy's PchipInterpolator on the same table."""
    tour = get_baseline("tour")
    table = tour.table
    distance = np.array(lengths, dtype=np.float64)
    names = ["expected_putts", "one_putt", "leave_spread"]
    scipy = PchipInterpolator(table["distance_ft"].to_numpy(), table[names].to_numpy())
    expected = scipy(np.maximum(distance, 0.5)).reshape(-1, 3)
    for at, found in enumerate(tour.before(distance)):
        np.testing.assert_array_equal(found, expected[:, at])
    np.testing.assert_array_equal(tour.expected_putts(distance), expected[:, 0])


def test_a_lookup_keeps_the_shape_it_is_given() -> None:
    tour = get_baseline("tour")
    for shape in ((), (1,), (2, 3), (0,), (2, 0)):
        for length in (10.0, 10.03, np.nan):
            found = tour.expected_putts(np.full(shape, length))
            assert isinstance(found, np.ndarray)
            assert found.shape == shape


@pytest.mark.parametrize(
    "unit_ft",
    [1 / 304.8, 1 / 30.48, 1 / 12, 0.1, 1e-5, None],
    ids=["millimetres", "centimetres", "inches", "tenths", "finer than its steps", "any"],
)
def test_lengths_are_found_once_as_numpy_sorts_them(unit_ft: float | None) -> None:
    rng = np.random.default_rng(1)
    lengths = rng.uniform(0.1, 60, 150_000)
    if unit_ft:
        lengths = np.round(lengths / unit_ft) * unit_ft
    for some in (lengths, np.append(lengths, 250.0), np.append(lengths, -1.0), lengths[:50]):
        once, at = each_once(some)
        assert once.tolist() == np.unique(some).tolist()
        assert np.array_equal(once[at], some)
