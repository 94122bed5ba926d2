"""Strokes gained by distance: the chart, and what it shows in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import altair as alt
import polars as pl

from sgputt_reports.drawing import (
    GAIN,
    INKS,
    LOSS,
    SHEET,
    UNCLEAR,
    Row,
    Scale,
    Spec,
    nought_line,
    rows_of_dots,
    verdict,
)
from sgputt_reports.format import count, few_rounds, interval, percent, signed, tidy

# With more distances than this a sentence with every interval is too long to read.
_MOST_INTERVALS = 3
_ROOM = 0.12
_LEAST_REACH = 0.1


def gained_by_distance(by_distance: pl.DataFrame, words: str = "") -> Spec:
    """Points with intervals, one row a band, longest putts last.

    Parameters
    ----------
    by_distance : polars.DataFrame
        ``distance, putts, per_round, low, high``, as in a season summary; ``low`` and ``high``
        may be null.
    words : str
        What the chart shows, from :func:`describe_by_distance`.

    Returns
    -------
    dict
        A Vega-Lite specification as wide as its container.
    """
    rows = [_row(each) for each in by_distance.iter_rows(named=True)]
    seen = [row for row in rows if row["putts"]]
    scale = Scale("strokes gained a round", reach(seen))
    return rows_of_dots(seen, [row["label"] for row in rows], scale, _ground(scale), words)


def _row(each: Row) -> Row:
    value, low, high = each["per_round"], each["low"], each["high"]
    happened = "loss" if value < 0 else "gain"
    ink = INKS[happened if low is None else verdict(low, high)]
    return {
        "label": f"{tidy(each['distance'])}|{count(each['putts'], 'putt')}",
        "putts": each["putts"],
        "value": value,
        "low": low,
        "high": high,
        "shown": signed(value),
        "ink": ink,
        "fill": SHEET if ink == UNCLEAR else ink,
    }


def reach(rows: Sequence[Row]) -> tuple[float, float]:
    """Ends of an axis that holds every value and interval, and nought, with room to spare."""
    ends = [row[name] for row in rows for name in ("value", "low", "high")]
    known = [end for end in ends if end is not None]
    low, high = min([-_LEAST_REACH, *known]), max([_LEAST_REACH, *known])
    room = (high - low) * _ROOM
    return low - room, high + room


def _ground(scale: Scale) -> list[alt.Chart]:
    """The losing side, the line at nought, and a word for each side."""
    one = alt.Chart(
        alt.InlineData(
            values=[{"from": scale.ends[0], "to": 0, "below": "◂ loses", "above": "gains ▸"}]
        )
    )
    return [
        one.mark_rect(color=LOSS, opacity=0.07).encode(x=scale.x("from"), x2="to:Q"),
        nought_line(scale),
        _side(one, "below", LOSS, "right").encode(x=scale.x("to")),
        _side(one, "above", GAIN, "left").encode(x=scale.x("to")),
    ]


def _side(one: alt.Chart, field: str, colour: str, align: Literal["left", "right"]) -> alt.Chart:
    word: alt.Chart = one.mark_text(
        align=align,
        dx=7 if align == "left" else -7,
        color=colour,
        fontSize=13,
        fontWeight=600,
        baseline="bottom",
    )
    written: alt.Chart = word.encode(y=alt.value(-6), text=f"{field}:N")
    return written


def describe_by_distance(by_distance: pl.DataFrame, rounds: int | None = None) -> str:
    """Say in words what the chart of strokes by distance shows.

    Parameters
    ----------
    by_distance : polars.DataFrame
        As for :func:`gained_by_distance`.
    rounds : int, optional
        Rounds it was made of; from few of them intervals are not to be trusted.
    """
    rows = [row for row in by_distance.iter_rows(named=True) if row["putts"]]
    if not rows:
        return "No putt from the green has a known length, so there is nothing to show yet."
    if all(row["low"] is None for row in rows):
        listed = ", ".join(f"{tidy(row['distance'])} {signed(row['per_round'])}" for row in rows)
        return f"Strokes gained by distance: {listed}. One round shows what happened, not skill."
    return f"{_told_apart(rows)} {few_rounds(rounds)}".strip()


def _told_apart(rows: Sequence[Row]) -> str:
    parts = [
        _listed(rows, "loss", "Strokes go from"),
        _listed(rows, "gain", "Strokes are won from"),
    ]
    said = " ".join(part for part in parts if part)
    if not said:
        return "Every interval crosses nought: too few rounds to tell any distance from luck."
    unclear = any(verdict(row["low"], row["high"]) == "unclear" for row in rows)
    return f"{said} The intervals of the other distances cross nought." if unclear else said


def _listed(rows: Sequence[Row], word: str, lead: str) -> str:
    found = [row for row in rows if verdict(row["low"], row["high"]) == word]
    found.sort(key=lambda row: -abs(row["per_round"]))
    told = [_told(row, with_interval=len(found) <= _MOST_INTERVALS) for row in found]
    if not told:
        return ""
    *most, last = told
    return f"{lead} {', '.join(most)}{' and ' if most else ''}{last}."


def _told(row: Row, with_interval: bool) -> str:
    reached = f" a round; {interval(row['low'], row['high'], 2)}" if with_interval else ""
    return f"{tidy(row['distance'])} ({signed(row['per_round'])}{reached})"


def key_to_chart(by_distance: pl.DataFrame, level: float) -> str:
    """Say what the marks of the chart of strokes by distance mean."""
    if by_distance["low"].null_count() == len(by_distance):
        return "Bar: strokes gained for 18 holes, luck included."
    return (
        f"Dot: strokes gained a round. Line: {percent(level)} interval. "
        "Filled and coloured: the interval is clear of nought. Hollow and grey: it is not."
    )
