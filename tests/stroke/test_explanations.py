"""Which habits explain a peak: a known normal likelihood stands for the putts."""

from __future__ import annotations

import numpy as np
import pytest

from sgputt.stroke.explanations import Explained, explain, sets_of_habits
from sgputt.stroke.fitting import NAMES
from sgputt.stroke.fitting import _precision as usual_precision

SIZE = len(usual_precision())
CENTRE = np.zeros(SIZE)
# A pull looks much like too little break one way and too much the other, as on real cards.
ERRORS = {"less_left_to_right": 0.1, "less_right_to_left": 0.1, "left_deg": 0.2, "long": 0.01}
ALIKE = {("less_left_to_right", "left_deg"): 0.6, ("less_right_to_left", "left_deg"): -0.6}


def explained(**peak: float) -> Explained:
    """Explain a peak at these values, no others known, with errors as of thirty rounds."""
    errors = np.full(SIZE, 0.05)
    alike = np.eye(SIZE)
    for name, error in ERRORS.items():
        errors[NAMES.index(name)] = error
    for (one, other), by in ALIKE.items():
        at, to = NAMES.index(one), NAMES.index(other)
        alike[at, to] = alike[to, at] = by
    values = CENTRE.copy()
    for name, value in peak.items():
        values[NAMES.index(name)] = value
    information = np.asarray(np.linalg.inv(alike * np.outer(errors, errors)), dtype=np.float64)
    return explain(values, information, CENTRE, usual_precision(), NAMES)


def test_a_fault_spread_over_three_values_is_one_habit() -> None:
    """As luck has it, the peak of a pull of 0.9 degrees lies also at two habits of the break."""
    found = explained(left_deg=0.7, less_left_to_right=-0.10, less_right_to_left=0.10)
    assert found.best == {("degrees", "all")}
    assert found.best_values[NAMES.index("left_deg")] == pytest.approx(0.9, abs=0.06)
    assert abs(found.best_values[NAMES.index("less_left_to_right")]) < 0.03


def test_one_habit_is_surer_than_all_at_once() -> None:
    found = explained(left_deg=0.9)
    at = NAMES.index("left_deg")
    assert np.sqrt(found.best_covariance[at, at]) < 0.9 * ERRORS["left_deg"]


@pytest.mark.parametrize(
    ("peak", "best"),
    [
        ({}, set()),
        ({"left_deg": 0.25, "long": 0.012}, set()),
        ({"less_left_to_right": 0.45}, {("break", "left to right")}),
        ({"less_left_to_right": 0.4, "less_right_to_left": 0.45}, {("break", "all")}),
        (
            {"less_left_to_right": 0.5, "less_right_to_left": -0.5},
            {("break", "left to right"), ("break", "right to left")},
        ),
        ({"long": 0.08, "left_deg": 1.2}, {("roll", "all"), ("degrees", "all")}),
    ],
)
def test_the_fewest_habits_are_taken(peak: dict[str, float], best: set[tuple[str, str]]) -> None:
    assert explained(**peak).best == best


def test_chances_are_those_of_sets_and_the_mean_lies_among_them() -> None:
    found = explained(less_left_to_right=0.2, less_right_to_left=0.2)
    assert all(0 <= chance <= 1 for chance in found.chances.values())
    at = NAMES.index("less_left_to_right")
    assert 0 < found.values[at] < 0.2
    assert np.linalg.eigvalsh(found.covariance).min() > 0
    assert len(set(sets_of_habits())) == len(sets_of_habits())
