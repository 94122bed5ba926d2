"""Why putts missed: every reason from a putt made by hand, and sums that add up."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sgputt.baseline.catalogue import get_baseline
from sgputt.inference.intervals import wilson_interval
from sgputt.putts.table import conform_putts
from sgputt.reference import read_values
from sgputt.season.misses import REASONS, Reason, why_missed, with_reasons
from sgputt.season.scored import Scored, score
from sgputt.stroke.model import Stroke
from sgputt.stroke.simulate import Golfer, season

DAY = date(2025, 5, 3)
BASELINE = get_baseline("tour")
# 10-footers from the middle of a straight, level green of stimp 10, 2 ft past, unless said.
USUAL = {"player": "Ada Brook", "date": DAY, "putt": 1, "distance_ft": 10.0, "leave_ft": 2.0}
USUAL |= {"result": "missed", "slope": "level", "break": "straight"}
LAST = {"putt": 2, "distance_ft": None, "leave_ft": 0.0, "result": "holed"}


def putts(*rows: dict[str, Any]) -> pl.DataFrame:
    types = {"distance_ft": pl.Float64, "leave_ft": pl.Float64}
    table = [{**USUAL, "hole": hole, **row} for hole, row in enumerate(rows, 1)]
    # A miss of unknown leave counts only when the hole was finished.
    table += [
        {**row, **LAST} for row in table if row["leave_ft"] is None and rows[0].get("putt") is None
    ]
    return conform_putts(pl.DataFrame(table, schema_overrides=types, infer_schema_length=None))


def reasons(*rows: dict[str, Any]) -> list[str]:
    return [str(each) for each in with_reasons(score(putts(*rows), BASELINE).gained)["reason"]]


def past(side: str | None = None, bend: str = "straight", **more: Any) -> dict[str, Any]:
    return {**more, "miss_pace": "past", "miss_side": side, "break": bend}


BY_HAND: list[tuple[str, dict[str, Any]]] = [
    ("short", {"miss_pace": "short"}),
    ("short", {"miss_pace": "short", "miss_side": "left", "leave_ft": None}),
    ("short", {"miss_pace": "short", "miss_side": "left", "break": "left to right"}),
    ("too hard", past("none")),
    ("too hard", past("none", leave_ft=None)),
    ("too hard", past("left", leave_ft=9.0)),
    ("too hard", past("left", "left to right", leave_ft=9.0)),
    ("too hard", past(None, leave_ft=9.0)),
    ("high side", past("left", "left to right")),
    ("high side", past("right", "right to left")),
    ("high side", past("right", "right to left", leave_ft=None)),
    ("low side", past("right", "left to right")),
    ("low side", past("left", "right to left")),
    ("left", past("left")),
    ("right", past("right")),
    ("left", {"miss_side": "left"}),
    ("high side", {"miss_side": "left", "break": "left to right", "miss_pace": "unknown"}),
    ("unknown", {}),
    ("unknown", past()),
    ("unknown", past("unknown")),
    ("unknown", past("left", "unknown")),
    ("unknown", past("unknown", "left to right")),
    ("unknown", {"miss_side": "none"}),
    ("unknown", {"miss_pace": "unknown", "miss_side": "unknown", "leave_ft": 9.0}),
]


@pytest.mark.parametrize(("reason", "row"), BY_HAND, ids=str)
def test_each_miss_has_its_reason(reason: str, row: dict[str, Any]) -> None:
    assert reasons(row) == [reason]


def test_every_reason_is_in_that_list() -> None:
    assert {reason for reason, _ in BY_HAND} == set(REASONS)


def test_only_misses_that_count_have_a_reason() -> None:
    found = reasons(
        {"result": "holed", "leave_ft": 0.0},
        {"result": "conceded", "leave_ft": 0.0},
        {"surface": "off green", "miss_pace": "short"},
        {"distance_ft": None, "miss_pace": "short"},
        {"miss_pace": "short"},
    )
    assert found == ["short"]


def reach_by_hand(stimp_ft: float = 10.0, grade: float = 0.0) -> float:
    """Feet past for a ball at 1.63 m/s (Holmes 1991), by Penner's decelerations; second hand.

    ``v^2 / 2a`` with ``a = u^2 / 2S + (5/7) g grade`` and the stimpmeter's ``u = 1.83 m/s``: on the
    level 0.793 of the stimp, so 7.9 ft at 10; uphill at 2.5 % 6.0, downhill 11.6.
    """
    values = read_values("green_physics")
    level = values["release_speed_m_s"] ** 2 / (2 * stimp_ft * 0.3048)
    along = level + values["roll_factor"] * 9.81 * grade
    return float(values["capture_speed_max_m_s"] ** 2 / (2 * along) / 0.3048)


@pytest.mark.parametrize(
    ("facts", "reach_ft"),
    [
        ({}, 7.93),
        ({"slope": "unknown"}, 7.93),
        ({"stimp_ft": 8.0}, 6.35),
        ({"stimp_ft": 12.5}, 9.92),
        ({"slope": "uphill"}, 6.01),
        ({"slope": "downhill"}, 11.65),
        ({"slope": "downhill", "grade": 0.01, "stimp_ft": 11.0}, 10.15),
        ({"slope": "level", "grade": 0.03}, 7.93),
    ],
    ids=str,
)
def test_too_hard_begins_where_the_hole_takes_no_ball(
    facts: dict[str, Any], reach_ft: float
) -> None:
    sign = {"uphill": 1, "downhill": -1}.get(facts.get("slope", ""), 0)
    by_hand = reach_by_hand(facts.get("stimp_ft", 10.0), sign * facts.get("grade", 0.025))
    assert by_hand == pytest.approx(reach_ft, abs=0.01)
    near, far = (past("left", **{**facts, "leave_ft": by_hand * share}) for share in (0.995, 1.005))
    assert reasons(near, far) == ["left", "too hard"]


def test_where_a_ball_would_not_stop_nothing_is_too_hard_but_on_the_line() -> None:
    steep: dict[str, Any] = {"slope": "downhill", "grade": 0.1, "stimp_ft": 13.0}
    assert reach_by_hand(13.0, -0.1) < 0
    assert reasons(past("left", leave_ft=60.0, **steep)) == ["left"]
    assert reasons(past("none", leave_ft=60.0, **steep)) == ["too hard"]


def by_name(found: list[Reason]) -> dict[str, Reason]:
    return {each.reason: each for each in found}


def test_shares_are_of_the_misses_whose_reason_is_known() -> None:
    rows = [{"miss_pace": "short"}] * 3 + [past("left")] + [{}] * 6
    found = why_missed(score(putts(*rows), BASELINE))
    assert [each.reason for each in found] == ["short", "left", "unknown"]
    short, left, unknown = found
    assert (short.misses, left.misses, unknown.misses) == (3, 1, 6)
    assert (short.share, left.share) == (0.75, 0.25)
    # Wilson (1927) at 90 % by hand: z = 1.645, n = 4.
    z2 = 1.644854**2
    centre = (0.75 + z2 / 8) / (1 + z2 / 4)
    half = math.sqrt(z2 * (0.75 * 0.25 / 4 + z2 / 64)) / (1 + z2 / 4)
    assert (short.low, short.high) == pytest.approx((centre - half, centre + half), abs=1e-6)
    assert (left.low, left.high) == wilson_interval(1, 4)
    assert all(math.isnan(value) for value in (unknown.share, unknown.low, unknown.high))
    half_level = by_name(why_missed(score(putts(*rows), BASELINE), level=0.5))["short"]
    assert short.low < half_level.low < half_level.high < short.high


def test_one_round_has_no_interval_of_strokes() -> None:
    (short,) = why_missed(score(putts({"miss_pace": "short"}), BASELINE))
    assert (short.lost_low, short.lost_high) == (None, None)
    lost = 1 + BASELINE.expected_putts(np.array([2.0]))[0]
    lost -= BASELINE.expected_putts(np.array([10.0]))[0]
    assert short.lost_per_round == pytest.approx(18 * lost)


@pytest.mark.parametrize("rows", [[], [{"result": "holed", "leave_ft": 0.0}]], ids=["", "holed"])
def test_without_a_miss_there_is_no_reason(rows: list[dict[str, Any]]) -> None:
    made = putts({"result": "holed", "leave_ft": 0.0}, *rows)
    assert why_missed(score(made, BASELINE)) == []


@pytest.mark.parametrize(
    ("reason", "row", "agreeing"),
    [
        ("short", {"miss_pace": "short"}, {"pace"}),
        ("too hard", past("none"), {"pace"}),
        ("high side", past("left", "left to right"), {"read", "aim", "stroke"}),
        ("low side", past("right", "left to right"), {"read", "aim", "stroke"}),
        ("left", past("left"), {"read", "aim", "stroke"}),
        ("right", past("right"), {"read", "aim", "stroke"}),
        ("unknown", {}, set()),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_the_players_own_word(reason: str, row: dict[str, Any], agreeing: set[str]) -> None:
    for cause in ("read", "aim", "stroke", "pace"):
        (found,) = why_missed(score(putts({**row, "cause": cause}, row, row), BASELINE))
        assert found.reason == reason
        expected = (int(cause in agreeing), 1) if agreeing else (0, 0)
        assert (found.agree, found.said) == expected
    (silent,) = why_missed(score(putts(row), BASELINE))
    assert (silent.agree, silent.said) == (0, 0)


@pytest.fixture(scope="module")
def many() -> Scored:
    return score(season(Golfer("Ada Brook", Stroke()), 20, 6, DAY), BASELINE)


def lost_on_misses(scored: Scored) -> float:
    misses = scored.gained.filter(pl.col("counts") & (pl.col("result") == "missed"))
    gained = misses.select(pl.sum_horizontal("holing", "leave", "not_split").sum()).item()
    return float(-gained * 18 / scored.rounds["holes"].to_numpy().sum())


def test_strokes_lost_add_up_to_those_of_all_misses(many: Scored) -> None:
    found = why_missed(many)
    assert sum(each.lost_per_round for each in found) == pytest.approx(lost_on_misses(many))
    assert sum(each.misses for each in found) == (many.gained["result"] == "missed").sum()
    assert sum(each.share for each in found) == pytest.approx(1)
    for each in found:
        assert each.lost_low is not None and each.lost_high is not None
        assert each.lost_low <= each.lost_per_round <= each.lost_high


def test_an_unknown_leave_is_charged_with_what_came_after() -> None:
    # 20 ft, a second of unknown length missed, a third holed: three putts in all.
    rows: list[dict[str, Any]] = [
        {"hole": 1, "putt": 1, "distance_ft": 20.0, "leave_ft": None, "miss_pace": "short"},
        {**LAST, "hole": 1, "leave_ft": None, "result": "missed"},
        {**LAST, "hole": 1, "putt": 3},
    ]
    (short,) = why_missed(score(putts(*rows), BASELINE))
    expected = BASELINE.expected_putts(np.array([20.0]))[0]
    assert short.lost_per_round == pytest.approx(18 * (3 - expected))


def test_an_invented_season_misses_for_the_reasons_it_was_played_with(many: Scored) -> None:
    # The simulator writes side "none" when the line was good: then only pace is left.
    misses = with_reasons(many.gained)
    assert (misses["reason"] == "unknown").sum() == 0
    good_line = misses.filter(pl.col("miss_side") == "none")
    assert set(good_line["reason"].cast(pl.String)) == {"short", "too hard"}
    past_wide = misses.filter((pl.col("miss_pace") == "past") & (pl.col("miss_side") != "none"))
    sides = {"high side", "low side", "left", "right"}
    assert set(past_wide["reason"].cast(pl.String)) <= sides | {"too hard"}


@settings(max_examples=30)
@given(st.permutations(range(12)), st.integers(0, 3))
def test_the_order_of_rounds_does_not_matter(order: list[int], shift: int) -> None:
    rows = [
        {**row, "date": DAY + timedelta(days=(at + shift) % 4), "hole": at + 1}
        for at, (_, row) in enumerate(BY_HAND[:12])
    ]
    straight = why_missed(score(putts(*rows), BASELINE))
    mixed = why_missed(score(putts(*(rows[at] for at in order)), BASELINE))
    assert [(x.reason, x.misses) for x in mixed] == [(x.reason, x.misses) for x in straight]
    for one, other in zip(straight, mixed, strict=True):
        assert one.lost_per_round == pytest.approx(other.lost_per_round)
        assert one.lost_low == pytest.approx(other.lost_low)
