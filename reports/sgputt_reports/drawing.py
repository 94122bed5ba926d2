"""What every chart is drawn with: colours, one row a thing, dots with intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import altair as alt

from sgputt_reports.plot import written_signed

Spec = dict[str, Any]
Row = dict[str, Any]

GAIN, LOSS, UNCLEAR = "#0b65a3", "#b54708", "#5d6474"
INK, RULE, SHEET = "#1c2130", "#c9cdd6", "#ffffff"
INKS = {"gain": GAIN, "loss": LOSS, "unclear": UNCLEAR}
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
SIGNED_TICK = "datum.value == 0 ? '0' : format(datum.value, '+')"
PERCENT_TICK = "format(100 * datum.value, '.0f') + '\\u00a0%'"
_KNOWN = "isValid(datum.low)"
_PADDING = {"left": 2, "right": 6, "top": 22, "bottom": 2}


@dataclass(frozen=True)
class Scale:
    """The axis below a chart: its title, its two ends, and how a tick is written (Vega)."""

    title: str
    ends: tuple[float, float]
    tick: str = SIGNED_TICK

    def x(self, field: str = "value") -> alt.X:
        """Place a field of the data along this axis."""
        return alt.X(
            f"{field}:Q",
            scale=alt.Scale(domain=list(self.ends), nice=False),
            axis=alt.Axis(title=self.title, labelExpr=self.tick, tickCount=5, grid=False),
        )

    def written(self, value: float, step: float) -> str:
        """A tick in words, as ``tick`` has Vega write it."""
        if self.tick == PERCENT_TICK:
            return f"{100 * value:.0f}\u00a0%"
        return written_signed(value, step)


def verdict(low: float | None, high: float | None) -> str:
    """Loss or gain when the interval leaves out nought; else unclear."""
    if low is None or high is None or low <= 0 <= high:
        return "unclear"
    return "gain" if low > 0 else "loss"


def rows_of_dots(
    rows: Sequence[Row],
    labels: Sequence[str],
    scale: Scale,
    ground: Sequence[alt.Chart],
    words: str,
) -> Spec:
    """Draw dots with their intervals, one row each; a bar from nought where there is none.

    Parameters
    ----------
    rows : sequence of dict
        ``label, value, low, high, shown, ink, fill``; ``low`` and ``high`` may be None.
    labels : sequence of str
        Every row's label from top to bottom, empty rows too; ``|`` ends its first line.
    scale : Scale
    ground : sequence of altair.Chart
        What lies under the dots.
    words : str
        What the chart shows.

    Returns
    -------
    dict
        A Vega-Lite specification as wide as its container; ``usermeta`` keeps what it was made of,
        for :class:`sgputt_reports.dots.Still`.
    """
    base = alt.Chart(alt.InlineData(values=[{"nought": 0, **row} for row in rows]))
    y = alt.Y(
        "label:N",
        sort=None,
        title=None,
        scale=alt.Scale(domain=list(labels)),
        axis=alt.Axis(
            labelExpr="split(datum.label, '|')", grid=True, labelPadding=8, labelOffset=-8
        ),
    )
    chart = alt.layer(*ground, *_dots(base, y, scale)).properties(
        width="container", height=ROW_PX * len(labels), padding=_PADDING, description=words
    )
    # Checking against the schema takes longer than drawing; the tests draw every kind.
    spec: Spec = chart.to_dict(validate=False)
    spec.pop("$schema", None)
    spec["usermeta"] = {"rows": list(rows), "labels": list(labels), "scale": asdict(scale)}
    return {**spec, "config": CONFIG, "autosize": {"type": "fit-x", "contains": "padding"}}


def _dots(base: alt.Chart, y: alt.Y, scale: Scale) -> list[alt.Chart]:
    colour, fill = alt.Stroke("ink:N", scale=None), alt.Fill("fill:N", scale=None)
    known, single = (base.transform_filter(test) for test in (_KNOWN, f"!{_KNOWN}"))
    value = base.mark_text(dy=-15, fontSize=13, fontWeight=600).encode(
        x=scale.x(), y=y, text="shown:N", fill=alt.Fill("ink:N", scale=None)
    )
    halo = base.mark_text(dy=-15, fontSize=13, fontWeight=600, strokeWidth=4).encode(
        x=scale.x(), y=y, text="shown:N", stroke=alt.value(SHEET), fill=alt.value(SHEET)
    )
    return [
        known.mark_rule(size=3, strokeCap="round").encode(
            x=scale.x("low"), x2="high:Q", y=y, stroke=colour
        ),
        single.mark_rule(size=6).encode(x=scale.x("nought"), x2="value:Q", y=y, stroke=colour),
        halo,
        base.mark_point(size=110, strokeWidth=2.5, opacity=1).encode(
            x=scale.x(), y=y, stroke=colour, fill=fill
        ),
        value,
    ]


def nought_line(scale: Scale) -> alt.Chart:
    """An upright line at nought."""
    line: alt.Chart = alt.Chart(alt.InlineData(values=[{"at": 0}])).mark_rule(color=INK, size=1.5)
    placed: alt.Chart = line.encode(x=scale.x("at"))
    return placed
