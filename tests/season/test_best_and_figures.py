"""The best and worst rounds and what made them; the plain figures."""

from __future__ import annotations

from datetime import date, timedelta

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from sgputt.putts.table import HOLES_SCHEMA
from sgputt.season.scored import Scored, score
from sgputt.season.summary import figures, season_summary
from sgputt.season.trend import best_rounds, worst_rounds
from sgputt.stroke.invented import InventedGolfer, invented_season
from tests.season.hand import BASELINE, DAY, after_miss, expected, hole, one_putt, scored

LATER = DAY + timedelta(days=7)


@pytest.fixture
def two() -> Scored:
    """A good round of two holes and a bad one."""
    return scored(
        hole(1, 20),
        hole(2, 8, 1),
        hole(1, 20, 6, 1, date=LATER),
        hole(2, 8, 1, date=LATER),
    )


def test_the_best_round_and_what_made_it(two: Scored) -> None:
    (best,) = best_rounds(two)
    assert (best.date, best.holes) == (DAY, 2)
    assert best.strokes_gained == pytest.approx(expected(20) - 1 + expected(8) - 2)
    assert best.per_round == pytest.approx(9 * best.strokes_gained)
    made, missed = (1 - one_putt(20)) * after_miss(20), -one_putt(20) * after_miss(20)
    first = best.parts.row(0, named=True)
    assert (first["distance"], first["component"]) == ("15-25 ft", "holing")
    assert first["gained"] == pytest.approx(made)
    assert first["usual"] == pytest.approx((made + missed) / 2)
    assert first["difference"] == pytest.approx((made - missed) / 2)
    assert best.putts.select("hole", "putt", "distance_ft").rows()[0] == (1, 1, 20.0)
    assert best.putts["gained"][0] == pytest.approx(expected(20) - 1)


def test_a_band_not_met_sets_a_round_apart_too(two: Scored) -> None:
    parts = best_rounds(two)[0].parts
    six = parts.filter((pl.col("distance") == "5-7 ft") & (pl.col("component") == "holing"))
    assert six["gained"].item() == 0
    assert six["difference"].item() == pytest.approx(one_putt(6) * after_miss(6) / 2)


def test_the_worst_round_and_what_it_cost(two: Scored) -> None:
    (worst,) = worst_rounds(two)
    assert worst.date == LATER
    assert (worst.parts["difference"] < 0).all()
    cost = worst.putts.select("hole", "putt").rows()
    miss = {(1, 1): expected(20) - 1 - expected(6), (1, 2): expected(6) - 1 - expected(1)}
    miss[2, 1] = expected(8) - 1 - expected(1)
    assert cost == sorted(miss, key=lambda at: miss[at])
    assert worst.putts["gained"].to_list() == pytest.approx(sorted(miss.values()))


def test_rounds_of_nine_holes_are_ranked_as_of_eighteen() -> None:
    days = [DAY + timedelta(days=at) for at in range(4)]
    rounds = scored(
        # 12 ft holed on each of two holes gains more a hole than on two of four.
        *(hole(at, 12, date=days[0]) for at in (1, 2)),
        *(hole(at, 12, date=days[1]) for at in (1, 2)),
        *(hole(at, 12, 1, date=days[1]) for at in (3, 4)),
        *(hole(at, 12, 1, date=days[2]) for at in range(1, 5)),
        # One hole of four says too little.
        hole(1, 40, date=days[3]),
    )
    assert [each.date for each in best_rounds(rounds)] == [days[0]]
    assert [each.date for each in worst_rounds(rounds)] == [days[2]]


def test_one_putts_are_counted_alike_everywhere() -> None:
    rounds = scored(
        hole(1, 12), hole(2, 12, last="missed"), hole(3, 3, last="conceded"), hole(4, 12, 2)
    )
    holes = rounds.holes.with_columns(
        pl.Series("ending", ["holed", "picked up", "conceded", "holed"], dtype=pl.String)
    )
    counted = Scored(rounds.gained, holes, rounds.baseline)
    assert counted.rounds["one_putts"].item() == 2
    assert figures(counted).one_putts.holes == 2
    assert figures(counted).by_round["one_putts"].item() == 2
    assert season_summary(counted, "Ada", "2026").one_putts_per_round == pytest.approx(2 * 18 / 4)


