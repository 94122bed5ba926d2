"""The calibration study, a few seasons of it: it runs, and its counts are counts."""

from __future__ import annotations

import pytest

from sgputt.study import calibrate
from sgputt.study.calibrate import Case, cases, run_case, table

KEYS = ["total", "bands", "shrunk", "line", "pace", "line_bias", "pace_bias", "false"]
SHARES = ("total", "bands", "shrunk", "line", "pace", "false")


@pytest.fixture(autouse=True)
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """The truth from 300 rounds in place of 3,000."""
    monkeypatch.setattr(calibrate, "TRUTH_ROUNDS", 300)


def test_a_player() -> None:
    found = run_case(Case("tour", 10), seasons=5)
    assert list(found) == KEYS
    for name in SHARES:
        assert 0 <= found[name] <= 1
    # Of five seasons of ten rounds the mean line is known to about 4 %.
    assert abs(found["line_bias"]) < 0.15
    assert abs(found["pace_bias"]) < 0.15
    assert found["bands"] > 0.6 and found["shrunk"] > 0.6


def test_the_same_case_gives_the_same_counts() -> None:
    first, again = (run_case(Case("amateur", 10), seasons=2) for _ in range(2))
    assert repr(first) == repr(again)


def test_the_cases_and_their_table() -> None:
    every = cases()
    assert len(set(every)) == len(every)
    assert {case.player for case in every} == {"tour", "amateur"}
    rows = table([(every[0], dict.fromkeys(KEYS, 0.5)), (every[1], dict.fromkeys(KEYS, 1.0))])
    assert rows.columns == ["player", "rounds", *KEYS]
