"""Strokes gained by month, event, course, green speed, break, first and later putt."""

from __future__ import annotations

from datetime import date

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from sgputt.season.breakdown import BY, SCHEMA, gained_by
from sgputt.season.scored import Scored, score
from sgputt.stroke.invented import InventedGolfer, invented_season
from tests.season.hand import BASELINE, after_miss, expected, hole, one_putt, scored


@pytest.fixture
def three() -> Scored:
    """Three rounds of one hole each: two in March, one in April."""
    return scored(
        hole(1, 20, 2, event="Medal", stimp_ft=9.0, **{"break": "left to right"}),
        hole(1, 8, date=date(2026, 3, 20), stimp_ft=9.5, **{"break": "straight"}),
        hole(1, 40, 6, 1, date=date(2026, 4, 2), course="Quarry Hill"),
    )


def values(table: pl.DataFrame) -> dict[str, float]:
    return dict(table.select("label", "per_round").rows())


GAINED = [expected(20) - 2, expected(8) - 1, expected(40) - 3]


def test_by_month(three: Scored) -> None:
    table = gained_by(three, "month")
    assert table["label"].to_list() == ["2026-03", "2026-04"]
    assert table["rounds"].to_list() == [2, 1]
    assert table["putts"].to_list() == [3, 3]
    assert table["per_round"].to_list() == pytest.approx([9 * sum(GAINED[:2]), 18 * GAINED[2]])
    low, value, high = table.select("low", "per_round", "high").row(0)
    assert low < value < high
    assert table.select("low", "high").row(1) == (None, None)


def test_by_event_course_and_green_speed(three: Scored) -> None:
    assert values(gained_by(three, "event")) == pytest.approx(
        {"Medal": 18 * GAINED[0], "no event": 9 * sum(GAINED[1:])}
    )
    assert gained_by(three, "course")["label"].to_list() == ["Heron Mere", "Quarry Hill"]
    # 9 ft is in the band up to it, (8, 9].
    assert values(gained_by(three, "stimp")) == pytest.approx(
        {"8-9 ft": 18 * GAINED[0], "9-10 ft": 18 * GAINED[1], "unknown": 18 * GAINED[2]}
    )


def test_by_break_adds_up_to_the_season(three: Scored) -> None:
    table = gained_by(three, "break")
    assert table["label"].to_list() == ["left to right", "straight", "unknown"]
    assert table["per_round"].to_list() == pytest.approx([6 * each for each in GAINED])
    assert table["rounds"].to_list() == [1, 1, 1]


def test_first_and_later_putts(three: Scored) -> None:
    first = GAINED[0] - (expected(2) - 1) + GAINED[1] + expected(40) - 1 - expected(6)
    later = expected(2) - 1 + expected(6) - 2
    assert values(gained_by(three, "putt")) == pytest.approx(
        {"first putt": 6 * first, "later putts": 6 * later}
    )


def test_what_is_not_split_is_neither_first_nor_later() -> None:
    table = gained_by(scored(hole(1, 20, None), hole(2, 8)), "putt")
    miss = -one_putt(20) * after_miss(20)
    assert values(table) == pytest.approx(
        {
            "first putt": 9 * (miss + expected(8) - 1),
            "not split": 9 * (expected(20) - 2 - miss),
        }
    )
    assert table["putts"].to_list() == [2, 1]


def test_the_first_putt_from_the_green_is_the_first() -> None:
    fringe = hole(1, 30, 4)
    fringe = fringe.with_columns(
        pl.Series("surface", ["off green", "green"], dtype=fringe["surface"].dtype)
    )
    assert gained_by(scored(fringe), "putt")["label"].to_list() == ["first putt"]


def test_a_round_of_chip_ins_counts_in_its_month(three: Scored) -> None:
    chipped = three.holes.head(1).with_columns(
        pl.lit(date(2026, 3, 25)).alias("date"),
        pl.lit("chipped in").cast(three.holes["ending"].dtype).alias("ending"),
        pl.lit(0.0).alias("strokes_gained"),
    )
    rounds = Scored(three.gained, pl.concat([three.holes, chipped]), BASELINE)
    table = gained_by(rounds, "month")
    assert table["rounds"].to_list() == [3, 1]
    assert table["per_round"][0] == pytest.approx(6 * sum(GAINED[:2]))


@pytest.mark.parametrize("what", BY)
def test_every_breakdown_adds_up_and_does_not_heed_the_order_of_rows(what: str) -> None:
    putts = invented_season(InventedGolfer("Ada Brook"), 8, 3, date(2026, 3, 1))
    table = gained_by(score(putts, BASELINE), what)
    assert table.schema == pl.Schema(SCHEMA)
    shuffled = score(putts.sample(fraction=1.0, shuffle=True, seed=1), BASELINE)
    assert_frame_equal(table, gained_by(shuffled, what), rel_tol=1e-9)
    whole = score(putts, BASELINE).rounds
    total = whole["strokes_gained"].to_numpy().sum() * 18 / whole["holes"].to_numpy().sum()
    if what in ("break", "putt"):
        assert table["per_round"].sum() == pytest.approx(total)
    assert table["putts"].sum() == putts.height
    assert (table["low"] < table["per_round"]).all() and (table["per_round"] < table["high"]).all()


def test_intervals_are_never_narrower_than_chance() -> None:
    """Two holes holed alike resample to themselves; others would not always have holed them."""
    days = (date(2026, 3, 1), date(2026, 3, 8))
    table = gained_by(scored(*(hole(1, 8, date=day) for day in days)), "course")
    low, high = table.select("low", "high").row(0)
    assert high - low > 1


def test_another_word_is_refused(three: Scored) -> None:
    with pytest.raises(ValueError, match="'weather'; one of month, event"):
        gained_by(three, "weather")
