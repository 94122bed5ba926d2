"""A squad: who loses where, own marks, groups that share a need, what is certain of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from polars.testing import assert_frame_equal
from scipy.stats import t as student

from sgputt.analysis.squad import SquadAnalysis, analyse_squad
from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import TooFewError
from sgputt.inference.cells import cell_table
from sgputt.practice.drills import load_drills
from sgputt.practice.marks import pass_mark
from sgputt.practice.squad import KNOWN_WITHIN, Squad, squad_summary
from sgputt.season.scored import Scored, score
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import PuttingStroke
from tests.practice.invented import STEP_FT, USUAL, with_fault

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
START = date(2026, 3, 1)
SHORT = with_fault(long=-0.1)


def played(name: str, count: int, seed: int, stroke: PuttingStroke) -> Scored:
    golfer = InventedGolfer(name, stroke)
    putts = invented_season(golfer, count, seed, START, 1, conditions=STEP_FT)
    return score(putts, get_baseline("tour"))


@pytest.fixture(scope="module")
def analysis() -> SquadAnalysis:
    return analyse_squad(
        {
            "Ada Brook": played("Ada Brook", 30, 1, SHORT),
            "Bo Ferrer": played("Bo Ferrer", 30, 2, SHORT),
            "Cara Quill": played("Cara Quill", 30, 5, with_fault(left_deg=1.0)),
            "Ines Okafor": played("Ines Okafor", 5, 3, USUAL),
            "Tomasz Reed": played("Tomasz Reed", 1, 4, USUAL),
        },
        DRILLS,
    )


@pytest.fixture(scope="module")
def squad(analysis: SquadAnalysis) -> Squad:
    return analysis.squad


def test_whether_each_has_changed_is_said(squad: Squad, analysis: SquadAnalysis) -> None:
    found = analysis.as_dict()
    assert found["changes"] == squad.changes
    for each in found["players"]:
        progress = each["progress"]
        assert progress["rounds_before"] + progress["rounds_since"] == each["rounds"]
        assert progress["verdict"] in ("improved", "worse", "better and worse", "cannot tell")


def test_members_by_strokes_gained(squad: Squad, analysis: SquadAnalysis) -> None:
    gained = [each.strokes_gained.value for each in squad.members]
    assert gained == sorted(gained, reverse=True)
    for each in squad.members:
        table = analysis.players[each.player].scored.rounds
        total = table["strokes_gained"].to_numpy().sum() * 18 / table["holes"].to_numpy().sum()
        assert each.strokes_gained.value == pytest.approx(total)
        parts = each.holing.value + each.leave.value + each.not_split.value
        assert parts == pytest.approx(total)


def test_first_priorities_and_marks_are_those_of_the_player_alone(
    squad: Squad, analysis: SquadAnalysis
) -> None:
    """Issue 11: the squad page showed marks that were not the player's own."""
    for each in squad.members:
        own = analysis.players[each.player].decision
        assert each.first == own.priorities[0]
        assert each.first.mark == pass_mark(BY_ID[each.first.drill.id], own.known)
    for group in squad.groups:
        for name, mark in group.marks.items():
            assert mark == pass_mark(group.drill, analysis.players[name].decision.known)


def test_losses_are_the_whole_bands_of_every_player(squad: Squad, analysis: SquadAnalysis) -> None:
    assert squad.losses["player"].unique(maintain_order=True).to_list() == [
        each.player for each in squad.members
    ]
    for name, one in analysis.players.items():
        cells = cell_table(one.scored.matrix)
        cells = cells.filter(cells["slope"] == "any").drop("slope")
        mine = squad.losses.filter(squad.losses["player"] == name).drop("player", "sure")
        assert_frame_equal(mine, cells, rel_tol=1e-9)
    sure = squad.losses.filter("sure")
    assert (sure["chance_of_loss"] >= 0.95).all() and (sure["putts"] >= 10).all()


def test_a_shared_need_makes_a_group_and_the_rest_have_a_default(squad: Squad) -> None:
    by_need = {group.need: group for group in squad.groups}
    assert set(by_need["pace: short"].players) == {"Ada Brook", "Bo Ferrer"}
    assert set(by_need["direction: left"].players) == {"Cara Quill"}
    assert set(by_need["nothing stands out"].players) == {"Ines Okafor", "Tomasz Reed"}
    assert "short" in by_need["pace: short"].drill.habits
    assert [group.rank for group in squad.groups] == list(range(1, len(squad.groups) + 1))
    assert [group.told for group in squad.groups] == sorted(
        (group.told for group in squad.groups), reverse=True
    )
    for group in squad.groups:
        assert group.worth_per_round == pytest.approx(sum(group.players.values()))


