"""Parts of the season's page that are tables: when and where, best and worst, practice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import polars as pl

from sgputt.practice.history import DrillHistory
from sgputt.season.best import RoundStory
from sgputt.season.breakdown import NO_EVENT, UNKNOWN
from sgputt_reports.drawing import Row, verdict
from sgputt_reports.format import digits_for, interval, percent, signed, tidy
from sgputt_reports.strip import Drawn, Strips

_HEADINGS = {
    "months": ("By month", "Month"),
    "events": ("By event", "Event"),
    "courses": ("By course", "Course"),
    "stimps": ("By green speed", "Stimp"),
}
# A longer table than this hides what matters; the rest is told as so many more.
_MOST_ROWS = 12
_NOT_WRITTEN = {NO_EVENT: "No event", UNKNOWN: "Not written"}


@dataclass(frozen=True)
class Evidence:
    """What stands behind a season beside its summary; what is absent or empty is not shown.

    Attributes
    ----------
    makes, curve, leaves, finishes : polars.DataFrame
        From :mod:`sgputt.season.shape`.
    trend : polars.DataFrame
        From :func:`sgputt.season.trend.trend`.
    breakdowns : mapping of str to polars.DataFrame
        From :func:`sgputt.season.breakdown.gained_by`, under ``months``, ``events``, ``courses``
        and ``stimps``; others are left out.
    best, worst : sequence of RoundStory
    practised : sequence of DrillHistory
    drill_names : mapping of str to str
        Names of the drills by their id; the id stands for an absent one.
    """

    makes: pl.DataFrame
    curve: pl.DataFrame
    leaves: pl.DataFrame
    finishes: pl.DataFrame
    trend: pl.DataFrame
    breakdowns: Mapping[str, pl.DataFrame] = field(default_factory=dict)
    best: Sequence[RoundStory] = ()
    worst: Sequence[RoundStory] = ()
    practised: Sequence[DrillHistory] = ()
    drill_names: Mapping[str, str] = field(default_factory=dict)


def breakdown_tables(breakdowns: Mapping[str, pl.DataFrame]) -> list[dict[str, Any]]:
    """Tables that tell rounds apart, on one scale; those with one row say nothing and are left out.

    Months come latest first, so that the latest is never among the rows cut off.
    """
    found = {key: breakdowns[key].to_dicts() for key in _HEADINGS if key in breakdowns}
    found = {key: rows for key, rows in found.items() if len(rows) > 1}
    if "months" in found:
        found["months"].reverse()
    shown = {key: rows[:_MOST_ROWS] for key, rows in found.items()}
    strips = Strips.around(
        [
            Drawn(row["per_round"], row["low"], row["high"], row["rounds"])
            for rows in shown.values()
            for row in rows
        ]
    )
    return [
        {
            "caption": _HEADINGS[key][0],
            "what": _HEADINGS[key][1],
            "rows": [_breakdown_row(key, row, strips) for row in rows],
            "more": len(found[key]) - len(rows),
        }
        for key, rows in shown.items()
    ]


def _breakdown_row(key: str, row: Row, strips: Strips) -> dict[str, Any]:
    low, high = row["low"], row["high"]
    return {
        "label": _label(key, row["label"]),
        "rounds": row["rounds"],
        "putts": row["putts"],
        "value": signed(row["per_round"], digits_for(low, high)),
        "interval": interval(low, high),
        "verdict": verdict(low, high),
        "strip": strips.draw(row["per_round"], low, high),
    }


def _label(key: str, label: str) -> str:
    if key == "months":
        year, month = map(int, label.split("-"))
        return f"{date(year, month, 1):%b}\u00a0{year}"
    label = _NOT_WRITTEN.get(label, label)
    return tidy(label) if key == "stimps" else label


def story_rows(stories: Sequence[RoundStory]) -> list[dict[str, Any]]:
    """Best or worst rounds with what set each apart."""
    return [
        {
            "date": story.date,
            "round": story.round,
            "course": story.course,
            "event": story.event,
            "holes": story.holes,
            "gained": story.strokes_gained,
            "parts": [_part(row) for row in story.parts.iter_rows(named=True)],
            "putts": story.putts.to_dicts(),
        }
        for story in stories
    ]


def _part(row: Row) -> str:
    where = f"{row['component']} {tidy(row['distance'])}"
    return f"{where} {signed(row['difference'], 1)}"


def practised_rows(evidence: Evidence) -> list[dict[str, Any]]:
    """Drills practised, each with its share of successes beside its mark."""
    strips = Strips((0.0, 1.0), line_at=None)
    return [
        {
            "name": evidence.drill_names.get(each.drill, each.drill),
            "sets": each.sets,
            "balls": each.balls,
            "last": each.last,
            "rate": percent(each.rate),
            "interval": f"{100 * each.low:.0f} to {percent(each.high)}",
            "mark": each.mark,
            "mark_rate": None if each.mark_rate is None else percent(each.mark_rate),
            "passed": each.passed,
            "judged": each.judged,
            "trend": each.trend,
            "strip": strips.draw(each.rate, each.low, each.high, each.mark_rate),
        }
        for each in evidence.practised
    ]


def describe_practised(evidence: Evidence) -> str:
    """Say in words how practice stands against its marks."""
    judged = [each for each in evidence.practised if each.mark_rate is not None]
    names = {each.drill: evidence.drill_names.get(each.drill, each.drill) for each in judged}
    above = [names[each.drill] for each in judged if each.low > (each.mark_rate or 0)]
    below = [names[each.drill] for each in judged if each.high < (each.mark_rate or 0)]
    said = []
    if above:
        said.append(f"Clear above the mark: {', '.join(above)}.")
    if below:
        said.append(f"Still below the mark: {', '.join(below)}.")
    return " ".join(said) or "No drill is clear of its mark yet, above or below."
