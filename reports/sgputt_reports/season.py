"""The page of a season: the next drill first, three charts, and what they rest on to open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from sgputt.analysis.season import SeasonAnalysis
from sgputt.inference.cells import ANY, COMPONENTS, SURE
from sgputt.practice.decision import Priority
from sgputt.putts.bands import LABELS
from sgputt.season.summary import Estimate, SeasonSummary
from sgputt.season.trend import RoundStory
from sgputt.stroke.causes import StrokeCauses, StrokePart
from sgputt.wording import (
    LEAST_SHOWN,
    NOTHING_COUNTS,
    day,
    first_up,
    number,
    signed,
    stroke_size,
    tidy,
)
from sgputt_reports.charts import Chart, Row, chart_files, verdict
from sgputt_reports.export import played
from sgputt_reports.page import Page, render
from sgputt_reports.plans import drill_plan
from sgputt_reports.season_charts import WITH_A_FIT, WITHOUT_A_FIT, season_charts

_KEPT_UP = 3
_HEAD_CHARTS = 3
_HEAD = ("strokes by distance", "why putts miss", "where misses finish", "makes by length")
_SECTIONS = {
    "order": ("trend",),
    "stroke": ("a putt from above", "worth of a better stroke"),
    "shape": ("makes by length", "leaves by length", "where misses of straight putts finish"),
    "practice": ("practice and the course", "practice"),
    "apart": ("by month", "by event", "by course", "by green speed", "by slope and break"),
}


def season_pictures(analysis: SeasonAnalysis) -> dict[str, bytes]:
    """The charts of a season as files: each as .svg and .png under the question it answers."""
    charts = list(season_charts(analysis).values())
    whose = f"{analysis.player}, {analysis.season}: {played(analysis.summary)}"
    return chart_files(charts, whose)


def season_page(
    analysis: SeasonAnalysis, shown_in: str = "feet", begun: Mapping[str, Chart] | None = None
) -> str:
    """Write the page of a season.

    Parameters
    ----------
    analysis : SeasonAnalysis
    shown_in : str
        ``feet`` or ``metres``.
    begun : mapping of str to Chart, optional
        The season's charts :data:`WITHOUT_A_FIT`, where they are there already.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    summary, priorities = analysis.summary, analysis.priorities
    if begun is None:
        begun = season_charts(analysis, WITHOUT_A_FIT, shown_in)
    charts = {**begun, **season_charts(analysis, WITH_A_FIT, shown_in)}
    head = [name for name in _HEAD if name in charts][:_HEAD_CHARTS]
    shown = {
        section: [charts[name] for name in names if name in charts and name not in head]
        for section, names in _SECTIONS.items()
    }
    one = analysis.rounds == 1
    body = render(
        "season",
        summary=summary,
        counts=analysis.counts,
        nothing=NOTHING_COUNTS,
        priorities=priorities,
        decided=analysis.decision,
        plans=[drill_plan(each.drill, shown_in) for each in priorities[:1]],
        others=_others(priorities, shown_in),
        caution=analysis.caution,
        level=analysis.level,
        sure=SURE,
        span=_span(summary.rounds_table),
        total=_part("Strokes gained", summary.strokes_gained),
        parts_of_total=_parts(summary),
        split=_is_not_split(summary),
        head_charts=[charts[name] for name in head],
        in_order=shown["order"],
        shape=shown["shape"],
        by_length=[] if one else _by_length(summary.cells),
        habits=None if one else _habits(analysis),
        stroke=_stroke(analysis.stroke, shown["stroke"]) if analysis.stroke.parts else None,
        practised=shown["practice"],
        apart=shown["apart"],
        best=_stories(analysis.best) if analysis.counts else [],
        worst=_stories(analysis.worst) if analysis.counts else [],
        rounds=summary.rounds_table.reverse().to_dicts(),
        one_year=summary.rounds_table["date"].dt.year().n_unique() == 1,
    )
    return Page(f"{summary.player}: {summary.season}", body, shown_in=shown_in).html()


def _span(rounds: pl.DataFrame) -> str:
    first, last = (day(each) for each in rounds["date"].sort().gather([0, -1]))
    return first if first == last else f"{first} to {last}"


