"""Two sets of rounds: hand-made differences, improvements found, and luck not taken for skill."""

from __future__ import annotations

from datetime import date, timedelta

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from sgputt.analysis.comparison import SCHEMA, Comparison, compare
from sgputt.baseline.catalogue import get_baseline
from sgputt.season.scored import Scored, score
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import PuttingStroke
from tests.season.hand import BASELINE, DAY, after_miss, expected, hole, one_putt, scored

AMATEUR = PuttingStroke(direction_deg=1.2, pace=0.10)
FAULT = (3.0, 10.0, PuttingStroke(direction_deg=2.6, read=0.5, pace=0.10))
START = date(2026, 1, 1)


def play(rounds: int, seed: int, *faults: tuple[float, float, PuttingStroke]) -> pl.DataFrame:
    golfer = InventedGolfer("Ada Brook", AMATEUR, faults)
    return invented_season(golfer, rounds, seed, START, every_days=1)


def of(putts: pl.DataFrame) -> Scored:
    return score(putts, BASELINE)


def day(number: int) -> date:
    return DAY + timedelta(days=number)


@pytest.fixture
def by_hand() -> Comparison:
    """Two rounds of a hole that two-putts from 20 ft; three that hole 8 ft twice of three."""
    first = scored(*(hole(1, 20, 2, date=day(at)) for at in range(2)))
    second = scored(hole(1, 8, date=day(10)), hole(1, 8, 1, date=day(11)), hole(1, 8, date=day(12)))
    return compare(first, second, ("2025", "2026"))


def test_the_difference_by_hand(by_hand: Comparison) -> None:
    before, after = expected(20) - 2, expected(8) - 1 - 1 / 3
    assert by_hand.first.per_round == pytest.approx(18 * before)
    assert by_hand.second.per_round == pytest.approx(18 * after)
    assert by_hand.difference == pytest.approx(18 * (after - before))
    assert (by_hand.first.rounds, by_hand.second.rounds) == (2, 3)
    assert (by_hand.first.putts, by_hand.second.putts, by_hand.second.holes) == (4, 4, 3)
    assert by_hand.low is not None and by_hand.high is not None
    assert by_hand.low < by_hand.difference < by_hand.high


def test_bands_and_components_by_hand(by_hand: Comparison) -> None:
    bands = {row["label"]: row for row in by_hand.bands.iter_rows(named=True)}
    assert list(bands) == ["0-3 ft", "7-10 ft", "15-25 ft"]
    twenty = bands["15-25 ft"]
    assert (twenty["putts_first"], twenty["putts_second"]) == (2, 0)
    assert twenty["difference"] == pytest.approx(-18 * (expected(20) - 1 - expected(2)))
    assert bands["7-10 ft"]["first"] == 0
    near = 18 * ((expected(1) - 1) / 3 - (expected(2) - 1))
    assert bands["0-3 ft"]["difference"] == pytest.approx(near)
    parts = {row["label"]: row for row in by_hand.components.iter_rows(named=True)}
    assert list(parts) == ["holing", "leave"]
    leave = 18 * ((after_miss(8) - expected(1)) / 3 - (after_miss(20) - expected(2)))
    assert parts["leave"]["difference"] == pytest.approx(leave)
    assert (parts["leave"]["putts_first"], parts["leave"]["putts_second"]) == (2, 1)
    for table in (by_hand.bands, by_hand.components):
        assert table.schema == pl.Schema(SCHEMA)
        assert table["difference"].sum() == pytest.approx(by_hand.difference)
        # Fewer than ten putts tell nothing.
        assert not table["told"].any()


def test_what_could_not_be_split_stands_apart() -> None:
    first = scored(*(hole(1, 20, None, date=day(at)) for at in range(2)))
    second = scored(*(hole(1, 20, 2, date=day(at)) for at in range(5, 7)))
    parts = compare(first, second).components
    assert parts["label"].to_list() == ["holing", "leave", "not split"]
    assert parts["putts_first"].to_list() == [2, 0, 2]
    rest = expected(20) - 2 + one_putt(20) * after_miss(20)
    assert parts["first"].to_list()[1:] == pytest.approx([0, 18 * rest])
    # Both took two putts from 20 ft: nothing between them as a whole.
    assert parts["difference"].sum() == pytest.approx(0, abs=1e-9)


