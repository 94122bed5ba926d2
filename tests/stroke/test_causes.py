"""What a stroke says to its player: on invented players whose stroke is known."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import numpy as np
import polars as pl
import pytest

from sgputt.stroke.causes import CAUSES, first_putts_met, stroke_causes
from sgputt.stroke.explanations import NEXT_TO_NONE
from sgputt.stroke.fitting import NAMES, fit_putting_stroke, stroke_of
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.player import SPREADS, TOUR_STROKE, PuttingStroke, one_step_better

ROUNDS = 40


def season(stroke: PuttingStroke, seed: int = 1, rounds: int = ROUNDS) -> pl.DataFrame:
    golfer = InventedGolfer("A", stroke)
    conditions = Conditions(stimp_spread_ft=0.8)
    return invented_season(golfer, rounds, seed, date(2024, 1, 1), 3, conditions=conditions)


AMATEUR = PuttingStroke(direction_deg=1.5, read=0.35, pace=0.11)
PLANTED = {
    ("too little break", "left to right"): {"less_left_to_right": 0.5},
    ("too little break", "all"): {"less_left_to_right": 0.4, "less_right_to_left": 0.4},
    ("left", "all"): {"left_deg": 0.9},
    ("short", "all"): {"long": -0.1},
    ("short", "uphill"): {"long_uphill": -0.12},
}


@pytest.mark.parametrize(("planted", "parts"), list(PLANTED.items()))
def test_a_planted_habit_is_told_with_its_size(
    planted: tuple[str, str], parts: dict[str, float]
) -> None:
    stroke = PuttingStroke(1.5, 0.35, 0.11, **parts)
    found = stroke_causes(season(stroke), ROUNDS * 18)
    told = {(each.habit, each.where): each for each in found.told}
    assert planted in told
    habit = told[planted]
    assert habit.size == pytest.approx(abs(next(iter(parts.values()))), rel=0.35)
    assert habit.low < habit.size < habit.high
    # However many putts there are, the interval keeps the doubt of the model itself.
    doubt = NEXT_TO_NONE[
        {"share of the break": "break", "degrees": "degrees"}.get(habit.unit, "roll")
    ]
    assert habit.high - habit.size > 1.64 * doubt
    assert habit.worth_per_round.value > 0.1
    assert habit.chance > 0.99


def test_parts_and_misses_of_a_stroke_without_habits() -> None:
    found = stroke_causes(season(AMATEUR, 3), ROUNDS * 18)
    assert [each.part for each in found.parts] == ["read", "direction", "pace"]
    for part in found.parts:
        assert part.low < part.value < part.high
        assert part.better < part.value
        assert part.worth_per_round.value > 0
    assert sum(each.share for each in found.misses) == pytest.approx(1.0)
    assert sum(each.lost_per_round for each in found.misses) > 0
    shares = found.each_miss.select(CAUSES).to_numpy()
    assert np.allclose(shares.sum(axis=1), 1.0)
    assert found.told == []
    for habit in found.habits:
        worth = habit.worth_per_round
        assert 0 <= worth.low <= worth.value <= worth.high < 1
    json.dumps(found.as_dict())


def test_the_worth_of_a_habit_ends_with_what_its_ends_cost() -> None:
    """A size of 0.000 had a worth of up to 2.92: its square was taken at the ends."""
    putts = season(AMATEUR, 3, 6)
    fit = fit_putting_stroke(putts)
    values = fit.values.copy()
    values[NAMES.index("left_deg")] = 1e-4
    nearly = replace(fit, values=values)
    found = stroke_causes(putts, 6 * 18, fit=nearly)
    (left,) = (each for each in found.habits if each.unit == "degrees")
    assert left.size == pytest.approx(1e-4) and left.low == 0
    met = replace(first_putts_met(putts, 6 * 18), grade=fit.grade)
    values[len(SPREADS) :] = 0
    clean = stroke_of(values)
    cost = met.putts_a_round(replace(clean, left_deg=left.high)) - met.putts_a_round(clean)
    assert left.worth_per_round.high == pytest.approx(cost, abs=1e-5) and cost < 0.5
    assert left.worth_per_round.low == 0


def test_more_of_a_cause_shows_as_more_misses_of_that_cause() -> None:
    usual = {m.cause: m.share for m in stroke_causes(season(AMATEUR, 4, 20), 20 * 18).misses}
    poor = {
        "read": PuttingStroke(1.5, 0.7, 0.11, less_left_to_right=0.5, less_right_to_left=0.5),
        "direction": PuttingStroke(2.6, 0.35, 0.11),
        "pace": PuttingStroke(1.5, 0.35, 0.2),
    }
    for cause, stroke in poor.items():
        found = {m.cause: m.share for m in stroke_causes(season(stroke, 4, 20), 20 * 18).misses}
        assert found[cause] > usual[cause] + 0.05


def test_what_the_player_wrote_is_set_beside_it() -> None:
    putts = season(AMATEUR, 5).with_columns(
        pl.when((pl.col("result") == "missed") & (pl.col("miss_pace") == "short"))
        .then(pl.lit("pace"))
        .cast(pl.Enum(("read", "aim", "stroke", "pace")))
        .alias("cause")
    )
    words = stroke_causes(putts, ROUNDS * 18).own_words
    assert words["cause"].to_list() == ["pace"]
    assert words["pace"][0] > 0.5


def test_too_few_putts_say_so() -> None:
    found = stroke_causes(season(AMATEUR, 1, 1), 18)
    assert found.fit is None
    assert "It takes 60 putts" in found.too_few
    assert found.as_dict()["parts"] == []
    nothing = stroke_causes(season(AMATEUR, 1, 1).head(0), 0)
    assert nothing.fit is None


def test_first_putts_and_a_better_stroke() -> None:
    putts = season(AMATEUR, 6)
    met = first_putts_met(putts, ROUNDS * 18)
    first = putts.filter(pl.col("putt") == 1).height
    assert met.weights.sum() == pytest.approx(first / ROUNDS)
    now, better = met.putts_a_round(AMATEUR), met.putts_a_round(one_step_better(AMATEUR))
    assert 0.3 < now - better < 3
    same = one_step_better(TOUR_STROKE)
    assert same.pace == pytest.approx(TOUR_STROKE.pace * 0.95)