def _part(name: str, estimate: Estimate) -> dict[str, Any]:
    return {"name": name, "estimate": estimate, "verdict": verdict(estimate.low, estimate.high)}


def _is_not_split(summary: SeasonSummary) -> bool:
    return abs(summary.not_split.value) >= LEAST_SHOWN


def _parts(summary: SeasonSummary) -> list[dict[str, Any]]:
    parts = [_part("Holing", summary.holing), _part("Leave", summary.leave)]
    if _is_not_split(summary):
        parts.append(_part("Not split", summary.not_split))
    return parts


def _others(priorities: Sequence[Priority], shown_in: str) -> list[dict[str, Any]]:
    """Each priority after the first, and the rank where its set-up is written: 0 for nowhere."""
    written: dict[str, int] = {}
    listed = []
    for priority in priorities:
        rank = written.setdefault(priority.drill.id, priority.rank)
        first = rank == priority.rank > 1
        drawn = drill_plan(priority.drill, shown_in) if first else None
        listed.append({"priority": priority, "set_up": 0 if first else rank, "plan": drawn})
    return listed[1:]


def _by_length(cells: pl.DataFrame) -> list[dict[str, Any]]:
    """Holing and leave of each length that was putted from."""
    found = {
        (row["distance"], row["component"]): row
        for row in cells.filter(pl.col("slope") == ANY).iter_rows(named=True)
    }
    rows = []
    for band in LABELS:
        of_band = [found.get((band, component)) for component in COMPONENTS]
        putts = max((row["putts"] for row in of_band if row), default=0)
        if putts:
            distance = band
            cells_of = [_cell(row) for row in of_band]
            rows.append({"distance": distance, "putts": putts, "cells": cells_of})
    return rows


def _cell(row: Row | None) -> dict[str, Any] | None:
    if row is None or row["shrunk_per_round"] is None:
        return None
    value, chance = row["shrunk_per_round"], row["chance_of_loss"]
    told = ""
    if chance is not None and abs(value) >= LEAST_SHOWN:
        told = "loss" if chance >= SURE else "gain" if chance <= 1 - SURE else ""
    return {
        "value": value,
        "verdict": told,
        "look": told or ("tiny" if abs(value) < LEAST_SHOWN else "plain"),
    }


def _habits(analysis: SeasonAnalysis) -> dict[str, Any]:
    """Habits beyond luck, or what there is to say without any."""
    stroke = analysis.stroke
    none = "No habit stands out beyond luck: not short or long, not left or right, not in the read."
    if not stroke.told:
        heading = "Habits"
    elif analysis.decision.stands_out:
        heading = "Your habits"
    else:
        # From so few rounds the decision does not rest on it yet.
        heading = "Perhaps a habit: too few rounds to be sure"
    told = [each.text for each in stroke.told]
    return {"heading": heading, "told": told, "none": stroke.too_few or none}


def _stroke(stroke: StrokeCauses, charts: Sequence[Chart]) -> dict[str, Any]:
    """What the section on read, direction and pace shows."""
    return {
        "charts": charts,
        "parts": [_stroke_part(each) for each in stroke.parts],
        "note": stroke.pace_note,
        "own_words": stroke.own_words.to_dicts(),
        "assumption": stroke.assumption,
    }


def _stroke_part(each: StrokePart) -> dict[str, str]:
    def shown(value: float) -> str:
        return stroke_size(value, each.unit).replace(" ", "\u00a0")

    unit = "" if each.part == "direction" else each.unit
    return {
        "name": first_up(each.part),
        "unit": unit,
        "value": shown(each.value),
        "interval": f"{shown(each.low)} to {shown(each.high)}",
        "tour": shown(each.tour),
        "better": shown(each.better),
        "worth": f"{number(each.worth_per_round.value, 2)} a round",
    }


def _stories(stories: Sequence[RoundStory]) -> list[dict[str, Any]]:
    """Best or worst rounds with what set each apart."""
    return [
        {
            "date": story.date,
            "round": story.round,
            "course": story.course,
            "event": story.event,
            "holes": story.holes,
            "gained": story.strokes_gained,
            "parts": [
                f"{row['component']} {tidy(row['distance'])} {signed(row['difference'], 1)}"
                for row in story.parts.iter_rows(named=True)
            ],
            "putts": story.putts.to_dicts(),
        }
        for story in stories
    ]
