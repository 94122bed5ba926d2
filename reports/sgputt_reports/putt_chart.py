"""A putt seen from above: the hole, the line a perfect read takes, where this player's balls go."""

from __future__ import annotations

import altair as alt
import numpy as np

from sgputt.physics.hole import HOLE_RADIUS_FT
from sgputt.physics.roll import Array
from sgputt.stroke.from_above import FromAbove
from sgputt_reports.charts import (
    GAIN,
    INK,
    LOSS,
    SHEET,
    SOFT,
    Chart,
    Row,
    layers,
    marks,
    unchecked,
    wording,
)
from sgputt_reports.format import lengths_said, percent

_SIDE_PX, _EDGE_FT = 330.0, 0.6
# Of the misses this share is drawn; a few run on further than is worth the room.
_WITHIN = 0.95
# Nearer than this to the perfect line, feet, the usual ball is no habit that can be seen.
_SEEN_FT = 0.12


@unchecked
def putt_chart(view: FromAbove, shown_in: str = "feet") -> Chart:
    """Draw one putt of a player.

    Parameters
    ----------
    view : FromAbove
        From :func:`sgputt.stroke.from_above.putt_from_above`.
    shown_in : str
        ``feet`` or ``metres``.
    """
    length = view.station.length_ft
    out = np.hypot(*view.stops.T) if len(view.stops) else np.zeros(1)
    reach = max(2.0, float(np.quantile(out, _WITHIN)))
    near = view.stops[out <= reach] if len(view.stops) else view.stops
    low, high = -length - _EDGE_FT, reach + _EDGE_FT
    half = (high - low) / 2
    x = alt.X("x:Q", axis=None, scale=alt.Scale(domain=[-half, half], nice=False))
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[low, high], nice=False))
    hole_px = HOLE_RADIUS_FT * _SIDE_PX / (high - low)
    habit = _habit(view)

    def line(path: Array, colour: str, dash: list[int], wide: float) -> alt.Chart:
        drawn: alt.Chart = (
            marks(_rows(path))
            .mark_line(color=colour, strokeDash=dash, strokeWidth=wide)
            .encode(x=x, y=y, order=alt.Order("at:Q"))
        )
        return drawn

    drawn = [
        marks(_rows(near))
        .mark_point(filled=True, color=SOFT, opacity=0.55, size=24)
        .encode(x=x, y=y),
        line(view.perfect, GAIN, [1, 0], 2.5),
    ]
    if habit:
        drawn.append(line(view.usual, LOSS, [5, 4], 2.5))
    drawn += [
        marks([{"x": 0, "y": 0}])
        .mark_point(filled=True, color=INK, opacity=1, size=max(60.0, np.pi * hole_px**2))
        .encode(x=x, y=y),
        marks([{"x": 0, "y": -length}])
        .mark_point(filled=True, fill=SHEET, stroke=INK, strokeWidth=2, opacity=1, size=70)
        .encode(x=x, y=y),
        wording(
            [{"x": 0, "y": -length, "text": lengths_said([length], shown_in)}],
            "text",
            size=12,
            align="left",
            dx=10,
        ).encode(x=x, y=y),
    ]
    kind = _kind(view)
    return Chart(
        id="putt",
        question="One putt seen from above",
        words=(
            f"{kind}, to scale: the line of a perfect read, and where {view.balls} of your balls "
            f"go by the model. {percent(view.make)} drop. {habit}"
        ).strip(),
        caption=(
            "Blue: a perfect read. "
            + ("Dashed: your usual ball. " if habit else "")
            + "Dots: where your misses stop, by the model."
        ),
        answer=f"{kind}: you hole {percent(view.make)}.",
        altair=layers(*drawn, height=_SIDE_PX, width=_SIDE_PX),
    )


def _rows(path: Array) -> list[Row]:
    return [
        {"x": round(float(x), 3), "y": round(float(y), 3), "at": at}
        for at, (x, y) in enumerate(path)
    ]


def _kind(view: FromAbove) -> str:
    turn = np.radians(view.station.direction_deg or 0.0)
    slope = "downhill" if np.cos(turn) > 0.5 else "uphill" if np.cos(turn) < -0.5 else "across"
    side = np.sin(turn)
    breaks = ", left to right" if side > 0.25 else ", right to left" if side < -0.25 else ""
    grade = percent(view.station.grade or 0.0)
    where = f"a slope of {grade}" if slope == "across" else f"on a slope of {grade}"
    return f"{lengths_said([view.station.length_ft])} {slope} {where}{breaks}"


def _habit(view: FromAbove) -> str:
    """How the usual ball differs from the perfect one, in words; empty where it hardly does."""
    aside = _at_the_hole(view.usual) - _at_the_hole(view.perfect)
    short = view.usual[-1, 1] - view.perfect[-1, 1]
    said = []
    if abs(aside) > _SEEN_FT:
        low = aside * np.sin(np.radians(view.station.direction_deg or 0.0)) > 0
        straight = abs(np.sin(np.radians(view.station.direction_deg or 0.0))) < 0.25
        side = ("right" if aside > 0 else "left") if straight else "low" if low else "high"
        said.append(f"passes {12 * abs(aside):.0f} inches {side}")
    if abs(short) > 2 * _SEEN_FT:
        said.append(f"stops {abs(short):.1f} ft {'further' if short > 0 else 'shorter'}")
    return f"Your usual ball {' and '.join(said)}." if said else ""


def _at_the_hole(path: Array) -> float:
    """Where a line passes the hole's middle, feet to the right; its end where it stops short."""
    right, past = path.T
    reached = np.flatnonzero(past >= 0)
    if not len(reached):
        return float(right[-1])
    at = max(int(reached[0]), 1)
    return float(np.interp(0.0, past[at - 1 : at + 1], right[at - 1 : at + 1]))
