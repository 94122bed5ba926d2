"""How every chart is made: one look, drawn to SVG when a page or a file is written.

A chart is an Altair chart about as wide as a telephone, with the question it answers and its
answer in words. In a page its colours are the page's own, so that a dark page has dark charts.
"""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import altair as alt
from altair.utils import schemapi
from markupsafe import Markup

from sgputt.safe_text import on_a_page
from sgputt.wording import signed
from sgputt_reports.drawing import COLOURS, as_png, draw, in_page, start_drawing

Row = dict[str, Any]

INK, SOFT, LINE, SHEET, GAIN, LOSS = COLOURS.values()
VERDICT_COLOURS = {"gain": GAIN, "loss": LOSS, "unclear": SOFT}
WIDTH, ROW_HEIGHT = 340, 42
LETTERS = "'Liberation Sans', Arial, Helvetica, sans-serif"
CONFIG: dict[str, Any] = {
    "background": "transparent",
    "font": LETTERS,
    "aria": False,
    "padding": {"left": 6, "right": 3, "top": 3, "bottom": 1},
    "autosize": {"type": "fit", "contains": "padding"},
    "view": {"stroke": None},
    "text": {"color": INK, "fontSize": 13},
    "axis": {
        "labelColor": INK,
        "titleColor": SOFT,
        "labelFontSize": 13,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "titlePadding": 6,
        "domain": False,
        "ticks": False,
        "gridColor": LINE,
        "gridDash": [2, 3],
        "labelLimit": 150,
        "labelLineHeight": 15,
        "labelPadding": 6,
        "labelFlush": False,
        # Letters of the reader's own font may be wider than those measured here.
        "labelSeparation": 10,
    },
}
SIGNED_TICKS = "datum.value == 0 ? '0' : format(datum.value, '+')"
PERCENT_TICKS = "format(100 * datum.value, '.0f') + '\u00a0%'"
_STEPS_PX = {"dot": 90, "small": 16}
_FILE_LETTERS = 74
_WIDER_LETTER_PX = 1.0
# Share of an axis that the word for its side takes.
_ROOM_FOR_A_WORD = 0.26
_NOT_XML = re.compile("[^\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True)
class Layers:
    """Altair charts over each other in one field, joined when they are drawn.

    Altair's own layered chart copies all it holds each time it is touched, which takes longer than
    drawing it.
    """

    charts: tuple[alt.Chart, ...]
    properties: dict[str, Any]

    def to_dict(self) -> dict[str, Any]:
        """Vega-Lite without a look."""
        datasets: dict[str, Any] = {}
        inner = {"top_level": False, "datasets": datasets}
        drawn = [each.to_dict(validate=False, context=dict(inner)) for each in self.charts]
        return {
            "$schema": alt.SCHEMA_URL,
            **self.properties,
            "layer": drawn,
            "datasets": datasets,
        }


@dataclass(frozen=True)
class Chart:
    """A chart with its words.

    Attributes
    ----------
    id : str
        An HTML id; the same from one build to the next.
    question : str
        What it answers: its heading.
    words : str
        What it shows, whole, for those who cannot see it.
    caption : str
        What its marks mean, short, beneath it.
    answer : str
        The answer in a few words, where a few words can say it.
    at_its_size : bool
        Whether a page shows it no larger than it is drawn, instead of as wide as its place.
    altair : Layers
        About as wide as a telephone's column.
    wide : Layers, optional
        Where a page has room for it and it gains by it.
    """

    id: str
    question: str
    words: str
    caption: str
    altair: Layers
    wide: Layers | None = None
    answer: str = ""
    at_its_size: bool = False
    _drawings: list[Callable[[], str]] = field(default_factory=list, compare=False, repr=False)

    def __post_init__(self) -> None:
        shown = [self.altair] if self.wide is None else [self.altair, self.wide]
        self._drawings.extend(start_drawing(specification(each)) for each in shown)

    @property
    def pictures(self) -> list[Markup]:
        """The drawing for a page, and where there is one the wide drawing."""
        return [Markup(in_page(each(), self.at_its_size)) for each in self._drawings]

    def themed(self) -> alt.LayerChart:
        """An Altair chart with the look of the pages, for a notebook."""
        chart: alt.LayerChart = alt.LayerChart.from_dict(specification(self.altair))
        return chart


# Altair checks each part of a chart as it is made, which takes as long as all else; the tests check
# whole charts instead.
unchecked = schemapi.debug_mode(False)


def specification(chart: Layers) -> dict[str, Any]:
    """Vega-Lite of a chart in the one look. Its form is checked in the tests, for speed."""
    spec: dict[str, Any] = _clean(chart.to_dict())
    return {**spec, "config": CONFIG}


def _clean(value: Any) -> Any:
    """The same without the characters that XML forbids: one of them ends the drawing engine."""
    if isinstance(value, str):
        return _NOT_XML.sub("", on_a_page(value))
    if isinstance(value, dict):
        return {_clean(key): _clean(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_clean(each) for each in value]
    return value


def chart_files(charts: Iterable[Chart], whose: str) -> dict[str, bytes]:
    """Charts as pictures that stand alone, .svg and .png, by the name of the file.

    Parameters
    ----------
    charts : iterable of Chart
    whose : str
        Whose rounds they are, written below the question.
    """
    files = {}
    for each in charts:
        svg = draw(_alone(each, whose))
        files[f"{file_name(each.question)}.svg"] = svg.encode("utf-8")
        files[f"{file_name(each.question)}.png"] = as_png(svg)
    return files


def file_name(question: str) -> str:
    """A question as the name of a file.

    Examples
    --------
    >>> file_name("From which distances do strokes go?")
    'from-which-distances-do-strokes-go'
    """
    return re.sub(r"[^a-z0-9]+", "-", question.casefold()).strip("-")


def _alone(chart: Chart, whose: str) -> dict[str, Any]:
    """Specification on white, with the chart's question and words above it."""
    lines = [
        line
        for text in (whose, chart.words, chart.caption)
        for line in textwrap.wrap(_clean(text), _FILE_LETTERS)
    ]
    spec = specification(chart.wide or chart.altair)
    title = {
        "text": textwrap.wrap(_clean(chart.question), _FILE_LETTERS - 24),
        "subtitle": lines,
        "anchor": "start",
        "frame": "bounds",
        "color": INK,
        "subtitleColor": SOFT,
        "fontSize": 17,
        "subtitleFontSize": 12,
        "subtitleLineHeight": 16,
        "subtitlePadding": 8,
        "offset": 20,
    }
    config = {**CONFIG, "background": SHEET, "autosize": {"type": "pad"}, "padding": 18}
    return {**spec, "title": title, "config": config}


def layers(*charts: alt.Chart, height: float, width: float = WIDTH, **properties: Any) -> Layers:
    """Marks over each other in one field of that size, its axes included."""
    return Layers(charts, {"width": width, "height": height, **properties})


def in_pixels(**places: float) -> dict[str, Any]:
    """Places ``x, y, x2, y2`` counted in pixels from the left and the top of the field."""
    channels: dict[str, Any] = {
        "x": alt.XValue,
        "y": alt.YValue,
        "x2": alt.X2Value,
        "y2": alt.Y2Value,
    }
    return {name: channels[name](at) for name, at in places.items()}


def marks(rows: Sequence[Row]) -> alt.Chart:
    """A chart of these rows, to be given a mark."""
    return alt.Chart(alt.InlineData(values=list(rows)))


def number_axis(
    title: str | None, ticks: str | None = None, *, grid: bool = False, count: int = 5
) -> alt.Axis:
    """An axis of figures; ``ticks`` is the Vega expression that writes one."""
    return alt.Axis(
        title=title, grid=grid, tickCount=count, labelExpr=alt.Undefined if ticks is None else ticks
    )


def labelled(values: dict[float, str], title: str | None = None) -> alt.Axis:
    """An axis with these words at these places and nowhere else."""
    texts = {f"{at:.3f}": text for at, text in values.items()}
    return alt.Axis(
        title=title,
        grid=False,
        values=list(values),
        labelExpr=f"({json.dumps(texts)})[format(datum.value, '.3f')]",
    )


def wording(
    rows: Sequence[Row],
    text: str,
    *,
    colour: str = INK,
    bold: bool = False,
    size: float = 13,
    align: Literal["left", "center", "right"] = "center",
    dx: float = 0,
    dy: float = 0,
) -> alt.Chart:
    """Text of a field at each row, still to be placed."""
    chart: alt.Chart = (
        marks(rows)
        .mark_text(
            color=colour,
            fontWeight=600 if bold else 400,
            fontSize=size,
            align=align,
            baseline="middle",
            dx=dx,
            dy=dy,
        )
        .encode(text=alt.Text(f"{text}:N"))
    )
    return chart


def verdict(low: float | None, high: float | None) -> str:
    """Loss or gain when the interval leaves out zero; else unclear."""
    if low is None or high is None or low <= 0 <= high:
        return "unclear"
    return "gain" if low > 0 else "loss"


@dataclass(frozen=True)
class Span:
    """What one row of a chart of intervals shows.

    ``mark`` is a place of its own that it is measured by, such as a pass mark; ``colour`` says
    gain, loss or unclear, and an empty one stands for neither good nor bad.
    """

    label: str
    value: float
    low: float | None
    high: float | None
    shown: str
    verdict: str = ""
    mark: float | None = None


@unchecked
def spans_chart(
    spans: Sequence[Span],
    title: str,
    ends: tuple[float, float],
    *,
    ticks: str = SIGNED_TICKS,
    sides: bool = True,
    from_zero: bool = False,
    tick_count: int = 5,
) -> Layers:
    """A row for each span: a dot with its interval; a bar from zero where it has none.

    Parameters
    ----------
    spans : sequence of Span
        From top to bottom; a label may have a second line, after ``|``.
    title : str
        Of the axis.
    ends : tuple of float
        Of the axis; what lies beyond is cut there.
    ticks : str
        Vega expression that writes a tick.
    sides : bool
        Whether left of zero is a loss and right of it a gain.
    from_zero : bool
        Whether a pale bar goes from zero to each dot.
    tick_count : int
        About how many ticks.
    """
    low, high = ends
    rows = [_span_row(each, ends) for each in spans]
    x_scale = alt.Scale(domain=[low, high], nice=False)
    x = alt.X("value:Q", scale=x_scale, axis=number_axis(title, ticks, count=tick_count))
    y = alt.Y(
        "label:N",
        sort=None,
        axis=alt.Axis(title=None, grid=True, labelExpr="split(datum.label, '|')"),
        scale=alt.Scale(domain=[each.label for each in spans]),
    )
    base = marks(rows).encode(y=y)
    colour = alt.Color("ink:N", scale=None)
    drawn = _zero(ends, sides) if low <= 0 <= high else []
    if from_zero:
        drawn.append(
            base.mark_bar(height=16, color=INK, opacity=0.1).encode(x=x, x2=alt.X2("zero:Q"))
        )
    drawn += [
        base.mark_rule(strokeWidth=3, strokeCap="round").encode(
            x=alt.X("from:Q", scale=x_scale, axis=number_axis(title, ticks, count=tick_count)),
            x2=alt.X2("to:Q"),
            color=colour,
        ),
        base.mark_point(size=_STEPS_PX["dot"], filled=True, opacity=1, strokeWidth=2).encode(
            x=x, fill=alt.Fill("fill:N", scale=None), stroke=alt.Stroke("ink:N", scale=None)
        ),
    ]
    if any(each.mark is not None for each in spans):
        drawn.append(base.mark_tick(thickness=3, height=20, color=INK).encode(x=alt.X("mark:Q")))
    shown = wording(rows, "shown", bold=True, dy=-14).encode(x=x, y=y, color=colour)
    top = 20 if sides and low < 0 else 12
    return layers(
        *drawn,
        shown,
        height=ROW_HEIGHT * len(rows) + 46 + top,
        padding={
            "left": label_room(each.label for each in spans),
            "right": 6,
            "top": top,
            "bottom": 1,
        },
    )


def label_room(labels: Iterable[str]) -> float:
    """Pixels left of labels for a browser whose letters are wider than those they were set in."""
    lines = [len(line) for label in labels for line in label.split("|")]
    return 2 + _WIDER_LETTER_PX * max(lines, default=0)


def _span_row(each: Span, ends: tuple[float, float]) -> Row:
    ink = VERDICT_COLOURS.get(each.verdict, INK)
    start, end = (0.0, each.value) if each.low is None else (each.low, each.high)
    return {
        "label": each.label,
        "value": _within(each.value, ends),
        "from": _within(start, ends),
        "to": _within(end, ends),
        "mark": each.mark,
        "zero": 0,
        "shown": each.shown,
        "ink": ink,
        "fill": SHEET if each.verdict == "unclear" else ink,
    }


def _within(value: float | None, ends: tuple[float, float]) -> float | None:
    return None if value is None else min(max(value, ends[0]), ends[1])


def _zero(ends: tuple[float, float], sides: bool) -> list[alt.Chart]:
    """The line at zero, and where its sides mean something the losing side and their words."""
    rows = [{"from": ends[0], "to": 0, "below": "\u2190 loses", "above": "gains \u2192"}]
    one = marks(rows)
    line = one.mark_rule(color=INK, strokeWidth=1.5).encode(x=alt.X("to:Q"))
    if not sides or ends[0] >= 0:
        return [line]
    above = in_pixels(y=-11)
    gaining = ends[1] / (ends[1] - ends[0])
    drawn = [
        one.mark_rect(color=LOSS, opacity=0.07).encode(x=alt.X("from:Q"), x2=alt.X2("to:Q")),
        line,
    ]
    if gaining < 1 - _ROOM_FOR_A_WORD:
        word = wording(rows, "below", bold=True, colour=LOSS, align="right", dx=-6)
        drawn.append(word.encode(x=alt.X("to:Q"), **above))
    if gaining > _ROOM_FOR_A_WORD:
        word = wording(rows, "above", bold=True, colour=GAIN, align="left", dx=6)
        drawn.append(word.encode(x=alt.X("to:Q"), **above))
    return drawn


def ends_around(
    spans: Iterable[Span], least: float = 0.1, room: float = 0.12
) -> tuple[float, float]:
    """Ends of an axis that holds every value and interval, and zero, with room to spare."""
    known = [end for each in spans for end in (each.value, each.low, each.high) if end is not None]
    low, high = min([-least, *known]), max([least, *known])
    return low - room * (high - low), high + room * (high - low)


def span_of(label: str, row: Row, digits: int = 2) -> Span:
    """A span of strokes gained from a row with ``per_round, low, high``."""
    value, low, high = row["per_round"], row["low"], row["high"]
    happened = "loss" if value < 0 else "gain"
    told = happened if low is None else verdict(low, high)
    return Span(label, value, low, high, signed(value, digits), told)
