"""The page of a squad: the drill that serves it most, then who loses where."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl

from sgputt.analysis.squad import SquadAnalysis
from sgputt.inference.cells import FEWEST_PUTTS, SURE
from sgputt.inference.intervals import LEVEL
from sgputt.practice.drills import load_caution
from sgputt.practice.squad import KNOWN_WITHIN, Group, Member, Squad
from sgputt.putts.bands import LABELS
from sgputt.safe_text import on_a_page
from sgputt.wording import LEAST_SHOWN, digits_for, percent, plural, reached, signed
from sgputt_reports.charts import Chart, Row, Span, ends_around, spans_chart, verdict
from sgputt_reports.page import Page, render
from sgputt_reports.plans import drill_plan

_CAPTIONS = {
    "holing": ("Holing", "putts made or missed"),
    "leave": ("Leave", "how near the misses stopped"),
}
_LONGEST_NAME = 22


def squad_page(analysis: SquadAnalysis, shown_in: str = "feet") -> str:
    """Write the page of a squad.

    Parameters
    ----------
    analysis : SquadAnalysis
    shown_in : str
        ``feet`` or ``metres``.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    squad = analysis.squad
    body = render(
        "squad",
        squad=squad,
        many=len(squad.members),
        rounds=sum(each.rounds for each in squad.members),
        putts=sum(each.putts for each in squad.members),
        groups=[_group(each, shown_in) for each in squad.groups],
        turns=[turn.minutes for turn in squad.session()],
        stations=_stations(squad),
        members=squad.members,
        chart=players_chart(squad.members),
        few=[
            {"player": each.player, "rounds": each.rounds, "more": each.more_rounds}
            for each in squad.members
            if each.few_rounds
        ],
        absent=analysis.absent,
        caution=load_caution(),
        tables=[_table(squad, component) for component in _CAPTIONS],
        bands=LABELS,
        level=LEVEL,
        sure=SURE,
        within=KNOWN_WITHIN,
    )
    return Page(f"Squad: {plural(len(squad.members), 'player')}", body, shown_in=shown_in).html()


def _group(group: Group, shown_in: str) -> dict[str, Any]:
    return {
        "group": group,
        "drill": group.drill,
        "plan": drill_plan(group.drill, shown_in),
        "players": [
            {
                "name": name,
                "worth": gain,
                "goal": group.marks[name].text.partition(":")[0].removesuffix("."),
                "set_up": group.set_up(name),
                "alone": group.alone(name),
            }
            for name, gain in group.players.items()
        ],
    }


def _stations(squad: Squad) -> list[dict[str, Any]]:
    """Players who go round together, with the station they are at in each turn."""
    turns = squad.session()
    return [
        {"players": list(group.players), "turns": [turn.at(group) for turn in turns]}
        for group in squad.groups
    ]


def players_chart(members: Sequence[Member]) -> Chart:
    """Strokes gained of each player, a row a player."""
    spans = [_span(each) for each in members]
    told = "; ".join(
        f"{on_a_page(each.player)} {span.shown} ({reached(span.low, span.high) or 'one round'})"
        for each, span in zip(members, spans, strict=True)
    )
    return Chart(
        id="players",
        question="Who gains and who loses?",
        words=f"Strokes gained a round, most first: {told}.",
        caption=f"A round of 18 holes. Line: {percent(LEVEL)} sure. Hollow: could be luck.",
        altair=spans_chart(spans, "strokes gained a round", ends_around(spans)),
    )


def _span(each: Member) -> Span:
    gained = each.strokes_gained
    name = on_a_page(each.player).replace("|", "/")
    short = name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"
    return Span(
        f"{short}|{plural(each.rounds, 'round')}",
        gained.value,
        gained.low,
        gained.high,
        signed(gained.value, digits_for(gained.low, gained.high)),
        verdict(gained.low, gained.high),
    )


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
    told = _told(row) if abs(value) >= LEAST_SHOWN else ""
    look = told or ("tiny" if abs(value) < LEAST_SHOWN else "plain")
    return {"value": value, "putts": row["putts"], "verdict": told, "look": look}


def _told(row: Row) -> str:
    if row["sure"]:
        return "loss"
    chance, enough = row["chance_of_loss"], row["putts"] >= FEWEST_PUTTS
    return "gain" if chance is not None and enough and chance <= 1 - SURE else ""
