"""The calibration study, a few seasons of it: it runs, and its counts are counts."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from sgputt.putts.bands import RANGES_FT
from sgputt.study import calibrate
from sgputt.study.calibrate import Case, cases, run_case, table

KEYS = ["total", "bands", "shrunk", "line", "pace", "line_bias", "pace_bias", "false"]
KEYS += ["found", "best"]
SHARES = ("total", "bands", "shrunk", "line", "pace", "false", "found", "best")


@pytest.fixture(autouse=True)
def short(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The truth from 300 rounds in place of 3,000; faults sized so are not kept for others."""
    monkeypatch.setattr(calibrate, "TRUTH_ROUNDS", 300)
    yield
    calibrate._fault.cache_clear()


def test_a_player_without_a_weakness() -> None:
    found = run_case(Case("tour", 10), seasons=5)
    assert list(found) == KEYS
    for name in SHARES[:6]:
        assert 0 <= found[name] <= 1
    assert math.isnan(found["found"]) and math.isnan(found["best"])
    # Of five seasons of ten rounds the mean line is known to about 4 %.
    assert abs(found["line_bias"]) < 0.15
    assert abs(found["pace_bias"]) < 0.15
    assert found["bands"] > 0.6 and found["shrunk"] > 0.6


@pytest.mark.parametrize(
    ("band", "component"), [("3-5 ft", "holing"), ("40+ ft", "leave")], ids=["holing", "leave"]
)
def test_a_planted_weakness(band: str, component: str) -> None:
    case = Case("tour", 30, band, component=component, size=0.4)
    (fault,) = case.golfer().weaknesses
    low, high = RANGES_FT[band]
    assert (fault.low_ft, fault.high_ft) == (low, high)
    if component == "holing":
        assert 0.05 < fault.lost_makes < 0.5 and fault.longer_leaves == 1
    else:
        assert fault.lost_makes == 0 and 1.2 < fault.longer_leaves < 4
    found = run_case(case, seasons=3)
    assert list(found) == KEYS
    assert math.isnan(found["line"]) and math.isnan(found["pace_bias"])
    for name in ("total", "bands", "shrunk", "false", "found", "best"):
        assert 0 <= found[name] <= 1


def test_the_same_case_gives_the_same_counts() -> None:
    first, again = (run_case(Case("amateur", 10), seasons=2) for _ in range(2))
    assert repr(first) == repr(again)


def test_the_cases_and_their_table() -> None:
    every = cases()
    assert len(set(every)) == len(every)
    assert {case.player for case in every} == {"tour", "amateur"}
    planted = [case for case in every if case.band]
    assert all(case.band in RANGES_FT and case.size > 0 for case in planted)
    assert all(case.component in ("holing", "leave") for case in planted)
    rows = table([(every[0], dict.fromkeys(KEYS, 0.5)), (planted[0], dict.fromkeys(KEYS, 1.0))])
    assert rows.columns == ["player", "rounds", "planted", "size", *KEYS]
    assert rows["planted"].to_list() == ["", "3-5 ft, any, holing"]
