"""The stroke model and the data of 1988 against the published estimates (Gelman 2019, seen)."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import minimize_scalar
from scipy.special import ndtr

from sgputt.reference import read_notes, read_table, read_values
from sgputt.stroke import model
from sgputt.stroke.chain import GRID_FT, chain, leave_operator
from sgputt.stroke.model import PUBLISHED, PUBLISHED_TOUR, Array, Stroke, line_angle, make_share

VALUES = read_values("stroke_model")


def errors() -> dict[str, float]:
    table = read_table("stroke_model").drop_nulls("standard_error")
    return dict(table.select("name", "standard_error").iter_rows())


def test_the_constants_are_the_published_ones() -> None:
    # Seen; the hole's radius is printed with six digits.
    assert pytest.approx(VALUES["ball_radius_ft"], abs=1e-9) == model.BALL_RADIUS_FT
    assert pytest.approx(VALUES["hole_radius_ft"], abs=5e-7) == model.HOLE_RADIUS_FT
    assert PUBLISHED.overshoot_ft == VALUES["overshoot_ft"]
    assert PUBLISHED.window_ft == VALUES["capture_window_ft"]
    assert PUBLISHED.steady_ft == 0
    assert PUBLISHED_TOUR.line_deg == pytest.approx(VALUES["s_line_deg"])
    assert PUBLISHED_TOUR.pace == VALUES["s_pace"]


def test_the_mended_form_is_called_not_published() -> None:
    # The program's own form moves the published constants a little; it may never pass for them.
    own = Stroke()
    assert own.form != PUBLISHED
    assert own.line_deg == pytest.approx(VALUES["s_line_deg"], rel=0.02)
    assert own.pace == pytest.approx(VALUES["s_pace"], rel=0.1)
    distance = np.array([2.0, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 40, 50, 60])
    gap = make_share(own, distance) - make_share(PUBLISHED_TOUR, distance)
    # Both fit the same counts: makes may not move by more than a per cent of putts.
    assert np.abs(gap).max() < 0.01


@pytest.fixture(scope="module")
def counts_1988() -> tuple[Array, Array, Array]:
    table = read_table("tour_1988_makes")
    distance, tries, holed = (
        table[name].to_numpy().astype(np.float64) for name in ("distance_ft", "tries", "holed")
    )
    return distance, tries, holed


def test_logistic_fit_of_1988(counts_1988: tuple[Array, Array, Array]) -> None:
    # Published 2.23 (0.06) and -0.26 (0.01), to the digits printed; worked out to five digits,
    # its errors to four places (0.0584 stands where 0.05846 comes out).
    distance, tries, holed = counts_1988
    outcome = np.column_stack([holed, tries - holed])
    fit = sm.GLM(outcome, sm.add_constant(distance), family=sm.families.Binomial()).fit()
    for name, value, error in zip(("const", "slope"), fit.params, fit.bse, strict=True):
        published = f"logistic_1988_{name}"
        assert value == pytest.approx(VALUES[published], abs=0.005)
        assert error == pytest.approx(errors()[published], abs=0.005)
        assert value == pytest.approx(VALUES[f"{published}_ml"], abs=6e-6)
        assert error == pytest.approx(errors()[f"{published}_ml"], abs=1e-4)


def test_line_only_fit_of_1988(counts_1988: tuple[Array, Array, Array]) -> None:
    # Published 1.53 degrees (0.02), to the digits printed; worked out 0.0266454 rad.
    distance, tries, holed = counts_1988

    def surprise(line_rad: float) -> float:
        share = 2 * ndtr(line_angle(distance) / line_rad) - 1
        return float(-np.sum(holed * np.log(share) + (tries - holed) * np.log(1 - share)))

    found = minimize_scalar(surprise, bounds=(0.01, 0.1), method="bounded", options={"xatol": 1e-9})
    assert found.x == pytest.approx(VALUES["line_only_1988_ml_rad"], abs=1e-7)
    assert np.degrees(found.x) == pytest.approx(VALUES["line_only_1988_ml_deg"], abs=1e-5)
    assert np.degrees(found.x) == pytest.approx(VALUES["line_only_1988_deg"], abs=0.005)
    step = 1e-4
    bend = (surprise(found.x + step) - 2 * found.fun + surprise(found.x - step)) / step**2
    error_deg = np.degrees(1 / np.sqrt(bend))
    assert error_deg == pytest.approx(errors()["line_only_1988_deg"], abs=0.005)


def test_make_shares_of_line_and_pace() -> None:
    # Worked out from the published form, four digits, at the spreads in the file's notes.
    notes = read_notes("stroke_model_makes")
    stroke = Stroke(float(notes["s_line_rad"]), float(notes["s_pace"]), PUBLISHED)
    table = read_table("stroke_model_makes")
    shares = make_share(stroke, table["distance_ft"].to_numpy())
    assert shares == pytest.approx(table["make_share"].to_numpy(), abs=5.1e-5)


def test_line_and_pace_without_pace_error_is_line_only() -> None:
    distance = np.array([2.0, 8.0, 30.0])
    exact = make_share(Stroke(0.02, 1e-9, PUBLISHED), distance)
    assert exact == pytest.approx(2 * ndtr(line_angle(distance) / 0.02) - 1)


def test_expected_putts_of_the_chained_model() -> None:
    # Worked out by another program, three digits. It was worked out at 0.018 rad (1.031 degrees),
    # as the make shares were, although its note says "the published spreads" (1.020 degrees):
    # with 0.018 rad every figure comes back within rounding, with 1.020 degrees none beyond 3 ft.
    table = read_table("stroke_model_expected")
    distance, worked_out = table["distance_ft"].to_numpy(), table["expected_putts"].to_numpy()
    at_0018 = np.interp(distance, GRID_FT, chain(Stroke(0.018, 0.080, PUBLISHED)).expected_putts)
    assert at_0018 == pytest.approx(worked_out, abs=0.0006)
    published = np.interp(distance, GRID_FT, chain(PUBLISHED_TOUR).expected_putts)
    assert published == pytest.approx(worked_out, abs=0.006)
    assert (published < worked_out).all()


def downhill_over_uphill(stroke: Stroke) -> float:
    """Three-putts from 30 ft downhill over those uphill, comebacks along the opposite slope."""
    share = {}
    for sign in (1.0, -1.0):
        first, comeback = stroke.on_slope(0.025 * sign), stroke.on_slope(-0.025 * sign)
        left = leave_operator(first) @ (1 - make_share(comeback, GRID_FT))
        share[sign] = float(np.interp(30.0, GRID_FT, (1 - make_share(first, GRID_FT)) * left))
    return share[-1.0] / share[1.0]


def test_downhill_three_putts_are_more_than_uphill_ones() -> None:
    # Common practice without a source: "about three times". Worked out in reference.md with the
    # published form: 2.3 to 3.5 from 20 to 40 ft; its comeback putts are not described, ours run
    # along the opposite slope, at stimp 10 and 2.5 %: 2.2 from 30 ft. With the program's own form
    # the ratio is only 1.5: its steadier long pace and wider window forgive a slope. Direction
    # agrees; the size is a model's, and half of what is said.
    said = read_values("common_practice")["downhill_over_uphill_three_putts"]
    assert 2.0 < downhill_over_uphill(PUBLISHED_TOUR) < said + 0.5
    assert 1.0 < downhill_over_uphill(Stroke()) < said