def test_no_round_is_both_best_and_worst() -> None:
    putts = invented_season(InventedGolfer("Ada Brook"), 5, 3, DAY)
    rounds = score(putts, BASELINE)
    best, worst = best_rounds(rounds), worst_rounds(rounds)
    assert len(best) == len(worst) == 2
    assert not {each.date for each in best} & {each.date for each in worst}
    gained = [each.strokes_gained for each in best]
    assert gained == sorted(gained, reverse=True)
    assert len(best_rounds(rounds, most=1)) == 1


def test_one_round_is_neither(two: Scored) -> None:
    one = scored(hole(1, 8))
    assert best_rounds(one) == worst_rounds(one) == []


def test_a_miss_that_cannot_be_split_counts_with_its_hole() -> None:
    rounds = scored(hole(1, 8), hole(1, 20, None, None, date=LATER))
    (worst,) = worst_rounds(rounds)
    assert worst.putts["gained"].to_list() == pytest.approx([expected(20) - 3])
    assert "not split" in worst.parts["component"].to_list()


def test_figures_by_hand() -> None:
    found = figures(
        scored(
            hole(1, 20, 2),
            hole(2, 8),
            hole(3, 40, 6, 1),
            hole(4, 12, 1.5, last="conceded"),
            hole(1, 4, date=LATER),
        )
    )
    assert (found.rounds, found.holes, found.putts) == (2, 5, 9)
    assert (found.one_putts.holes, found.one_putts.of, found.one_putts.value) == (2, 5, 0.4)
    # Wilson at 90 %, z^2 = 2.7055: (2 + 1.3528 -+ 1.6449 sqrt(2 * 3 / 5 + 0.6764)) / 7.7055
    assert (found.one_putts.low, found.one_putts.high) == pytest.approx((0.1427, 0.7275), abs=1e-4)
    assert found.three_putts.value == 0.2
    assert found.putts_per_round.value == pytest.approx(9 * 18 / 5)
    assert found.feet_holed_per_round.value == pytest.approx((2 + 8 + 1 + 4) * 18 / 5)
    assert found.first_putt_ft == pytest.approx((20 + 8 + 40 + 12 + 4) / 5)
    assert found.holed_without_length == 0
    first, second = found.by_round.iter_rows(named=True)
    assert (first["holes"], first["putts"], first["feet_holed"]) == (4, 8, 11.0)
    assert (first["one_putts"], first["three_putts"], first["first_putt_ft"]) == (1, 1, 20.0)
    assert first["putts_per_round"] == pytest.approx(36)
    assert (second["one_putt_share"], second["one_putt_high"], second["three_putts"]) == (1, 1, 0)


def test_a_chip_in_is_a_hole_and_a_ball_picked_up_no_one_putt() -> None:
    putts = pl.concat([hole(1, 8), hole(3, 30, last="missed"), hole(4, 20, None)])
    facts = {"player": "Ada Brook", "course": "Heron Mere", "event": None, "date": DAY, "round": 1}
    endings = ["holed", "chipped in", "picked up", "holed"]
    holes = pl.DataFrame(
        [{**facts, "hole": at, "par": None, "ending": each} for at, each in enumerate(endings, 1)],
        schema=HOLES_SCHEMA,
    )
    found = figures(score(putts, BASELINE, holes))
    assert (found.one_putts.holes, found.one_putts.of) == (1, 4)
    assert found.feet_holed_per_round.value == pytest.approx(8 * 18 / 4)
    assert found.holed_without_length == 1
    assert found.putts_per_round.low is None


def test_only_chip_ins_have_no_first_putt() -> None:
    rounds = scored(hole(1, 8))
    none = Scored(rounds.gained.clear(), rounds.holes.with_columns(first_putt_ft=None), BASELINE)
    assert figures(none).first_putt_ft is None


def test_the_order_of_rows_does_not_matter() -> None:
    putts = invented_season(InventedGolfer("Ada Brook"), 6, 3, date(2026, 3, 1))
    shuffled = putts.sample(fraction=1.0, shuffle=True, seed=1)
    one, other = (figures(score(each, BASELINE)) for each in (putts, shuffled))
    assert_frame_equal(one.by_round, other.by_round, rel_tol=1e-9)
    assert one.one_putts == other.one_putts
    stories = [worst_rounds(score(each, BASELINE))[0] for each in (putts, shuffled)]
    assert_frame_equal(stories[0].parts, stories[1].parts, rel_tol=1e-9)
    assert_frame_equal(stories[0].putts, stories[1].putts, rel_tol=1e-9)