def test_a_big_improvement_over_many_rounds_is_found() -> None:
    for seed in range(5):
        found = compare(of(play(40, 2 * seed + 1, FAULT)), of(play(40, 2 * seed + 2)), both=False)
        assert found.told and found.more_rounds is None
        assert found.low is not None and found.low > 0
        assert found.chance_second_better is not None and found.chance_second_better > 0.95
        assert found.words == "More than luck explains. Better: second."
        told = found.bands.filter("told")
        assert set(told["label"]) & {"3-5 ft", "5-7 ft", "7-10 ft"}
        assert (told["difference"] > 0).all()


def test_halves_of_the_same_player_are_seldom_told_apart() -> None:
    """Twenty seasons of 24 rounds, every other round against the rest: one in ten is allowed.

    Of these twenty, 2 differ beyond luck as a whole (10 %) and none in a band.
    """
    rounds = play(20 * 24, 5).with_columns((pl.col("date") - START).dt.total_days().alias("number"))
    whole = band = 0
    for _, one in rounds.group_by(pl.col("number") // 24, maintain_order=True):
        halves = [of(one.filter(pl.col("number") % 2 == half)) for half in (0, 1)]
        found = compare(halves[0], halves[1])
        whole += found.told
        band += bool(found.bands["told"].any())
    assert whole <= 3 and band <= 2


def test_too_few_rounds_say_how_many_more() -> None:
    first, second = of(play(10, 3, FAULT)), of(play(4, 4))
    now = compare(first, second, ("2025", "2026"))
    assert not now.told and now.more_rounds is not None
    assert now.words.startswith("Cannot be told from luck; about ")
    assert "more rounds of each would tell" in now.words
    past = compare(first, second, ("2025", "2026"), both=False)
    assert past.more_rounds is None or past.more_rounds >= now.more_rounds


def test_one_round_has_no_interval() -> None:
    one, many = scored(hole(1, 8)), of(play(5, 3))
    found = compare(many, one, ("2025", "2026"))
    assert (found.low, found.high, found.chance_second_better) == (None, None, None)
    assert not found.told and found.more_rounds is None
    assert found.words == "Cannot be told from luck: one round only (2026)."
    assert found.bands["low"].null_count() == found.bands.height
    assert "(2025, 2026)" in compare(one, one, ("2025", "2026")).words


def test_rounds_of_chip_ins_alone_compare_as_equal() -> None:
    rounds = scored(hole(1, 8), hole(1, 8, date=day(1)))
    holes = rounds.holes.with_columns(strokes_gained=0.0, putts=0)
    chipped = Scored(rounds.gained.clear(), holes, BASELINE)
    found = compare(chipped, chipped)
    assert (found.difference, found.low, found.high, found.told) == (0, 0, 0, False)
    assert found.bands.is_empty()


def test_no_difference_at_all_is_never_told() -> None:
    rounds = of(play(6, 3))
    found = compare(rounds, rounds)
    assert found.difference == 0
    assert found.chance_second_better == pytest.approx(0.5)
    assert not found.told and found.more_rounds is None
    assert "over 1000 more rounds of each" in found.words
    past = compare(rounds, rounds, ("2025", "2026"), both=False)
    assert past.words.endswith("too small for 6 rounds (2025), however many follow.")


def test_the_order_of_rows_does_not_matter() -> None:
    first, second = play(6, 3), play(6, 4)
    mixed = [each.sample(fraction=1.0, shuffle=True, seed=1) for each in (first, second)]
    one = compare(of(first), of(second))
    other = compare(of(mixed[0]), of(mixed[1]))
    assert other.low == pytest.approx(one.low) and other.high == pytest.approx(one.high)
    assert_frame_equal(one.bands, other.bands, rel_tol=1e-9)


def test_swapping_the_two_turns_the_sign() -> None:
    first, second = of(play(12, 3, FAULT)), of(play(12, 4))
    one, other = compare(first, second), compare(second, first)
    assert other.difference == pytest.approx(-one.difference)
    assert one.low is not None and other.high is not None
    assert other.high == pytest.approx(-one.low, abs=0.15)


def test_two_baselines_are_refused() -> None:
    rounds = play(2, 3)
    with pytest.raises(ValueError, match="tour, club; one for both"):
        compare(of(rounds), score(rounds, get_baseline("club")))
