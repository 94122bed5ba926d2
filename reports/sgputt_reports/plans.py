"""Seen from above and to scale: a drill from its own data, and a putt; a drill as a file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin

import altair as alt
import numpy as np

from sgputt.physics.hole import HOLE_RADIUS_FT
from sgputt.physics.roll import Array
from sgputt.practice.drills import Drill, load_caution
from sgputt.practice.scoring import Gate
from sgputt.putts.units import inches_said, lengths_said
from sgputt.stroke.from_above import FromAbove
from sgputt.wording import percent, tidy
from sgputt_reports.charts import (
    GAIN,
    INK,
    LINE,
    LOSS,
    SHEET,
    SOFT,
    Chart,
    Layers,
    Row,
    in_pixels,
    layers,
    marks,
    specification,
    unchecked,
    wording,
)
from sgputt_reports.drawing import as_png, draw
from sgputt_reports.page import Page, render

_WIDEST_PX, _TALLEST_PX, _LEAST_PX, _EDGE_PX = 280.0, 210.0, 90.0, 26.0
_GATE_WIDTH_PX = 260.0
_LEAST_HOLE_PX, _TEE_PX, _LETTER_PX = 5.0, 4.5, 6.5
_ARROW_PX = 58.0
_LEAST_GATE_PX = 18.0
_MOST_LINES, _LEGEND_PX = 4, 20.0
# A circle so large has its size written inside its edge.
_ROOM_INSIDE_PX = 40.0
# Room that a label takes, across and down.
_LABEL_PX = (44.0, 14.0)


@dataclass(frozen=True)
class Tee:
    """Where balls are putted from.

    ``direction_deg`` is that of the line ball to hole from the fall line: 0 for a ball straight
    above the hole, 180 straight below, 90 across, breaking left to right.
    """

    length_ft: float
    direction_deg: float

    @property
    def place(self) -> tuple[float, float]:
        """Feet right of and above the hole on a plan whose slope falls down the page."""
        turn = radians(self.direction_deg)
        return -self.length_ft * sin(turn), self.length_ft * cos(turn)

    def beyond(self, feet: float) -> tuple[float, float]:
        """A point past the hole on the line from this tee."""
        turn = radians(self.direction_deg)
        return feet * sin(turn), -feet * cos(turn)


@dataclass(frozen=True)
class Layout:
    """What a plan shows; lengths in feet, the gate's width in inches."""

    tees: tuple[Tee, ...]
    target: str
    size_ft: float = 0.0
    beyond_ft: float = 0.0
    gate_ft: float = 0.0
    width_in: float = 0.0


def layout_of(drill: Drill) -> Layout:
    """The geometry that a drill's own data hold."""
    scoring = drill.scoring
    if isinstance(scoring, Gate):
        return Layout((), "gate", gate_ft=scoring.gate_ft, width_in=scoring.width_in)
    tees = [Tee(each.length_ft, each.direction_deg or 0.0) for each in scoring.stations]
    target = scoring.target
    return Layout(tuple(dict.fromkeys(tees)), target.name, target.size_ft or 0.0, target.beyond_ft)


@unchecked
def drill_plan(drill: Drill, shown_in: str = "feet") -> Chart:
    """Draw a drill.

    Parameters
    ----------
    drill : Drill
        Of the catalogue or of the user's own file.
    shown_in : str
        ``feet`` or ``metres``.
    """
    layout = layout_of(drill)
    if layout.target == "gate":
        drawn = _gate(layout, shown_in)
    elif layout.target == "strip":
        drawn = _strip(layout, shown_in)
    else:
        drawn = _around_the_hole(layout, shown_in)
    return Chart(
        id=f"plan-{drill.id}",
        question=tidy(drill.name),
        words=f"Plan of the drill, to scale. {describe_layout(layout, shown_in)}",
        caption="",
        altair=drawn,
        at_its_size=True,
    )


