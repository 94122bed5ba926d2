"""A squad, in words and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import polars as pl

from sgputt.practice.squad import KNOWN_WITHIN, Member, SharedDrill, Squad
from sgputt.putts.bands import LABELS
from sgputt_cli.output import chances, interval, named, plural, say, signed, table
from sgputt_cli.practice_text import priority_json


def squad_json(squad: Squad, absent: Sequence[str]) -> dict[str, object]:
    """The form that scripts may rely on."""
    return {
        "baseline": squad.against.name,
        "baseline_approximate": squad.against.approximate,
        "players": [_member_json(each) for each in squad.members],
        "absent": list(absent),
        "losses": squad.losses.to_dicts(),
        "drills": [_drill_json(each) for each in squad.drills],
    }


def _member_json(member: Member) -> dict[str, object]:
    parts = ("strokes_gained", "holing", "leave", "not_split")
    return {
        "player": member.player,
        "rounds": member.rounds,
        "holes": member.holes,
        "putts": member.putts,
        **{f"{name}_per_round": asdict(getattr(member, name)) for name in parts},
        "few_rounds": member.few_rounds,
        "more_rounds": member.more_rounds,
        "first_priority": None if member.first is None else priority_json(member.first),
    }


def _drill_json(shared: SharedDrill) -> dict[str, object]:
    return {
        "rank": shared.rank,
        "drill": shared.drill.id,
        "drill_name": shared.drill.name,
        "minutes": shared.drill.minutes,
        "cells": [{"distance": cell[0], "component": cell[1]} for cell in shared.cells],
        "worth_per_round": shared.worth_per_round,
        "sure": list(shared.sure),
        "players": [
            {"player": name, "worth_per_round": gain} for name, gain in shared.players.items()
        ],
    }


def say_squad(squad: Squad, absent: Sequence[str]) -> None:
    """Players, who loses where, the drills that serve several, first priorities, and doubts."""
    table(
        f"{plural(len(squad.members), 'player')}, strokes gained a round against"
        f" {named(squad.against)}",
        ["player", "rounds", "gained", "90 % interval", "holing", "leaves"],
        [_figures(each) for each in squad.members],
    )
    for component, title in (("holing", "Holing"), ("leave", "Leaves")):
        _where(squad, component, title)
    say("Shrunk toward each player's own mean; * a loss that luck does not explain.")
    _say_few(squad, absent)
    say()
    _say_drills(squad)
    say()
    _say_first(squad)


def _figures(member: Member) -> tuple[str, ...]:
    gained = member.strokes_gained
    return (
        member.player,
        str(member.rounds),
        signed(gained.value),
        interval(gained.low, gained.high),
        signed(member.holing.value),
        signed(member.leave.value),
    )


def _where(squad: Squad, component: str, title: str) -> None:
    cells = {
        (row["player"], row["distance"]): row
        for row in squad.losses.filter(pl.col("component") == component).iter_rows(named=True)
    }
    table(
        f"{title}: strokes gained a round by length of putt, feet",
        ["player", *(label.removesuffix(" ft") for label in LABELS)],
        [
            (each.player, *(_cell(cells.get((each.player, label))) for label in LABELS))
            for each in squad.members
        ],
        tight=True,
    )


def _cell(row: dict[str, float] | None) -> str:
    if row is None:
        return "-"
    return signed(row["shrunk_per_round"]) + ("*" if row["sure"] else " ")


def _say_few(squad: Squad, absent: Sequence[str]) -> None:
    few = [_few(each) for each in squad.members if each.few_rounds]
    if few:
        within = f"within {KNOWN_WITHIN:g} stroke"
        say(f"Too few rounds to know strokes gained {within}: {', '.join(few)}.")
    if absent:
        say(f"No round asked for of: {', '.join(absent)}.")


def _few(member: Member) -> str:
    more = f", about {member.more_rounds} more would do" if member.more_rounds else ""
    return f"{member.player} ({plural(member.rounds, 'round')}{more})"


def _say_drills(squad: Squad) -> None:
    if not squad.drills:
        say("No loss shows that a drill would train: keep up what you do.")
        return
    say(
        "Drills by what they should bring all players together, strokes a round, if half of each"
        " loss can be won back:"
    )
    for each in squad.drills:
        whom = ", ".join(f"{name} {gain:.2f}" for name, gain in each.players.items())
        minutes = f"{each.drill.minutes} minutes"
        sure = f"; beyond luck: {', '.join(each.sure)}" if each.sure else "; may be luck"
        say(
            f"{each.rank}. {each.drill.name} ({minutes}), about {each.worth_per_round:.2f}:"
            f" {whom}{sure}"
        )
        say(f"   sgputt drills {each.drill.id}")


def _say_first(squad: Squad) -> None:
    say("First priority of each:")
    for each in squad.members:
        if each.first is None:
            say(f"{each.player}: no loss shows.")
            continue
        first = each.first
        say(
            f"{each.player}: {first.why}, real: {chances(first.chance_of_loss)}. {first.drill.name}"
        )
