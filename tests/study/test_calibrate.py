"""The calibration study, two seasons of it: it runs, and its counts are counts."""

from __future__ import annotations

from sgputt.stroke.fitting import NAMES
from sgputt.study.calibrate import CalibrationCase, cases, run_case, table


def test_a_case_and_its_table() -> None:
    case = CalibrationCase("amateur", "as believed")
    found = run_case(case, seasons=2, rounds=12)
    for name in NAMES:
        assert 0 <= found[f"{name} held"] <= 1
        assert abs(found[f"{name} bias"]) < 0.6
    assert 0 <= found["told"] <= 1
    rows = table([(case, found)])
    assert rows.columns == ["player", "conditions", "value", "bias", "held", "told"]
    assert rows["value"].to_list() == list(NAMES)


def test_every_case_once() -> None:
    every = cases()
    assert len(set(every)) == len(every) == 12
