"""The baselines by name: what each says of itself, and how near it is to what it describes.

That the stored tables are those the builder writes, that the club holes about what a 90-shooter
does and that 1988 follows its own counts stands in tests/reference/test_tour_baseline.py.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import polars as pl
import pytest

from sgputt.baseline.build import TABLES
from sgputt.baseline.catalogue import (
    APPROXIMATE,
    FITTED,
    PUBLIC,
    baseline_names,
    fitted_baseline,
    get_baseline,
)
from sgputt.baseline.curve import GRID_FT, Baseline, stroke_table
from sgputt.errors import SgputtError
from sgputt.gained.per_putt import strokes_gained
from sgputt.physics.roll import Array
from sgputt.reference import read_notes, read_values
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import CLUB_STROKE, TOUR_STROKE, PuttingStroke

START = date(1990, 1, 1)
FACTS = read_values("amateur_facts")
AMATEUR = PuttingStroke(direction_deg=1.5, read=0.35, pace=0.12)
CURVES = ("one_putt", "expected_putts", "three_putt", "leave_spread")


def play(stroke: PuttingStroke, rounds: int, seed: int, name: str = "Ada Brook") -> pl.DataFrame:
    return invented_season(InventedGolfer(name, stroke), rounds, seed, START, every_days=1)


def per_round(putts: pl.DataFrame, baseline: Baseline) -> float:
    """Strokes gained a round; chip-ins left out, which are 15 holes in 1,000."""
    gained = strokes_gained(putts, baseline)["sg"].to_numpy().sum()
    return float(gained / putts.select("player", "date").n_unique())


@pytest.fixture(scope="module")
def long_season() -> pl.DataFrame:
    return play(AMATEUR, 200, 3)


@pytest.fixture(scope="module", params=baseline_names())
def baseline(request: pytest.FixtureRequest, long_season: pl.DataFrame) -> Baseline:
    name = str(request.param)
    return fitted_baseline(name, long_season) if name in FITTED else get_baseline(name)


def test_the_names() -> None:
    assert baseline_names() == ("tour", "tour 1988", "club", "own", "squad")
    assert sorted(PUBLIC.values()) == sorted(TABLES)


def test_a_fitted_one_is_not_in_the_reference_data() -> None:
    with pytest.raises(SgputtError, match="no baseline 'own'") as caught:
        get_baseline("own")
    assert "tour, tour 1988, club" in caught.value.hint


def test_each_says_whose_it_is_and_where_it_is_less_sure(baseline: Baseline) -> None:
    assert baseline.title and baseline.source and baseline.limits
    assert "expected putts" not in baseline.title
    assert any(digit in baseline.era for digit in "0123456789")
    assert baseline.approximate == (baseline.name in (*APPROXIMATE, *FITTED))
    if baseline.name in PUBLIC:
        notes = read_notes(PUBLIC[baseline.name])
        assert "not published" in notes["status"]
        assert "method" in notes and "units" in notes


def test_each_runs_from_half_a_foot_to_a_hundred(baseline: Baseline) -> None:
    assert baseline.table["distance_ft"].to_list() == GRID_FT.tolist()
    assert (GRID_FT[0], GRID_FT[-1]) == (0.5, 100.0)
    assert baseline.table.columns == ["distance_ft", *CURVES]
    assert baseline.table.null_count().sum_horizontal().item() == 0


def test_each_is_monotone_and_possible(baseline: Baseline) -> None:
    distance = np.arange(0.5, 100.0, 0.05)
    one, expected, three = (
        getattr(baseline, name)(distance) for name in ("one_putt", "expected_putts", "three_putt")
    )
    assert (np.diff(expected) >= 0).all()
    assert (np.diff(one) <= 0).all()
    assert (np.diff(three) >= 0).all()
    assert ((one >= 0) & (three >= 0) & (one + three <= 1)).all()
    # A miss costs a stroke at least; M of design section 8 would otherwise flatter every miss.
    missed = 1 - one
    sure = missed > 1e-6
    assert ((expected - 1)[sure] >= missed[sure] - 1e-9).all()


def least(baseline: Baseline) -> Array:
    """Expected putts less one-putts, two-putts and three for all others: four-putts, never < 0."""
    one, expected, three = (
        baseline.table[name].to_numpy() for name in ("one_putt", "expected_putts", "three_putt")
    )
    return np.asarray(expected - (1 + (1 - one) + three))


def test_columns_of_a_baseline_fit_together(baseline: Baseline) -> None:
    assert least(baseline).min() > -1e-8


def usual_first_putts() -> Array:
    """A mix of our own making: half inside 12 ft, one in ten beyond 33; 1 to 90 ft.

    No mix is published with the figures below. This one is chosen so that the tour needs 29 putts
    a round; then its three-putts, and the club's figures, are tests.
    """
    rng = np.random.default_rng(1)
    first = np.exp(np.log(12) + 0.78 * rng.normal(size=100_000))
    return np.asarray(np.clip(first, 1, 90), dtype=np.float64)


@pytest.mark.parametrize(
    ("name", "three_putts", "putts"),
    [
        ("tour", FACTS["three_putts_a_round_tour"], FACTS["putts_a_round_tour"]),
        ("club", FACTS["three_putts_a_round_90_shooter"], FACTS["putts_a_round_90_shooter"]),
    ],
)
def test_three_putts_a_round(name: str, three_putts: float, putts: float) -> None:
    # Three-putts second hand ("about" for the 90-shooter); putts seen. Three-putts of the club come
    # out high by a quarter, of the tour low by a tenth.
    first, reached = usual_first_putts(), 18 * 0.985
    found = get_baseline(name)
    assert reached * found.three_putt(first).mean() == pytest.approx(three_putts, rel=0.3)
    assert reached * found.expected_putts(first).mean() == pytest.approx(putts, abs=0.5)


def test_the_baselines_stand_in_their_order() -> None:
    # From 3 ft. Inside, the counts of 1988 are too few to say.
    distance = np.arange(3.0, 100.0)
    names = ("tour", "tour 1988", "club")
    tour, old, club = (get_baseline(name).expected_putts(distance) for name in names)
    near = distance <= 20
    assert (tour[near] < old[near]).all()
    assert (old[near] < club[near]).all()
    assert (tour < club).all()


# Own and squad.


def test_no_putts_give_back_the_parent() -> None:
    own, tour = fitted_baseline("own", play(TOUR_STROKE, 1, 1).clear()), get_baseline("tour")
    for curve in ("one_putt", "expected_putts", "three_putt", "leave_spread"):
        assert np.abs(own.table[curve].to_numpy() - tour.table[curve].to_numpy()).max() < 1e-9
    assert own.source.startswith("0 stored rounds, 0 putts")


def test_few_rounds_lie_between_parent_and_player() -> None:
    # Mean over four players of the same stroke, each after one round and after ten.
    def after(rounds: int, seed: int) -> float:
        own = fitted_baseline("own", play(AMATEUR, rounds, seed))
        return float(own.expected_putts(np.array([8.0]))[0])

    tour = float(get_baseline("tour").expected_putts(np.array([8.0]))[0])
    one, ten = (np.mean([after(rounds, seed) for seed in range(4)]) for rounds in (1, 10))
    assert tour + 0.05 < one < ten - 0.02


def test_many_rounds_are_the_players_own(long_season: pl.DataFrame) -> None:
    own, model = fitted_baseline("own", long_season).table, stroke_table(AMATEUR)
    seen = (GRID_FT >= 3) & (GRID_FT <= 60)
    # The parent's measured makes differ from the model's own, and the ratio carries that over.
    for curve in ("expected_putts", "one_putt"):
        gap = own[curve].to_numpy() - model[curve].to_numpy()
        assert np.abs(gap[seen]).max() < 0.05


@pytest.mark.parametrize(
    "stroke", [TOUR_STROKE, AMATEUR, CLUB_STROKE], ids=["tour", "amateur", "club"]
)
def test_a_player_gains_nothing_against_themselves(stroke: PuttingStroke) -> None:
    putts = play(stroke, 100, 3)
    assert per_round(putts, fitted_baseline("own", putts)) == pytest.approx(0, abs=0.45)


def test_a_squad_stands_between_its_players() -> None:
    good, poor = play(TOUR_STROKE, 40, 5, "Ada Brook"), play(AMATEUR, 40, 6, "Žofie Nø")
    squad = fitted_baseline("squad", pl.concat([good, poor]))
    owns = [fitted_baseline("own", each) for each in (good, poor)]
    at = np.array([5.0, 10.0, 20.0, 40.0])
    low, high = (each.expected_putts(at) for each in owns)
    assert (low < squad.expected_putts(at)).all()
    assert (squad.expected_putts(at) < high).all()
    assert squad.source.startswith("80 stored rounds")
    assert (squad.name, squad.title) == ("squad", "All players of the archive")
    assert squad.era == "1990"


def test_the_years_of_own_rounds_are_named() -> None:
    golfer = InventedGolfer("Ada Brook")
    putts = invented_season(golfer, 8, 3, date(2024, 12, 1), every_days=30)
    own = fitted_baseline("own", putts)
    assert own.era == "2024-2025"
    assert own.source == f"8 stored rounds, {putts.height} putts; a model shrunk toward 'tour'"
