"""Charts as Vega-Lite specifications, and what each shows in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import altair as alt
import polars as pl

from sgputt_reports.format import count, interval, percent, signed, tidy

Spec = dict[str, Any]
Row = dict[str, Any]

GAIN, LOSS, UNCLEAR = "#0b65a3", "#b54708", "#5d6474"
INK, RULE, SHEET = "#1c2130", "#c9cdd6", "#ffffff"
# A row holds a label of two lines.
ROW_PX = 44
FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"
CONFIG = {
    "background": "transparent",
    "font": FONT,
    "aria": False,
    "view": {"stroke": None},
    "axis": {
        "labelColor": INK,
        "titleColor": INK,
        "labelFontSize": 13,
        "titleFontSize": 13,
        "titleFontWeight": "normal",
        "domain": False,
        "ticks": False,
        "gridColor": RULE,
        "gridDash": [2, 3],
        "labelLimit": 120,
        "labelLineHeight": 16,
    },
}
_INKS = {"gain": GAIN, "loss": LOSS, "unclear": UNCLEAR}
_STILL_PX, _STILL_LEFT_PX = 360, 18
# With more distances than this a sentence with every interval is too long to read.
_MOST_INTERVALS = 3
_ROOM = 0.12
_KNOWN = "isValid(datum.low)"
_TICK = "datum.value == 0 ? '0' : format(datum.value, '+')"
_LEAST_REACH = 0.1


def verdict(low: float | None, high: float | None) -> str:
    """Loss or gain when the interval leaves out nought; else unclear."""
    if low is None or high is None or low <= 0 <= high:
        return "unclear"
    return "gain" if low > 0 else "loss"


def gained_by_distance(by_distance: pl.DataFrame) -> Spec:
    """Points with intervals, one row a band, longest putts last.

    Parameters
    ----------
    by_distance : polars.DataFrame
        ``distance, putts, per_round, low, high``, as in a season summary; ``low`` and ``high``
        may be null.

    Returns
    -------
    dict
        A Vega-Lite specification as wide as its container.
    """
    rows = [_row(each) for each in by_distance.iter_rows(named=True)]
    seen = [row for row in rows if row["putts"]]
    reach = _reach(seen)
    base = alt.Chart(alt.InlineData(values=seen))
    y = alt.Y(
        "band:N",
        sort=None,
        title=None,
        scale=alt.Scale(domain=[row["band"] for row in rows]),
        axis=alt.Axis(
            labelExpr="split(datum.label, '|')", grid=True, labelPadding=8, labelOffset=-8
        ),
    )
    layers = [*_ground(reach), *_marks(base, y, reach)]
    chart = alt.layer(*layers).properties(
        width="container",
        height=ROW_PX * len(rows),
        padding={"left": 2, "right": 6, "top": 22, "bottom": 2},
        description=describe_by_distance(by_distance),
    )
    return _dressed(chart)


def _row(each: Row) -> Row:
    value, low, high = each["per_round"], each["low"], each["high"]
    happened = "loss" if value < 0 else "gain"
    ink = _INKS[happened if low is None else verdict(low, high)]
    return {
        "band": f"{tidy(each['distance'])}|{count(each['putts'], 'putt')}",
        "putts": each["putts"],
        "nought": 0,
        "value": value,
        "low": low,
        "high": high,
        "shown": signed(value),
        "ink": ink,
        "fill": SHEET if ink == UNCLEAR else ink,
    }


def _reach(rows: Sequence[Row]) -> list[float]:
    ends = [row[name] for row in rows for name in ("value", "low", "high")]
    known = [end for end in ends if end is not None]
    low, high = min([-_LEAST_REACH, *known]), max([_LEAST_REACH, *known])
    room = (high - low) * _ROOM
    return [low - room, high + room]


def _x(reach: Sequence[float], field: str = "value") -> alt.X:
    return alt.X(
        f"{field}:Q",
        scale=alt.Scale(domain=list(reach), nice=False),
        axis=alt.Axis(title="strokes gained a round", labelExpr=_TICK, tickCount=5, grid=False),
    )


def _ground(reach: Sequence[float]) -> list[alt.Chart]:
    """The losing side, the line at nought, and a word for each side."""
    one = alt.Chart(
        alt.InlineData(values=[{"from": reach[0], "to": 0, "below": "◂ loses", "above": "gains ▸"}])
    )
    return [
        one.mark_rect(color=LOSS, opacity=0.07).encode(x=_x(reach, "from"), x2="to:Q"),
        one.mark_rule(color=INK, size=1.5).encode(x=_x(reach, "to")),
        _side(one, "below", LOSS, "right").encode(x=_x(reach, "to")),
        _side(one, "above", GAIN, "left").encode(x=_x(reach, "to")),
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


def _marks(base: alt.Chart, y: alt.Y, reach: Sequence[float]) -> list[alt.Chart]:
    colour, fill = alt.Stroke("ink:N", scale=None), alt.Fill("fill:N", scale=None)
    known, single = (base.transform_filter(test) for test in (_KNOWN, f"!{_KNOWN}"))
    value = base.mark_text(dy=-15, fontSize=13, fontWeight=600).encode(
        x=_x(reach), y=y, text="shown:N", fill=alt.Fill("ink:N", scale=None)
    )
    halo = base.mark_text(dy=-15, fontSize=13, fontWeight=600, strokeWidth=4).encode(
        x=_x(reach), y=y, text="shown:N", stroke=alt.value(SHEET), fill=alt.value(SHEET)
    )
    return [
        known.mark_rule(size=3, strokeCap="round").encode(
            x=_x(reach, "low"), x2="high:Q", y=y, stroke=colour
        ),
        single.mark_rule(size=6).encode(x=_x(reach, "nought"), x2="value:Q", y=y, stroke=colour),
        halo,
        base.mark_point(size=110, strokeWidth=2.5, opacity=1).encode(
            x=_x(reach), y=y, stroke=colour, fill=fill
        ),
        value,
    ]


def _dressed(chart: alt.TopLevelMixin) -> Spec:
    spec: Spec = chart.to_dict()
    spec.pop("$schema", None)
    return {**spec, "config": CONFIG, "autosize": {"type": "fit-x", "contains": "padding"}}


def still(spec: Spec) -> Spec:
    """Specification for a drawing of fixed width, with room for a wider font than measured."""
    return {**spec, "width": _STILL_PX, "padding": {**spec["padding"], "left": _STILL_LEFT_PX}}


def describe_by_distance(by_distance: pl.DataFrame) -> str:
    """Say in words what the chart of strokes by distance shows."""
    rows = [row for row in by_distance.iter_rows(named=True) if row["putts"]]
    if not rows:
        return "No putt from the green has a known length, so there is nothing to show yet."
    if all(row["low"] is None for row in rows):
        listed = ", ".join(f"{tidy(row['distance'])} {signed(row['per_round'])}" for row in rows)
        return f"Strokes gained by distance: {listed}. One round shows what happened, not skill."
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
    reach = f" a round; {interval(row['low'], row['high'], 2)}" if with_interval else ""
    return f"{tidy(row['distance'])} ({signed(row['per_round'])}{reach})"


def key_to_chart(by_distance: pl.DataFrame, level: float) -> str:
    """Say what the marks of the chart of strokes by distance mean."""
    if by_distance["low"].null_count() == len(by_distance):
        return "Bar: strokes gained for 18 holes, luck included."
    return (
        f"Dot: strokes gained a round. Line: {percent(level)} interval. "
        "Filled and coloured: the interval is clear of nought. Hollow and grey: it is not."
    )
