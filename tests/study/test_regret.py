"""The study of regret, a season of it: it runs, and its regrets are regrets."""

from __future__ import annotations

import pytest

from sgputt.practice.marks import KnownStroke
from sgputt.practice.worth import Step, usual_putts, worth_of_steps
from sgputt.study.regret import FAULTS, RegretCase, cases, run_case, summed


def test_a_planted_fault_costs_about_a_stroke_a_round() -> None:
    met = usual_putts()
    for player in (1, 2):
        case = RegretCase(player, 30, "believed")
        parts = FAULTS[case.fault][0]
        stroke = case.stroke
        without = {part: getattr(RegretCase(0, 30, "believed").stroke, part) for part in parts}
        cost = sum(
            float(worth_of_steps(KnownStroke(stroke), [Step(part, 0.0)], met)[part].sum())
            for part in without
        )
        assert 0.6 < cost < 1.6, case.fault


def test_a_season() -> None:
    case = RegretCase(1, 20, "other")
    found = run_case(case)
    best = found["best"]
    assert isinstance(best, float)
    for rule in ("tool", "worst_cell", "make_gap"):
        worth = found[f"worth_{rule}"]
        assert isinstance(worth, float) and worth <= best + 1e-12
    assert found["right"] in (0.0, 1.0)
    table = summed([(case, found), (RegretCase(0, 20, "other"), {**found, "right": None})])
    assert table["players"].to_list() == [2]
    assert table["tool"][0] == pytest.approx(best - float(found["worth_tool"] or 0))


def test_its_cases() -> None:
    every = cases(6)
    assert len(set(every)) == len(every) == 6 * 5 * 2
    assert {case.fault for case in cases(40)} == {"none", *FAULTS}
