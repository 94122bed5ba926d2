"""The page of a season: the next drill first, then what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl
from markupsafe import Markup

from sgputt.inference.cells import ANY, COMPONENTS, SURE
from sgputt.inference.shares import LEVEL
from sgputt.practice.priorities import LEAST_LOSS, REACHABLE_SHARE, Priority
from sgputt.putts.bands import LABELS
from sgputt.season.misses import Reason
from sgputt.season.stroke import StrokeReport
from sgputt.season.summary import Estimate, SeasonSummary
from sgputt_reports.by_round import parts_plot, trend_plot
from sgputt_reports.charts import describe_by_distance, gained_by_distance, key_to_chart
from sgputt_reports.drawing import verdict
from sgputt_reports.format import clean, day, tidy
from sgputt_reports.misses import misses_section
from sgputt_reports.page import Figure, Page, render
from sgputt_reports.season_parts import (
    Evidence,
    breakdown_tables,
    describe_practised,
    practised_rows,
    story_rows,
)
from sgputt_reports.shape import leaves_plot, makes_plot, rose_plot
from sgputt_reports.stroke import stroke_section

_SLOPES = ("uphill", "level", "downhill", ANY)
_CAPTIONS = {
    "holing": ("Holing", "putts made or missed"),
    "leave": ("Leave", "how near the misses stopped"),
}
# Shown as 0.00; a word beside it would say more than the figure.
_NOUGHT = 0.005
_KEPT_UP = 3
# Of more rounds the earlier ones are folded away.
_ROUNDS_SHOWN = 40


def season_page(
    summary: SeasonSummary,
    priorities: Sequence[Priority],
    caution: str = "",
    stroke: StrokeReport | None = None,
    misses: Sequence[Reason] = (),
    slopes: pl.DataFrame | None = None,
    slope_assumption: str = "",
    evidence: Evidence | None = None,
) -> str:
    """Write the page of a season.

    Parameters
    ----------
    summary : SeasonSummary
    priorities : sequence of Priority
        In order of size; the first is the decision at the head of the page. May be empty.
    caution : str
        A word of care for practice, said once, from the drill catalogue.
    stroke : StrokeReport, optional
        Start line and pace by the stroke model; without it, no section on them.
    misses : sequence of Reason
        Why putts missed; without any, no section on it.
    slopes : polars.DataFrame, optional
        From :func:`sgputt.season.slopes.slope_table`.
    slope_assumption : str
        What the slope-fair figures of ``slopes`` assume.
    evidence : Evidence, optional
        Makes and leaves by length, the trend and what tells rounds apart; without it, no section
        on them.

    Returns
    -------
    str
        One HTML document that needs no other file and no network.
    """
    body = render(
        "season",
        summary=summary,
        priorities=priorities,
        listed=_listed(priorities),
        caution=caution,
        level=summary.strokes_gained.level,
        sure=SURE,
        reachable=REACHABLE_SHARE,
        least=LEAST_LOSS,
        span=_span(summary.rounds_table),
        total=_part("Strokes gained", summary.strokes_gained),
        parts_of_total=_parts(summary),
        split=_is_not_split(summary),
        chart=distance_figure(summary.by_distance, summary.strokes_gained.level, summary.rounds),
        misses=misses_section(misses, summary.rounds),
        stroke=stroke_section(stroke),
        by_slope=_by_slope(slopes),
        slope_assumption=slope_assumption,
        slopes=_SLOPES,
        cell_tables=[_cell_table(summary.cells, component) for component in COMPONENTS],
        unknown_slope="unknown" in summary.cells["slope"].cast(pl.String),
        keep_up=_keep_up(summary.cells),
        **_rounds(summary.rounds_table),
        longest=summary.rounds_table["strokes_gained"].abs().max(),
        **_more(summary, evidence),
    )
    return Page(clean(f"{summary.player}: {summary.season}"), [Markup(body)]).html()


def _rounds(table: pl.DataFrame) -> dict[str, Any]:
    """Rounds newest first, the earlier ones of a long list apart."""
    rows = table.reverse().to_dicts()
    shown, earlier = rows[:_ROUNDS_SHOWN], rows[_ROUNDS_SHOWN:]
    return {"rounds": shown, "earlier": earlier, "earlier_many": len(earlier)}


def _more(summary: SeasonSummary, evidence: Evidence | None) -> dict[str, Any]:
    """Sections that rest on the evidence beside the summary."""
    if evidence is None:
        names = ("shape", "rose", "rounds_in_order", "apart", "best", "worst", "practised")
        return dict.fromkeys(names)
    shape = [
        makes_plot(evidence.makes, evidence.curve, summary.against.title),
        leaves_plot(evidence.leaves),
    ]
    in_order = [trend_plot(evidence.trend), parts_plot(summary)]
    return {
        "shape": shape if len(evidence.makes) else [],
        "rose": rose_plot(evidence.finishes) if len(evidence.finishes) else None,
        "rounds_in_order": [each for each in in_order if each is not None],
        "apart": breakdown_tables(evidence.breakdowns),
        "best": story_rows(evidence.best),
        "worst": story_rows(evidence.worst),
        "practised": practised_rows(evidence),
        "practised_words": describe_practised(evidence),
    }


def distance_figure(
    by_distance: pl.DataFrame, level: float = LEVEL, rounds: int | None = None
) -> Figure:
    """Strokes gained by distance, as a chart with its question and its answer."""
    words = describe_by_distance(by_distance, rounds)
    return Figure(
        id="by-distance",
        question="From which distances do strokes go?",
        words=words,
        key=key_to_chart(by_distance, level),
        spec=gained_by_distance(by_distance, words),
    )


def _by_slope(slopes: pl.DataFrame | None) -> list[dict[str, Any]]:
    """Rows of the slope table; none unless a slope was written."""
    rows = [] if slopes is None else slopes.to_dicts()
    written = any(row["slope"] != "unknown" for row in rows)
    return rows if written else []


def _span(rounds: pl.DataFrame) -> str:
    first, last = (day(each) for each in rounds["date"].sort().gather([0, -1]))
    return first if first == last else f"{first} to {last}"


def _part(name: str, estimate: Estimate) -> dict[str, Any]:
    return {
        "name": name,
        "estimate": estimate,
        "verdict": verdict(estimate.low, estimate.high),
    }


def _is_not_split(summary: SeasonSummary) -> bool:
    return abs(summary.not_split.value) >= _NOUGHT


def _parts(summary: SeasonSummary) -> list[dict[str, Any]]:
    parts = [_part("Holing", summary.holing), _part("Leave", summary.leave)]
    if _is_not_split(summary):
        parts.append(_part("Not split", summary.not_split))
    return parts


def _listed(priorities: Sequence[Priority]) -> list[dict[str, Any]]:
    """Each priority, and the rank where its set-up is already written: 0 for nowhere."""
    written: dict[str, int] = {}
    listed = []
    for priority in priorities:
        rank = written.setdefault(priority.drill.id, priority.rank)
        listed.append({"priority": priority, "set_up": 0 if rank == priority.rank > 1 else rank})
    return listed


def _cell_table(cells: pl.DataFrame, component: str) -> dict[str, Any]:
    caption, meaning = _CAPTIONS[component]
    found = {
        (row["distance"], row["slope"]): _cell(row)
        for row in cells.filter(pl.col("component") == component).iter_rows(named=True)
    }
    rows = [
        {
            "distance": band.removesuffix(" ft"),
            "cells": [found.get((band, slope)) for slope in _SLOPES],
        }
        for band in LABELS
    ]
    return {"caption": caption, "meaning": meaning, "rows": rows}


def _cell(row: dict[str, Any]) -> dict[str, Any] | None:
    value = row["shrunk_per_round"]
    if value is None:
        return None
    told = _told(row["chance_of_loss"]) if abs(value) >= _NOUGHT else ""
    return {
        "value": value,
        "putts": row["putts"],
        "verdict": told,
        "look": told or ("tiny" if abs(value) < _NOUGHT else "plain"),
    }


def _told(chance_of_loss: float | None) -> str:
    if chance_of_loss is None:
        return ""
    if chance_of_loss >= SURE:
        return "loss"
    return "gain" if chance_of_loss <= 1 - SURE else ""


def _keep_up(cells: pl.DataFrame) -> list[dict[str, Any]]:
    """The largest gains of whole bands that can be told from luck."""
    best = cells.filter(
        pl.col("slope") == ANY,
        pl.col("chance_of_loss") <= 1 - SURE,
        pl.col("shrunk_per_round") >= _NOUGHT,
    ).sort("shrunk_per_round", descending=True)
    return [
        {
            "what": f"{row['component']} from {tidy(row['distance'])}",
            "value": row["shrunk_per_round"],
        }
        for row in best.head(_KEPT_UP).iter_rows(named=True)
    ]
