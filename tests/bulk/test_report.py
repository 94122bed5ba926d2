"""Figures of players and squads, against the season's own and against other ways to them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk.putts_files import find_sources
from sgputt.bulk.reduce import Task
from sgputt.bulk.report import Bulk, figures_by, merge, shrunk
from sgputt.bulk.run import reduce_all
from sgputt.inference.intervals import per_round
from sgputt.putts.table import RESULTS, conform_putts
from sgputt.season.scored import Scored, score
from sgputt.season.summary import season_summary
from tests.bulk.folder import PLAYERS, frames, putts, write

TASK = Task(get_baseline())


@pytest.fixture(scope="module")
def whole() -> pl.DataFrame:
    return pl.concat(frames().values())


@pytest.fixture(scope="module")
def bulk(tmp_path_factory: pytest.TempPathFactory) -> Bulk:
    return of(tmp_path_factory.mktemp("putts"), frames())


def of(folder: Path, files: dict[str, pl.DataFrame]) -> Bulk:
    sources = find_sources([write(folder, files)])
    return merge(sources, reduce_all(sources, TASK), TASK)


def scored(table: pl.DataFrame) -> Scored:
    return score(conform_putts(table), TASK.baseline)


@pytest.mark.parametrize("player", PLAYERS)
def test_a_player_as_in_a_season(bulk: Bulk, whole: pl.DataFrame, player: str) -> None:
    row = bulk.players.filter(player=player).row(0, named=True)
    season = season_summary(scored(whole.filter(player=player)), player, "all")
    assert row["per_round"] == pytest.approx(season.strokes_gained.value)
    assert row["holing"] == pytest.approx(season.holing.value)
    assert row["leave"] == pytest.approx(season.leave.value)
    assert row["not_split"] == pytest.approx(season.not_split.value)
    assert (row["rounds"], row["holes"], row["putts"]) == (
        season.rounds,
        season.holes,
        season.putts,
    )
    assert row["putts_per_round"] == pytest.approx(season.putts_per_round)
    # Student's t and the resampled percentiles are two ways to one interval.
    assert season.strokes_gained.low is not None and season.strokes_gained.high is not None
    width = season.strokes_gained.high - season.strokes_gained.low
    assert row["low"] == pytest.approx(season.strokes_gained.low, abs=0.15 * width)
    assert row["high"] == pytest.approx(season.strokes_gained.high, abs=0.15 * width)


def test_squads_and_seasons_add_up(bulk: Bulk, whole: pl.DataFrame) -> None:
    for squad, rows in whole.group_by("squad"):
        mine = scored(rows).rounds
        row = bulk.squads.filter(squad=squad[0]).row(0, named=True)
        assert row["rounds"] == mine.height
        gained, holes = (float(sum(mine[name])) for name in ("strokes_gained", "holes"))
        assert row["per_round"] == pytest.approx(18 * gained / holes)
    assert bulk.squad_seasons["rounds"].sum() == bulk.squads["rounds"].sum()
    assert bulk.squad_seasons.select("squad", "season").rows() == [
        ("North", 2025),
        ("North", 2026),
        ("South", 2025),
        ("South", 2026),
    ]
    assert bulk.player_seasons["putts"].sum() == bulk.players["putts"].sum()


def test_distances_add_up_to_the_squad(bulk: Bulk) -> None:
    sums = bulk.distances.group_by("squad").agg(pl.col("per_round", "holing", "leave").sum())
    for row in sums.iter_rows(named=True):
        squad = bulk.squads.filter(squad=row["squad"]).row(0, named=True)
        for name in ("per_round", "holing", "leave"):
            assert row[name] == pytest.approx(squad[name])


def test_the_interval_of_many_rounds_is_that_of_resampling(tmp_path: Path) -> None:
    table = pl.concat([putts(player, 80, seed=n) for n, player in enumerate(PLAYERS)])
    bulk = of(tmp_path, {"a.parquet": table})
    for player in PLAYERS:
        rounds = scored(table.filter(player=player)).rounds
        found = per_round(
            rounds["strokes_gained"].to_numpy()[:, None], rounds["holes"].to_numpy().astype(float)
        )
        row = bulk.players.filter(player=player).row(0, named=True)
        width = found.high[0] - found.low[0]
        assert row["low"] == pytest.approx(found.low[0], abs=0.06 * width)
        assert row["high"] == pytest.approx(found.high[0], abs=0.06 * width)


def test_one_round_has_no_interval_but_may_be_shrunk(tmp_path: Path) -> None:
    few = pl.concat([putts(PLAYERS[0], 1), putts(PLAYERS[1], 30)])
    players = of(tmp_path, {"a.parquet": few}).players
    one = players.filter(player=PLAYERS[0]).row(0, named=True)
    other = players.filter(player=PLAYERS[1]).row(0, named=True)
    assert one["low"] is None and one["high"] is None
    assert one["shrunk_low"] < one["shrunk_per_round"] < one["shrunk_high"]
    assert abs(one["shrunk_per_round"] - other["per_round"]) < abs(
        one["per_round"] - other["per_round"]
    )
    assert one["shrunk_high"] - one["shrunk_low"] > other["shrunk_high"] - other["shrunk_low"]


def test_equal_players_are_not_ranked_by_luck() -> None:
    """200 players who are the same: what is said of them reaches the truth 9 times in 10."""
    rng = np.random.default_rng(4)
    luck = rng.normal(0, 0.4, 200)
    table = pl.DataFrame({"squad": "a", "per_round": luck, "variance": np.full(200, 0.4**2)})
    held = shrunk(table, ["squad"])
    assert float(np.abs(held["shrunk_per_round"].to_numpy()).max()) < 0.25 < luck.max()
    within = (held["shrunk_low"] < 0) & (held["shrunk_high"] > 0)
    assert float(within.to_numpy().mean()) > 0.9


def test_players_who_differ_are_told_apart() -> None:
    rng = np.random.default_rng(5)
    truth = rng.normal(0, 1.2, 300)
    noise = rng.uniform(0.1, 0.6, 300)
    seen = truth + noise * rng.normal(size=300)
    table = pl.DataFrame({"squad": "a", "per_round": seen, "variance": noise**2})
    held = shrunk(table, ["squad"])
    found = held["shrunk_per_round"].to_numpy()
    assert np.mean((found - truth) ** 2) < np.mean((seen - truth) ** 2)
    within = (held["shrunk_low"].to_numpy() < truth) & (truth < held["shrunk_high"].to_numpy())
    assert np.mean(within) == pytest.approx(0.9, abs=0.05)


def test_rounds_of_nothing_that_counts(tmp_path: Path) -> None:
    """A round of conceded putts is a round, gains nothing, and nothing is believed of it."""
    conceded = pl.lit("conceded").cast(pl.Enum(RESULTS)).alias("result")
    table = putts(PLAYERS[0], 2).filter(pl.col("putt") == 1).with_columns(conceded)
    bulk = of(tmp_path, {"a.parquet": table})
    (row,) = bulk.players.to_dicts()
    assert bulk.found == 0 and row["rounds"] == 2 and row["per_round"] == 0
    assert row["shrunk_per_round"] is None and bulk.distances.is_empty()


def test_a_season_is_not_mixed_with_another(bulk: Bulk) -> None:
    rows = bulk.player_seasons.filter(player=PLAYERS[2])
    assert rows["season"].to_list() == [2025, 2026]
    assert rows["rounds"].to_list() == [7, 3]


def test_figures_by_needs_no_order() -> None:
    rounds = pl.DataFrame(
        {
            "squad": ["b", "a", "b"],
            "holes": [18, 18, 9],
            "putts": [30, 31, 15],
            "counted": [30, 31, 15],
            "one_putts": [5, 6, 3],
            "three_putts": [1, 0, 0],
            "strokes_gained": [1.0, -2.0, 0.5],
            "holing": [1.0, -2.0, 0.5],
            "leave": [0.0, 0.0, 0.0],
            "not_split": [0.0, 0.0, 0.0],
            "conceded": [0.0, 0.0, 0.0],
        }
    )
    cells = pl.DataFrame({"squad": ["a"], "holing_variance": [0.5], "leave_variance": [0.25]})
    found = figures_by(rounds, cells, ["squad"])
    assert found["squad"].to_list() == ["a", "b"]
    # 18 (1 + 0.5) / 27; the one round's spread is the chance of its putts.
    assert found["per_round"].to_list() == pytest.approx([-2.0, 1.0])
    assert found["variance"].to_list() == pytest.approx([0.75, 0.0])
