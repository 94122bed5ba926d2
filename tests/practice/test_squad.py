"""A squad: who loses where, too few rounds, and drills that serve several."""

from __future__ import annotations

from datetime import date

import numpy as np
import polars as pl
import pytest
from polars.testing import assert_frame_equal
from scipy.stats import t as student

from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import TooFewError
from sgputt.inference.cells import cell_table
from sgputt.practice.aim import aim_of
from sgputt.practice.drills import load_drills
from sgputt.practice.priorities import rank_priorities, ranked_losses
from sgputt.practice.squad import KNOWN_WITHIN, SERVES, Squad, squad_summary
from sgputt.season.scored import Scored, score
from sgputt.stroke.model import TOUR, Stroke
from sgputt.stroke.simulate import Golfer, Weakness, season

DRILLS = load_drills()
START = date(2026, 3, 1)
SHORT = Weakness(3.0, 5.0, lost_makes=0.4)


def rounds(name: str, count: int, seed: int, stroke: Stroke = TOUR, *faults: Weakness) -> Scored:
    putts = season(Golfer(name, stroke, faults), count, seed, START)
    return score(putts, get_baseline("tour"))


@pytest.fixture(scope="module")
def players() -> dict[str, Scored]:
    wild = Stroke(line_rad=float(np.radians(1.4)), pace=0.12)
    return {
        "Ada Brook": rounds("Ada Brook", 30, 1, TOUR, SHORT),
        "Bo Ferrer": rounds("Bo Ferrer", 30, 2, TOUR, SHORT),
        "Ines Okafor": rounds("Ines Okafor", 5, 3, wild),
        "Tomasz Reed": rounds("Tomasz Reed", 1, 4, TOUR),
    }


@pytest.fixture(scope="module")
def squad(players: dict[str, Scored]) -> Squad:
    return squad_summary(players, DRILLS)


def test_members_by_strokes_gained(squad: Squad, players: dict[str, Scored]) -> None:
    gained = [each.strokes_gained.value for each in squad.members]
    assert gained == sorted(gained, reverse=True)
    for each in squad.members:
        table = players[each.player].rounds
        total = table["strokes_gained"].to_numpy().sum() * 18 / table["holes"].to_numpy().sum()
        assert each.strokes_gained.value == pytest.approx(total)
        parts = each.holing.value + each.leave.value + each.not_split.value
        assert parts == pytest.approx(total)


def test_first_priorities_are_those_of_the_player_alone(
    squad: Squad, players: dict[str, Scored]
) -> None:
    for each in squad.members:
        one = players[each.player]
        aim = aim_of(one.gained)
        alone = rank_priorities(cell_table(one.matrix), DRILLS, target=aim.target, own=aim.own)
        assert each.first == (alone[0] if alone else None)


def test_losses_are_the_whole_bands_of_every_player(
    squad: Squad, players: dict[str, Scored]
) -> None:
    assert squad.losses["player"].unique(maintain_order=True).to_list() == [
        each.player for each in squad.members
    ]
    for name, one in players.items():
        cells = cell_table(one.matrix)
        cells = cells.filter(cells["slope"] == "any").drop("slope")
        mine = squad.losses.filter(squad.losses["player"] == name).drop("player", "sure")
        assert_frame_equal(mine, cells, rel_tol=1e-9)
    sure = squad.losses.filter("sure")
    assert (sure["chance_of_loss"] >= 0.95).all() and (sure["putts"] >= 10).all()


def test_a_fault_that_two_share_puts_its_drill_first(squad: Squad) -> None:
    first = squad.drills[0]
    assert first.rank == 1
    assert ("3-5 ft", "holing") in first.cells
    assert set(list(first.players)[:2]) == {"Ada Brook", "Bo Ferrer"}


def whole_bands(one: Scored) -> pl.DataFrame:
    cells = cell_table(one.matrix)
    return cells.filter(cells["slope"] == "any")


def test_the_headline_is_of_losses_beyond_luck_that_its_table_shows(squad: Squad) -> None:
    shown = {
        (row["player"], row["distance"], row["component"]): row
        for row in squad.losses.iter_rows(named=True)
    }
    assert squad.drills[0].sure
    for each in squad.drills:
        rows = [
            shown[key] for name in each.sure for c in each.cells if (key := (name, *c)) in shown
        ]
        assert {row["player"] for row in rows if row["sure"]} >= set(each.sure)
        assert set(each.sure) <= set(each.players)


def test_worth_by_hand_and_each_loss_once(squad: Squad, players: dict[str, Scored]) -> None:
    losses = {
        (name, row["distance"], row["component"]): row
        for name, one in players.items()
        for row in ranked_losses(whole_bands(one))
    }
    for each in squad.drills:
        for player, worth in each.players.items():
            rows = [losses[player, *cell] for cell in each.cells if (player, *cell) in losses]
            by_hand = sum(
                -0.5
                * each.drill.covers(row["distance"], row["slope"], row["component"])
                * row["shrunk_per_round"]
                for row in rows
            )
            assert worth == pytest.approx(by_hand)
            assert worth >= SERVES
        assert each.worth_per_round == pytest.approx(sum(each.players.values()))
    cells = [cell for each in squad.drills for cell in each.cells]
    assert len(cells) == len(set(cells))
    worths = [each.worth_per_round for each in squad.drills]
    assert worths == sorted(worths, reverse=True)
    assert [each.rank for each in squad.drills] == list(range(1, len(worths) + 1))


def test_too_few_rounds(squad: Squad) -> None:
    by_name = {each.player: each for each in squad.members}
    assert not by_name["Ada Brook"].few_rounds and by_name["Ada Brook"].more_rounds is None
    one = by_name["Tomasz Reed"]
    assert one.few_rounds and one.more_rounds is None and one.strokes_gained.low is None
    few = by_name["Ines Okafor"]
    low, high = few.strokes_gained.low, few.strokes_gained.high
    assert few.few_rounds and few.more_rounds is not None
    assert low is not None and high is not None

    def reach(total: int) -> float:
        now = student.ppf(0.95, 4) / np.sqrt(5)
        return float((high - low) / 2 * student.ppf(0.95, total - 1) / np.sqrt(total) / now)

    assert reach(5 + few.more_rounds) <= KNOWN_WITHIN < reach(5 + few.more_rounds - 1)


def test_the_order_of_players_does_not_matter(squad: Squad, players: dict[str, Scored]) -> None:
    turned = squad_summary(dict(reversed(players.items())), DRILLS)
    assert [each.player for each in turned.members] == [each.player for each in squad.members]
    assert turned.drills == squad.drills
    assert_frame_equal(turned.losses, squad.losses)


def test_a_squad_of_one_and_of_none(players: dict[str, Scored]) -> None:
    alone = squad_summary({"Ada Brook": players["Ada Brook"]}, DRILLS, most=2)
    assert len(alone.drills) <= 2
    assert all(list(each.players) == ["Ada Brook"] for each in alone.drills)
    with pytest.raises(TooFewError, match="There is no player"):
        squad_summary({}, DRILLS)
    assert squad_summary(players, []).drills == []
