"""Rounds and seasons summed up: what counts, what is kept apart, and figures a round."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl
import pytest

from sgputt.analysis.round import round_report
from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import TooFewError
from sgputt.putts.table import HOLES_SCHEMA, conform_putts
from sgputt.season.scored import Scored, score
from sgputt.season.summary import season_summary
from sgputt.stroke.invented import InventedGolfer, invented_season

BASELINE = get_baseline("tour")
DAY = date(2025, 5, 3)


def expected(distance_ft: float) -> float:
    return float(BASELINE.expected_putts(np.array([distance_ft]))[0])


def putts(*rows: dict[str, Any]) -> pl.DataFrame:
    base = {"player": "Ada Brook", "course": "Heron Mere", "date": DAY}
    frame = pl.DataFrame(
        [{**base, **row} for row in rows],
        schema_overrides={"distance_ft": pl.Float64},
        infer_schema_length=None,
    )
    return conform_putts(frame)


def one(
    hole: int, putt: int, distance_ft: float | None, result: str, **more: Any
) -> dict[str, Any]:
    return {"hole": hole, "putt": putt, "distance_ft": distance_ft, "result": result, **more}


def holes(*endings: str, day: date = DAY) -> pl.DataFrame:
    facts = {"player": "Ada Brook", "course": "Heron Mere", "event": None, "date": day, "round": 1}
    rows = [
        {**facts, "hole": n, "par": None, "ending": ending} for n, ending in enumerate(endings, 1)
    ]
    return pl.DataFrame(rows, schema=HOLES_SCHEMA)


@pytest.fixture
def all_endings() -> Scored:
    """Two putts; chipped in; conceded; picked up at an unknown length; from off the green."""
    table = putts(
        one(1, 1, 20.0, "missed"),
        one(1, 2, 2.0, "holed"),
        one(3, 1, 12.0, "missed"),
        one(3, 2, 1.5, "conceded"),
        one(4, 1, 30.0, "missed"),
        one(5, 1, 50.0, "missed", surface="off green"),
        one(5, 2, 4.0, "holed"),
    )
    played = holes("holed", "chipped in", "conceded", "picked up", "holed")
    return score(table, BASELINE, played)


def test_each_ending_counts_as_it_should(all_endings: Scored) -> None:
    gained = [
        expected(20) - 2,
        0.0,
        expected(12) - 1 - expected(1.5),
        None,
        expected(4) - 1,
    ]
    assert all_endings.holes["strokes_gained"].to_list() == pytest.approx(gained)
    assert all_endings.holes["putts"].to_list() == [2, 0, 2, 1, 1]
    assert all_endings.holes["first_putt_ft"].to_list() == [20, None, 12, 30, 4]
    assert all_endings.holes["conceded"].to_list() == pytest.approx([0, 0, expected(1.5) - 1, 0, 0])
    assert all_endings.holes["left_out"].to_list() == [0, 0, 0, 1, 0]


def test_the_report_of_a_round(all_endings: Scored) -> None:
    report = round_report(all_endings)
    assert (report.holes, report.putts, report.left_out, report.off_green) == (5, 6, 1, 1)
    known = [x for x in all_endings.holes["strokes_gained"] if x is not None]
    assert report.strokes_gained == pytest.approx(sum(known))
    parts = report.holing + report.leave + report.not_split
    assert report.strokes_gained == pytest.approx(parts)
    assert report.conceded == pytest.approx(expected(1.5) - 1)
    assert (report.player, report.course, report.date) == ("Ada Brook", "Heron Mere", DAY)
    assert report.holes_table.height == 5


def test_a_hole_chipped_in_is_a_hole_of_the_season(all_endings: Scored) -> None:
    summary = season_summary(all_endings, "Ada Brook", "2025")
    assert (summary.rounds, summary.holes, summary.putts) == (1, 5, 6)
    assert summary.putts_per_round == pytest.approx(6 * 18 / 5)
    # The ball picked up after one putt was not holed by it.
    assert summary.one_putts_per_round == pytest.approx(1 * 18 / 5)
    assert summary.three_putts_per_round == 0


def test_without_a_list_of_holes_the_putts_show_them() -> None:
    table = putts(one(1, 1, 8.0, "holed"), one(2, 1, 8.0, "missed"), one(2, 2, 1.0, "conceded"))
    scored = score(table, BASELINE)
    assert scored.holes["ending"].cast(pl.String).to_list() == ["holed", "conceded"]
    assert scored.rounds["holes"].to_list() == [2]


def test_no_round_is_an_error() -> None:
    empty = putts(one(1, 1, 8.0, "holed")).clear()
    with pytest.raises(TooFewError, match="no round to score") as caught:
        score(empty, BASELINE)
    assert "sgputt import" in caught.value.hint


@pytest.fixture(scope="module")
def many() -> Scored:
    return score(invented_season(InventedGolfer("Ada Brook"), 20, 6, DAY), BASELINE)


def test_figures_are_those_of_rounds_added_up(many: Scored) -> None:
    summary = season_summary(many, "Ada Brook", "2025")
    rounds, played = many.rounds, int(many.rounds["holes"].to_numpy().sum())
    assert summary.rounds == rounds.height == 20
    assert summary.putts == many.gained.height
    scale = 18 / played
    for name in ("strokes_gained", "holing", "leave", "not_split"):
        estimate = getattr(summary, name)
        assert estimate.value == pytest.approx(rounds[name].to_numpy().sum() * scale)
    assert summary.strokes_gained.value == pytest.approx(
        summary.holing.value + summary.leave.value + summary.not_split.value
    )
    three = many.holes.filter(pl.col("putts") >= 3).height
    assert summary.three_putts_per_round == pytest.approx(three * scale)


def test_bands_add_up_to_the_whole(many: Scored) -> None:
    summary = season_summary(many, "Ada Brook", "2025")
    by_distance = summary.by_distance
    assert by_distance["per_round"].to_numpy().sum() == pytest.approx(summary.strokes_gained.value)
    assert by_distance.height == 8
    assert by_distance["putts"].sum() == many.gained["counts"].sum()
    assert summary.strokes_gained.low is not None and summary.strokes_gained.high is not None
    assert summary.strokes_gained.low < summary.strokes_gained.value < summary.strokes_gained.high


def test_one_round_has_no_interval(all_endings: Scored) -> None:
    summary = season_summary(all_endings, "Ada Brook", "2025")
    for name in ("strokes_gained", "holing", "leave", "not_split"):
        estimate = getattr(summary, name)
        assert (estimate.low, estimate.high) == (None, None)
    assert summary.by_distance["low"].null_count() == 8


def test_half_rounds_weigh_half() -> None:
    full = invented_season(InventedGolfer("Ada Brook"), 2, 9, DAY)
    days = sorted(full["date"].unique())
    cut = full.filter((pl.col("date") == days[0]) | (pl.col("hole") <= 9))
    scored = score(cut, BASELINE)
    summary = season_summary(scored, "Ada Brook", "2025")
    assert scored.rounds["holes"].to_list()[1] <= 9
    total = scored.rounds["strokes_gained"].to_numpy().sum()
    assert summary.strokes_gained.value == pytest.approx(18 * total / summary.holes)


def test_rounds_stand_in_the_order_played() -> None:
    later, first = (
        putts(one(1, 1, 8.0, "holed", date=DAY + timedelta(days=shift))) for shift in (7, 0)
    )
    second = putts(one(1, 1, 8.0, "holed", round=2))
    scored = score(pl.concat([later, second, first]), BASELINE)
    assert scored.rounds.select("date", "round").rows() == [
        (DAY, 1),
        (DAY, 2),
        (DAY + timedelta(days=7), 1),
    ]


def test_a_leave_written_only_behind_the_putt_keeps_the_total_exact() -> None:
    table = putts(one(1, 1, 20.0, "missed", leave_ft=5.0), one(1, 2, None, "holed", leave_ft=0.0))
    assert score(table, BASELINE).holes["strokes_gained"].item() == pytest.approx(expected(20) - 2)


def test_headline_intervals_are_never_narrower_than_chance() -> None:
    """Two rounds alike resample to themselves; others would not always have holed them."""
    days = (DAY, DAY + timedelta(days=7))
    summary = season_summary(
        score(putts(*(one(1, 1, 8.0, "holed", date=day) for day in days)), BASELINE), "", ""
    )
    for estimate in (summary.strokes_gained, summary.holing):
        assert estimate.low is not None and estimate.high is not None
        assert estimate.high - estimate.low > 1
    assert (summary.not_split.low, summary.not_split.high) == (0, 0)


def test_tap_ins_left_blank_hardly_change_the_leaves() -> None:
    """Who does not measure what is left inside 3 ft loses no more by leaves than was lost."""
    putts = invented_season(InventedGolfer("Ada Brook"), 30, 5, date(2026, 4, 2))
    short = (pl.col("distance_ft") <= 3) & (pl.col("putt") > 1) & (pl.col("result") == "holed")
    blank = putts.with_columns(
        pl.when(short).then(None).otherwise("distance_ft").alias("distance_ft"),
        pl.when(short.shift(-1)).then(None).otherwise("leave_ft").alias("leave_ft"),
    )
    assert blank["distance_ft"].null_count() > 200
    measured = season_summary(score(putts, BASELINE), "Ada", "2026")
    unmeasured = season_summary(score(blank, BASELINE), "Ada", "2026")
    assert unmeasured.leave.value == pytest.approx(measured.leave.value, abs=0.1)
    assert unmeasured.strokes_gained.value == pytest.approx(measured.strokes_gained.value)
    ours, theirs = (
        each.cells.filter((pl.col("component") == "leave") & (pl.col("slope") == "any"))
        for each in (unmeasured, measured)
    )
    assert ours["per_round"].sum() == pytest.approx(theirs["per_round"].sum(), abs=0.1)