def describe_layout(layout: Layout, shown_in: str = "feet") -> str:
    """Say a plan in words."""
    said = []
    if layout.gate_ft:
        said.append(
            f"Two tees {inches_said(layout.width_in, shown_in)} apart, "
            f"{_feet(layout.gate_ft, shown_in)} ahead of the ball."
        )
    for word, held in (("below", _below), ("above", _above), ("beside", _beside)):
        found = sorted({tee.length_ft for tee in layout.tees if held(tee)})
        if found:
            said.append(f"Tees {word} the hole: {lengths_said(found, shown_in)}.")
    size = _feet(layout.size_ft, shown_in)
    if layout.target == "circle":
        past = f", its middle {_feet(layout.beyond_ft, shown_in)} past the hole"
        said.append(f"A circle of {size} about the hole{past if layout.beyond_ft else ''}.")
    elif layout.target == "strip":
        said.append(f"No hole: a strip {size} deep beyond the line putted to.")
    elif layout.size_ft:
        side = " on the high side" if layout.target == "high side" else ""
        said.append(f"A ball that misses is to stop within {size} past the hole{side}.")
    return " ".join(said)


def _below(tee: Tee) -> bool:
    return cos(radians(tee.direction_deg)) <= -0.5


def _above(tee: Tee) -> bool:
    return cos(radians(tee.direction_deg)) >= 0.5


def _beside(tee: Tee) -> bool:
    return not _below(tee) and not _above(tee)


def _feet(feet: float, shown_in: str) -> str:
    return lengths_said([feet], shown_in)