def test_a_station_says_who_should_start_with_another_drill_alone(squad: Squad) -> None:
    """The group named one drill, and each player's own page another, without a word."""
    members = {each.player: each for each in squad.members}
    differ = 0
    for group in squad.groups:
        whom = {1: "", 2: "one drill for both at one station"}
        assert group.title.endswith(whom.get(len(group.players), "at one station"))
        for name in group.players:
            first = members[name].first
            assert first is not None
            alone = group.alone(name)
            assert (alone is None) == (first.drill.id == group.drill.id)
            assert (f"Alone, first: {first.drill.name}." in group.says(name)) == bool(alone)
            differ += alone is not None
    assert bool(squad.stations_meaning) == (differ > 0)


def test_a_drill_of_their_own_is_said_beside_the_station(analysis: SquadAnalysis) -> None:
    """Two of whom nothing stands out, with different first drills, share a station."""
    decisions = {name: each.decision for name, each in analysis.players.items()}
    ines, other = decisions["Ines Okafor"], decisions["Tomasz Reed"].priorities[0]
    drill = next(each for each in DRILLS if each.id != ines.priorities[0].drill.id)
    changed = replace(other, drill=drill)
    decisions["Tomasz Reed"] = replace(decisions["Tomasz Reed"], priorities=[changed])
    summaries = [each.summary for each in analysis.players.values()]
    squad = squad_summary(summaries, decisions, DRILLS)
    group = squad.groups[-1]
    assert set(group.players) == {"Ines Okafor", "Tomasz Reed"}
    assert sum(group.alone(name) is not None for name in group.players) == 1
    assert squad.stations_meaning
    rows = {row["player"]: row for row in group.as_dict()["players"]}
    assert rows["Tomasz Reed"]["first_alone"] == drill.id


def test_a_group_is_for_what_stands_out_though_another_drill_pays_more(
    analysis: SquadAnalysis,
) -> None:
    """The headline named the need of the first drill as certain, which was only likely."""
    decisions = {name: each.decision for name, each in analysis.players.items()}
    cara = decisions["Cara Quill"]
    told = [each for each in cara.priorities if each.told]
    rest = [each for each in cara.priorities if not each.told]
    assert told and rest
    decisions["Cara Quill"] = replace(cara, priorities=[*rest, *told])
    summaries = [each.summary for each in analysis.players.values()]
    squad = squad_summary(summaries, decisions, DRILLS)
    group = next(each for each in squad.groups if "Cara Quill" in each.players)
    assert group.told and group.need == "direction: left"
    assert group.alone("Cara Quill") == rest[0]


def test_the_headline_is_what_is_certain(squad: Squad) -> None:
    """Issue 11: its own table contradicted it."""
    assert "ace, short: " in squad.headline and "Cara Quill" in squad.headline
    assert squad.headline[0].isupper()
    assert "of 2 more nothing stands out" in squad.headline
    assert "Ines Okafor" not in squad.headline
    none = replace(squad, groups=[group for group in squad.groups if not group.told])
    assert none.headline.startswith("Nothing stands out")


def test_a_session_gives_every_group_its_own_station_first(squad: Squad) -> None:
    turns = squad.session(60)
    assert [turn.minutes for turn in turns] == [15] * 4
    names = sorted(each.player for each in squad.members)
    for turn in turns:
        assert sorted(name for who in turn.stations.values() for name in who) == names
    for group in squad.groups:
        assert turns[0].stations[group.rank] == turns[1].stations[group.rank]
        assert turns[0].stations[group.rank] == tuple(group.players)
    assert turns[2].stations != turns[1].stations


def test_too_few_rounds(squad: Squad) -> None:
    by_name = {each.player: each for each in squad.members}
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


def test_the_order_of_players_does_not_matter(squad: Squad, analysis: SquadAnalysis) -> None:
    turned = replace(analysis, players=dict(reversed(analysis.players.items()))).squad
    assert [each.player for each in turned.members] == [each.player for each in squad.members]
    assert [group.as_dict() for group in turned.groups] == [g.as_dict() for g in squad.groups]
    assert_frame_equal(turned.losses, squad.losses)


def test_a_squad_of_none() -> None:
    with pytest.raises(TooFewError, match="There is no player"):
        squad_summary([], {}, DRILLS)
