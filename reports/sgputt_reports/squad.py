"""The page of a squad: the drill that serves it most, then who loses where."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl
from markupsafe import Markup

from sgputt.inference.cells import FEWEST_PUTTS, SURE
from sgputt.inference.shares import LEVEL
from sgputt.practice.priorities import REACHABLE_SHARE
from sgputt.practice.squad import KNOWN_WITHIN, Member, SharedDrill, Squad
from sgputt.putts.bands import LABELS
from sgputt_reports.drawing import Row, verdict
from sgputt_reports.format import clean, count, interval, tidy
from sgputt_reports.page import Page, render
from sgputt_reports.strip import Drawn, Strips

_CAPTIONS = {
    "holing": ("Holing", "putts made or missed"),
    "leave": ("Leave", "how near the misses stopped"),
}
# Shown as 0.00; a word beside it would say more than the figure.
_NOUGHT = 0.005


def squad_page(squad: Squad, absent: Sequence[str] = (), caution: str = "") -> str:
    """Write the page of a squad.

    Parameters
    ----------
    squad : Squad
    absent : sequence of str
        Players without a round among those asked for.
    caution : str
        A word of care for practice, said once, from the drill catalogue.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    body = render(
        "squad",
        squad=squad,
        many=len(squad.members),
        rounds=sum(each.rounds for each in squad.members),
        putts=sum(each.putts for each in squad.members),
        drills=[_drill(each) for each in squad.drills],
        members=_members(squad.members),
        few=[_few(each) for each in squad.members if each.few_rounds],
        absent=absent,
        caution=caution,
        tables=[_table(squad, component) for component in _CAPTIONS],
        bands=[band.removesuffix(" ft") for band in LABELS],
        level=LEVEL,
        sure=SURE,
        reachable=REACHABLE_SHARE,
        within=KNOWN_WITHIN,
    )
    title = clean(f"Squad: {count(len(squad.members), 'player')}")
    return Page(title, [Markup(body)], charts=False).html()


def _drill(shared: SharedDrill) -> dict[str, Any]:
    return {
        "shared": shared,
        "drill": shared.drill,
        "cells": [f"{component} from {tidy(band)}" for band, component in shared.cells],
        "players": list(shared.players.items()),
        "many": len(shared.players),
    }


def _members(members: Sequence[Member]) -> list[dict[str, Any]]:
    estimates = [each.strokes_gained for each in members]
    strips = Strips.around(
        [
            Drawn(gained.value, gained.low, gained.high, each.rounds)
            for each, gained in zip(members, estimates, strict=True)
        ]
    )
    return [
        {
            "member": each,
            "gained": gained,
            "interval": interval(gained.low, gained.high),
            "verdict": verdict(gained.low, gained.high),
            "strip": strips.draw(gained.value, gained.low, gained.high),
            "first": each.first,
        }
        for each, gained in zip(members, estimates, strict=True)
    ]


def _few(member: Member) -> dict[str, Any]:
    return {"player": member.player, "rounds": member.rounds, "more": member.more_rounds}


def _table(squad: Squad, component: str) -> dict[str, Any]:
    caption, meaning = _CAPTIONS[component]
    losses = squad.losses.filter(pl.col("component") == component)
    cells = {(row["player"], row["distance"]): _cell(row) for row in losses.iter_rows(named=True)}
    rows = [
        {
            "player": each.player,
            "cells": [cells.get((each.player, band)) for band in LABELS],
        }
        for each in squad.members
    ]
    return {"caption": caption, "meaning": meaning, "rows": rows}


def _cell(row: Row) -> dict[str, Any] | None:
    value = row["shrunk_per_round"]
    if value is None:
        return None
    told = _told(row) if abs(value) >= _NOUGHT else ""
    look = told or ("tiny" if abs(value) < _NOUGHT else "plain")
    return {"value": value, "putts": row["putts"], "verdict": told, "look": look}


def _told(row: Row) -> str:
    if row["sure"]:
        return "loss"
    chance, enough = row["chance_of_loss"], row["putts"] >= FEWEST_PUTTS
    return "gain" if chance is not None and enough and chance <= 1 - SURE else ""