@dataclass(frozen=True)
class _Field:
    """A field in feet at one scale both ways, with room for labels and for the slope's arrow."""

    low: tuple[float, float]
    high: tuple[float, float]
    pixels: float

    @classmethod
    def around(cls, points: Iterable[tuple[float, float]]) -> _Field:
        """The field that holds the points at the largest scale."""
        x, y = zip(*points, strict=True)
        low, high = (min(x), min(y)), (max(x), max(y))
        wide, tall = max(high[0] - low[0], 0.5), max(high[1] - low[1], 0.5)
        pixels = min(
            (_WIDEST_PX - 2 * _EDGE_PX - _ARROW_PX) / wide, (_TALLEST_PX - 2 * _EDGE_PX) / tall
        )
        return cls(low, high, pixels)

    @property
    def width(self) -> float:
        """Pixels from left to right."""
        return (self.high[0] - self.low[0]) * self.pixels + 2 * _EDGE_PX + _ARROW_PX

    @property
    def height(self) -> float:
        """Pixels from top to bottom."""
        return max(_LEAST_PX, (self.high[1] - self.low[1]) * self.pixels + 2 * _EDGE_PX)

    @property
    def ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """What the whole width and the whole height stand for, feet."""
        left = self.low[0] - _EDGE_PX / self.pixels
        middle = (self.low[1] + self.high[1]) / 2
        half = self.height / 2 / self.pixels
        return (left, left + self.width / self.pixels), (middle - half, middle + half)

    @property
    def x(self) -> alt.X:
        return alt.X("x:Q", axis=None, scale=alt.Scale(domain=list(self.ends[0]), nice=False))

    @property
    def y(self) -> alt.Y:
        return alt.Y("y:Q", axis=None, scale=alt.Scale(domain=list(self.ends[1]), nice=False))

    def disc(
        self, at: Sequence[tuple[float, float]], feet: float, fill: str, stroke: str, share: float
    ) -> alt.Chart:
        """Discs of so many feet to scale."""
        size = pi * (feet * self.pixels) ** 2
        drawn: alt.Chart = (
            marks([{"x": x, "y": y} for x, y in at])
            .mark_point(
                filled=True,
                fill=fill,
                fillOpacity=share,
                stroke=stroke,
                strokeWidth=1.5,
                size=size,
                opacity=1,
            )
            .encode(x=self.x, y=self.y)
        )
        return drawn

    def hole(self, at: tuple[float, float] = (0.0, 0.0)) -> alt.Chart:
        """The hole, to scale but never too small to be seen."""
        feet = max(HOLE_RADIUS_FT, _LEAST_HOLE_PX / self.pixels)
        return self.disc([at], feet, INK, INK, 1.0)

    def lines(
        self,
        rows: Sequence[Row],
        colour: str = SOFT,
        dash: Sequence[float] = (4, 4),
        wide: float = 1,
    ) -> alt.Chart:
        """Straight lines from x, y to x2, y2."""
        drawn: alt.Chart = (
            marks(rows)
            .mark_rule(color=colour, strokeDash=list(dash), strokeWidth=wide)
            .encode(x=self.x, y=self.y, x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q"))
        )
        return drawn

    def tees(self, tees: Sequence[tuple[float, float]]) -> alt.Chart:
        """Where balls lie."""
        return self.disc(tees, _TEE_PX / self.pixels, SHEET, GAIN, 1.0)

    def slope(self) -> list[alt.Chart]:
        """An arrow down the slope at the right edge."""
        top, bottom = self.height / 2 - 26, self.height / 2 + 18
        at = self.width - 20
        arrow = marks([{}])
        rule = arrow.mark_rule(color=SOFT, strokeWidth=2).encode(
            **in_pixels(x=at, y=top, y2=bottom)
        )
        head = arrow.mark_point(
            shape="triangle-down", filled=True, color=SOFT, size=70, opacity=1
        ).encode(**in_pixels(x=at, y=bottom))
        return [
            rule,
            head,
            wording([{"text": "down"}], "text", colour=SOFT, size=11, dy=14).encode(
                **in_pixels(x=at, y=bottom)
            ),
        ]


def _around_the_hole(layout: Layout, shown_in: str) -> Layers:
    """Tees about a hole; the slope falls down the page."""
    places = [tee.place for tee in layout.tees]
    middles = list(dict.fromkeys(_rounded(tee.beyond(layout.beyond_ft)) for tee in layout.tees))
    reach = layout.size_ft if layout.target == "circle" else 0.0
    edges = [
        (x + across * reach, y + up * reach)
        for x, y in middles
        for across, up in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]
    field = _Field.around([*places, *edges, (0.0, 0.0)])
    drawn = []
    if layout.target == "circle":
        drawn.append(field.disc(middles, layout.size_ft, GAIN, GAIN, 0.12))
    elif layout.size_ft:
        drawn.append(_past_the_hole(field, layout))
    if len(layout.tees) <= _MOST_LINES:
        drawn.append(field.lines([{"x": x, "y": y, "x2": 0, "y2": 0} for x, y in places], LINE))
    taken: list[tuple[float, float]] = []
    if layout.target == "circle" and not layout.beyond_ft:
        drawn.append(_radius(field, layout, shown_in, taken))
    labels = _tee_labels(layout.tees, field, shown_in, taken)
    drawn += [field.hole(), field.tees(places), *labels, *field.slope()]
    legend = _legend(layout, shown_in)
    if not legend:
        return layers(*drawn, height=field.height, width=field.width)
    dash = marks([{}]).mark_rule(color=GAIN, strokeWidth=5)
    below = field.height + _LEGEND_PX / 2
    word = wording([{"text": legend}], "text", colour=GAIN, size=12, align="left")
    return layers(
        *drawn,
        dash.encode(**in_pixels(x=4, x2=18, y=below)),
        word.encode(**in_pixels(x=24, y=below)),
        height=field.height + _LEGEND_PX,
        width=field.width,
        padding={"left": 6, "right": 3, "top": 3, "bottom": _LEGEND_PX},
    )


def _legend(layout: Layout, shown_in: str) -> str:
    """Where a miss may stop, where that is no circle about the hole, which bears its size."""
    if not layout.size_ft:
        return ""
    size = _feet(layout.size_ft, shown_in)
    if layout.target == "circle":
        past = f"ring of {size}, {_feet(layout.beyond_ft, shown_in)} past the hole"
        return past if layout.beyond_ft else ""
    side = ", high side" if layout.target == "high side" else ""
    return f"up to {size} past the hole{side}"


def _rounded(at: tuple[float, float]) -> tuple[float, float]:
    return round(at[0], 3), round(at[1], 3)


def _past_the_hole(field: _Field, layout: Layout) -> alt.Chart:
    """From each tee the stretch past the hole in which a miss may stop."""
    rows = []
    for tee in layout.tees:
        x, y = tee.beyond(layout.size_ft)
        rows.append({"x": 0.0, "y": 0.0, "x2": x, "y2": y})
    return field.lines(rows, GAIN, (1, 0), 5)


def _is_free(at: tuple[float, float], taken: list[tuple[float, float]]) -> bool:
    """Whether a label has room here, in pixels, beside those that are taken; then it takes it."""
    free = all(abs(at[0] - x) > _LABEL_PX[0] or abs(at[1] - y) > _LABEL_PX[1] for x, y in taken)
    if free:
        taken.append(at)
    return free


def _tee_labels(
    tees: Sequence[Tee], field: _Field, shown_in: str, taken: list[tuple[float, float]]
) -> list[alt.Chart]:
    """The length beside each tee, outward; of a ring of one length once, and none on another."""
    same = len({tee.length_ft for tee in tees}) == 1 and len(tees) > _MOST_LINES
    labelled = [min(tees, key=lambda tee: -tee.place[1])] if same else list(tees)
    drawn = []
    lower = True
    for tee in sorted(labelled, key=lambda each: each.place):
        x, y = tee.place
        away = hypot(x, y) or 1.0
        beside = abs(x) / away > 0.8
        down = (15 if lower else -14) if beside else 0
        right = 0 if beside else 26
        lower = lower is not beside
        if not _is_free((x * field.pixels + right, down - y * field.pixels), taken):
            continue
        text = wording(
            [{"x": x, "y": y, "text": _feet(tee.length_ft, shown_in)}],
            "text",
            size=12,
            align="center" if beside else "left",
            dx=0 if beside else 9,
            dy=down,
        )
        drawn.append(text.encode(x=field.x, y=field.y))
    return drawn


def _radius(
    field: _Field, layout: Layout, shown_in: str, taken: list[tuple[float, float]]
) -> alt.Chart:
    """How large the circle is: inside its edge or, where it is small, outside; away from a tee."""
    edge = layout.size_ft * field.pixels
    in_or_out = 11 if edge > _ROOM_INSIDE_PX else -9
    tees = [(field.pixels * tee.place[0], -field.pixels * tee.place[1]) for tee in layout.tees]
    room = _LABEL_PX[0] / 2, _LABEL_PX[1]
    covered = any(abs(x) < room[0] and abs(y - in_or_out + edge) < room[1] for x, y in tees)
    side = -1 if covered else 1
    taken.append((0.0, side * (in_or_out - edge)))
    text = wording(
        [{"x": 0.0, "y": side * layout.size_ft, "text": _feet(layout.size_ft, shown_in)}],
        "text",
        colour=GAIN,
        bold=True,
        size=12,
        dx=8 if covered else 0,
        dy=side * in_or_out,
    )
    return text.encode(x=field.x, y=field.y)


def _strip(layout: Layout, shown_in: str) -> Layers:
    """Tees in a row before a strip, putted up the page; an arrow where all run the same way."""
    turns = {tee.direction_deg for tee in layout.tees}
    up = -1.0 if turns and all(_above(tee) for tee in layout.tees) else 1.0
    feet = sorted({tee.length_ft for tee in layout.tees})
    places = [(0.0, -up * each) for each in feet]
    half = max(layout.size_ft, 0.16 * feet[-1])
    far = up * layout.size_ft
    field = _Field.around([*places, (-half, 0.0), (half, far)])
    strip = (
        marks([{"x": -half, "x2": half, "y": 0.0, "y2": far}])
        .mark_rect(color=GAIN, opacity=0.15)
        .encode(x=field.x, y=field.y, x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q"))
    )
    across = [{"x": -half, "x2": half, "y": at, "y2": at} for at in (0.0, far)]
    labels = [
        wording(
            [{"x": x, "y": y, "text": _feet(-up * y, shown_in)}],
            "text",
            size=12,
            align="left",
            dx=9,
        ).encode(x=field.x, y=field.y)
        for x, y in places
    ]
    depth = wording(
        [{"x": half, "y": far / 2, "text": _feet(layout.size_ft, shown_in)}],
        "text",
        colour=GAIN,
        bold=True,
        size=12,
        align="left",
        dx=7,
    ).encode(x=field.x, y=field.y)
    one_way = len({(_below(tee), _above(tee)) for tee in layout.tees}) == 1
    slope = field.slope() if one_way and not _beside(layout.tees[0]) else []
    return layers(
        strip,
        field.lines(across, GAIN, (1, 0), 2),
        field.lines([{"x": 0.0, "y": places[-1][1], "x2": 0.0, "y2": 0.0}], LINE),
        field.tees(places),
        *labels,
        depth,
        *slope,
        height=field.height,
        width=field.width,
    )


def _gate(layout: Layout, shown_in: str) -> Layers:
    """A ball and two tees ahead of it, put further apart than to scale so that they can be seen."""
    height, left, far = 96.0, 30.0, 190.0
    middle, half = height / 2, _LEAST_GATE_PX
    one = marks([{}])

    tees = [
        one.mark_point(filled=True, color=LOSS, size=70, opacity=1).encode(
            **in_pixels(x=far, y=middle + side)
        )
        for side in (-half, half)
    ]
    words = [
        ({"text": inches_said(layout.width_in, shown_in)}, far + 12, middle - half, "left"),
        ({"text": _feet(layout.gate_ft, shown_in)}, (left + far) / 2, middle + 16, "center"),
        ({"text": "ball"}, left, middle + 18, "center"),
    ]
    return layers(
        one.mark_rule(color=LINE, strokeDash=[4, 4]).encode(
            **in_pixels(x=left, y=middle, x2=_GATE_WIDTH_PX - 30)
        ),
        one.mark_point(filled=True, color=SOFT, shape="triangle-right", size=70, opacity=1).encode(
            **in_pixels(x=_GATE_WIDTH_PX - 26, y=middle)
        ),
        one.mark_point(
            filled=True, fill=SHEET, stroke=GAIN, strokeWidth=2, size=80, opacity=1
        ).encode(**in_pixels(x=left, y=middle)),
        *tees,
        *(
            wording([row], "text", size=12, align=align).encode(**in_pixels(x=x, y=y))  # type: ignore[arg-type]
            for row, x, y, align in words
        ),
        height=height,
        width=_GATE_WIDTH_PX,
    )


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


FORMS = ("html", "png", "svg")
_PIXELS_A_PIXEL = 3.0


def drill_file(
    drill: Drill,
    form: str,
    mark: str = "",
    whose: str = "",
    set_up: str = "",
    shown_in: str = "feet",
) -> bytes:
    """A drill as a file.

    Parameters
    ----------
    drill : Drill
        As its mark takes it; also one of the user's own file.
    form : str
        ``html``: a page; ``png`` or ``svg``: its plan alone.
    mark, whose, set_up : str
        The pass mark, whose stroke it was worked out from, and why the drill is set up otherwise
        than in the catalogue; shown on the page.
    shown_in : str
        ``feet`` or ``metres``.
    """
    plan = drill_plan(drill, shown_in)
    if form == "html":
        body = render(
            "drill",
            drill=drill,
            plan=plan,
            mark=mark,
            whose=whose,
            set_up=set_up,
            caution=load_caution(),
        )
        return Page(drill.name, body, shown_in=shown_in).html().encode("utf-8")
    svg = draw({**specification(plan.altair), "background": SHEET})
    if form == "svg":
        return svg.encode("utf-8")
    return as_png(svg, _PIXELS_A_PIXEL)
