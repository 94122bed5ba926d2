"""The charts of a season: each takes a table of the library and says its answer in words too."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

import altair as alt
import polars as pl

from sgputt.analysis.season import SeasonAnalysis
from sgputt.errors import SgputtError
from sgputt.inference.cells import FEWEST_PUTTS
from sgputt.inference.intervals import LEVEL
from sgputt.practice.log import DrillHistory
from sgputt.putts.units import unit_shown
from sgputt.safe_text import on_a_page
from sgputt.season.breakdown import NO_EVENT, UNKNOWN
from sgputt.stroke.causes import Habit, MissCause, StrokeCauses, StrokePart
from sgputt.stroke.from_above import FromAbove, putt_from_above
from sgputt.stroke.station import Station
from sgputt.wording import (
    ROUNDS_TO_TRUST_AN_INTERVAL,
    digits_for,
    few_rounds,
    first_up,
    number,
    percent,
    plural,
    reached,
    signed,
    tidy,
)
from sgputt_reports.charts import (
    GAIN,
    INK,
    LINE,
    LOSS,
    PERCENT_TICKS,
    ROW_HEIGHT,
    SHEET,
    SIGNED_TICKS,
    SOFT,
    VERDICT_COLOURS,
    Chart,
    Layers,
    Row,
    Span,
    ends_around,
    in_pixels,
    label_room,
    labelled,
    layers,
    marks,
    number_axis,
    span_of,
    spans_chart,
    unchecked,
    verdict,
    wording,
)
from sgputt_reports.plans import putt_chart

# With more distances than this a sentence with every interval is too long to read.
_MOST_INTERVALS = 3
_LENGTHS = {"feet": (1, 2, 5, 10, 20, 40), "metres": (0.5, 1, 2, 4, 8, 15)}
_NAMED_FT = 10
_SHORTEST_FT = 1.0
_MOST_TOLD = 2
_CLOSE_ON_A_LOG_AXIS = 1.25
_LONGEST_NAME = 30
_MOST_DATES = 4
_MANY_ROUNDS = 80
_QUANTILES = ("quarter_ft", "median_ft", "three_quarters_ft", "nine_tenths_ft")
_TREND_WIDE = 700
# More points than this are gathered into spots, so that a page stays small.
_MOST_DOTS = 150
_SPOT_FT = 0.25
_WITHIN = 0.8
_HEADINGS = {
    "months": "By month",
    "events": "By event",
    "courses": "By course",
    "stimps": "By green speed",
}
# A longer chart than this hides what matters; the rest is told as so many more.
_MOST_ROWS = 12
_NOT_WRITTEN = {NO_EVENT: "No event", UNKNOWN: "Not written"}
_LONGEST_LABEL = 22
CHART_NAMES = (
    "strokes by distance",
    "why putts miss",
    "where misses finish",
    "trend",
    "a putt from above",
    "worth of a better stroke",
    "where misses of straight putts finish",
    "makes by length",
    "leaves by length",
    "practice and the course",
    "practice",
    "by month",
    "by event",
    "by course",
    "by green speed",
    "by slope and break",
)
# Charts for which a stroke is fitted, and those that may be drawn meanwhile.
WITH_A_FIT = (
    "where misses finish",
    "where misses of straight putts finish",
    "why putts miss",
    "a putt from above",
    "worth of a better stroke",
    "by slope and break",
)
WITHOUT_A_FIT = tuple(name for name in CHART_NAMES if name not in WITH_A_FIT)
# The putt that is drawn from above: across a usual slope, as long as its break can be seen.
_DRAWN_FT, _DRAWN_GRADE, _ACROSS_DEG = 8.0, 0.02, 90.0


def season_charts(
    analysis: SeasonAnalysis, names: Sequence[str] | None = None, shown_in: str = "feet"
) -> dict[str, Chart]:
    """The charts that there is something to draw for, by name, in the order of the page.

    Parameters
    ----------
    analysis : SeasonAnalysis
    names : sequence of str, optional
        Of :data:`CHART_NAMES`; all unless given.
    shown_in : str
        ``feet`` or ``metres``, of the axes; texts are turned by the page that shows them.

    Raises
    ------
    SgputtError
        A name that is none.
    """
    wanted = CHART_NAMES if names is None else tuple(names)
    for name in wanted:
        if name not in CHART_NAMES:
            raise SgputtError(f"There is no chart '{name}'", f"Charts: {', '.join(CHART_NAMES)}.")
    if not analysis.counts:
        return {}
    drawn: dict[str, Chart | None] = {}
    for name in wanted:
        if name in _CHARTS:
            drawn[name] = _CHARTS[name](analysis, shown_in)
    apart = [name for name in wanted if name not in _CHARTS]
    if apart:
        drawn |= breakdown_charts(analysis.breakdowns)
    return {name: chart for name in wanted if (chart := drawn.get(name)) is not None}


def _distance(analysis: SeasonAnalysis, _: str) -> Chart | None:
    return distance_chart(analysis.summary.by_distance, analysis.level, analysis.rounds)


def _breaking_misses(analysis: SeasonAnalysis, shown_in: str) -> Chart | None:
    return finishes_chart(analysis.miss_places, True, shown_in)


def _straight_misses(analysis: SeasonAnalysis, shown_in: str) -> Chart | None:
    return finishes_chart(analysis.miss_places, False, shown_in)


def _trend(analysis: SeasonAnalysis, _: str) -> Chart | None:
    return trend_chart(analysis.smooth_trend)


def _makes(analysis: SeasonAnalysis, shown_in: str) -> Chart | None:
    if not len(analysis.makes):
        return None
    against = analysis.summary.against.title
    return makes_chart(analysis.makes, analysis.baseline_curve, against, shown_in)


def _leaves(analysis: SeasonAnalysis, shown_in: str) -> Chart | None:
    return leaves_chart(analysis.leaves, shown_in) if len(analysis.leaves) else None


def _causes(analysis: SeasonAnalysis, _: str) -> Chart | None:
    return causes_chart(analysis.stroke.misses) if analysis.stroke.misses else None


def _worth(analysis: SeasonAnalysis, _: str) -> Chart | None:
    stroke = analysis.stroke
    return worth_chart(stroke.parts, stroke.told, analysis.level) if stroke.parts else None


def _from_above(analysis: SeasonAnalysis, shown_in: str) -> Chart | None:
    view = usual_putt(analysis.stroke)
    return None if view is None else putt_chart(view, shown_in)


def _fair(analysis: SeasonAnalysis, _: str) -> Chart | None:
    return fair_chart(analysis.slopes, analysis.breaks, analysis.level)


def _practised(analysis: SeasonAnalysis, _: str) -> Chart | None:
    return practised_chart(analysis.practised, {each.id: each.name for each in analysis.drills})


def _practice_and_course(analysis: SeasonAnalysis, _: str) -> Chart | None:
    return practice_and_course_chart(analysis.smooth_trend, analysis.sessions)


_CHARTS: dict[str, Callable[[SeasonAnalysis, str], Chart | None]] = {
    "strokes by distance": _distance,
    "where misses finish": _breaking_misses,
    "trend": _trend,
    "makes by length": _makes,
    "leaves by length": _leaves,
    "why putts miss": _causes,
    "a putt from above": _from_above,
    "where misses of straight putts finish": _straight_misses,
    "worth of a better stroke": _worth,
    "practice and the course": _practice_and_course,
    "practice": _practised,
    "by slope and break": _fair,
}


@unchecked
def distance_chart(
    by_distance: pl.DataFrame, level: float = LEVEL, rounds: int | None = None
) -> Chart:
    """Strokes gained by distance, a row a band, longest putts last.

    Parameters
    ----------
    by_distance : polars.DataFrame
        ``distance, putts, per_round, low, high``, as in a season summary; ``low`` and ``high``
        may be null.
    level : float
        Coverage of the intervals.
    rounds : int, optional
        Rounds it was made of; from few of them intervals are not to be trusted.
    """
    rows = [row for row in by_distance.iter_rows(named=True) if row["putts"]]
    spans = [
        span_of(f"{tidy(row['distance'])}|{plural(row['putts'], 'putt')}", row) for row in rows
    ]
    one = all(row["low"] is None for row in rows)
    return Chart(
        id="by-distance",
        question="From which distances do strokes go?",
        words=describe_distances(rows, rounds),
        caption="Strokes gained for 18 holes, luck included."
        if one
        else f"Dot: a round’s mean. Line: {percent(level)} sure. Hollow: could be luck.",
        altair=spans_chart(spans, "strokes gained a round", ends_around(spans)),
    )


def describe_distances(rows: Sequence[Row], rounds: int | None = None) -> str:
    """Say in words where strokes go by distance."""
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
        said = "Every interval crosses zero: no distance can be told from luck yet."
    elif any(verdict(row["low"], row["high"]) == "unclear" for row in rows):
        said = f"{said} The intervals of the other distances cross zero."
    return f"{said} {few_rounds(rounds)}".strip()


def _listed(rows: Sequence[Row], word: str, lead: str) -> str:
    found = [row for row in rows if verdict(row["low"], row["high"]) == word]
    found.sort(key=lambda row: -abs(row["per_round"]))
    short = len(found) <= _MOST_INTERVALS
    told = [
        f"{tidy(row['distance'])} ({signed(row['per_round'])}"
        f"{' a round; ' + reached(row['low'], row['high'], 2) if short else ''})"
        for row in found
    ]
    if not told:
        return ""
    *most, last = told
    return f"{lead} {', '.join(most)}{' and ' if most else ''}{last}."


@unchecked
def makes_chart(
    makes: pl.DataFrame, curve: pl.DataFrame, against: str, shown_in: str = "feet"
) -> Chart:
    """Share holed by length beside the baseline's.

    Parameters
    ----------
    makes, curve : polars.DataFrame
        From :func:`sgputt.season.makes_and_leaves.make_shares` and
        :func:`sgputt.season.makes_and_leaves.baseline_curve`.
    against : str
        What the baseline is called.
    shown_in : str
        ``feet`` or ``metres``.
    """
    rows = [_make(row) for row in makes.iter_rows(named=True)]
    longest = max([float(curve["distance_ft"].to_numpy().max()), *(r["mean_ft"] for r in rows)])
    x_scale = alt.Scale(type="log", domain=[_SHORTEST_FT, longest], nice=False)
    unit, name_of_unit = unit_shown(shown_in)
    ticks = {at / unit: f"{at:g}" for at in _LENGTHS[shown_in]}
    lengths = labelled(ticks, f"length, {name_of_unit}")
    x = alt.X("mean_ft:Q", scale=x_scale, axis=lengths)
    y_scale = alt.Scale(domain=[0, 1])
    shares = alt.Axis(title=None, grid=True, tickCount=5, labelExpr=PERCENT_TICKS)
    y = alt.Y("share:Q", scale=y_scale, axis=shares)
    ink = alt.Color("ink:N", scale=None)
    dots = marks(rows)
    name = against if len(against) < _LONGEST_NAME else "baseline"
    near = curve.filter(pl.col("distance_ft") >= _NAMED_FT).head(1).to_dicts()
    drawn = [
        marks(curve.to_dicts())
        .mark_line(color=SOFT, strokeWidth=1.5, strokeDash=[6, 3])
        .encode(x=alt.X("distance_ft:Q", scale=x_scale, axis=lengths), y=y),
        wording(
            [{**each, "name": name} for each in near],
            "name",
            colour=SOFT,
            size=12,
            align="left",
            dx=9,
            dy=-20,
        ).encode(x=alt.X("distance_ft:Q", scale=x_scale), y=y),
        dots.mark_rule(strokeWidth=3, strokeCap="round").encode(
            x=x, y=alt.Y("low:Q", scale=y_scale, axis=shares), y2=alt.Y2("high:Q"), color=ink
        ),
        dots.mark_point(size=90, filled=True, opacity=1, strokeWidth=2).encode(
            x=x, y=y, fill=alt.Fill("fill:N", scale=None), stroke=alt.Stroke("ink:N", scale=None)
        ),
        *(_make_shown([r for r in rows if r["look"] == look], x, y) for look in ("loss", "gain")),
    ]
    return Chart(
        id="makes",
        question="How often do putts drop?",
        words=describe_makes(rows),
        caption=f"Curve: the baseline. Line: {percent(LEVEL)} sure. Hollow: could be luck.",
        altair=layers(*drawn, height=270),
    )


def _make_shown(rows: Sequence[Row], x: alt.X, y: alt.Y) -> alt.Chart:
    """The share beside its dot, on the side away from the curve."""
    loss = bool(rows) and rows[0]["look"] == "loss"
    text = wording(
        rows, "shown", bold=True, align="right" if loss else "left", dx=-9 if loss else 9, dy=6
    )
    return text.encode(x=x, y=y, color=alt.Color("ink:N", scale=None))


def _make(row: Row) -> Row:
    """A row with what it is told by: its interval against what the baseline holes of its putts.

    Of a handful of putts nothing is said.
    """
    look = "unclear"
    if row["putts"] >= FEWEST_PUTTS and row["high"] < row["baseline"]:
        look = "loss"
    elif row["putts"] >= FEWEST_PUTTS and row["low"] > row["baseline"]:
        look = "gain"
    ink = VERDICT_COLOURS[look]
    return {
        **row,
        "look": look,
        "ink": ink,
        "fill": SHEET if look == "unclear" else ink,
        "shown": percent(row["share"]),
    }


def describe_makes(rows: Sequence[Row]) -> str:
    """Say in words where more or fewer putts drop than the baseline's."""
    if not rows:
        return "No putt from the green has a known length, so there is nothing to show yet."
    told = []
    for look, lead in (("loss", "Fewer drop than the baseline’s"), ("gain", "More drop")):
        found = [row for row in rows if row["look"] == look]
        found.sort(key=lambda row: -abs(row["share"] - row["baseline"]))
        listed = [_told_from(row) for row in found[:_MOST_TOLD]]
        listed += [f"also from {tidy(row['distance'])}" for row in found[_MOST_TOLD:]]
        told += [f"{lead} {'; '.join(listed)}."] if found else []
    if told:
        return " ".join(told)
    total = plural(sum(row["putts"] for row in rows), "putt")
    return f"From no distance can your makes be told from the baseline’s in {total}."


def _told_from(row: Row) -> str:
    """Both shares, with tenths where whole figures would be the same."""
    shares = (row["share"], row["baseline"])
    same = len({round(100 * each) for each in shares}) == 1
    mine, others = (f"{100 * each:.{1 if same else 0}f}\u00a0%" for each in shares)
    return (
        f"from {tidy(row['distance'])}: {mine} of {plural(row['putts'], 'putt')}, the baseline "
        f"{others}"
    )


@unchecked
def leaves_chart(leaves: pl.DataFrame, shown_in: str = "feet") -> Chart:
    """How far first putts that missed were left, a row for each length.

    Parameters
    ----------
    leaves : polars.DataFrame
        From :func:`sgputt.season.makes_and_leaves.leaves_by_length`.
    shown_in : str
        ``feet`` or ``metres``.
    """
    told = leaves.to_dicts()
    unit, name = unit_shown(shown_in)
    rows = [
        {
            **row,
            **{each: row[each] * unit for each in _QUANTILES},
            "label": f"{tidy(row['distance'])}|{plural(row['misses'], 'miss', 'misses')}",
            "shown": number(row["median_ft"] * unit),
        }
        for row in told
    ]
    enough = [row for row in rows if row["misses"] >= FEWEST_PUTTS]
    few = [row for row in rows if row["misses"] < FEWEST_PUTTS]
    y = alt.Y(
        "label:N",
        sort=None,
        scale=alt.Scale(domain=[row["label"] for row in rows]),
        axis=alt.Axis(title=None, labelExpr="split(datum.label, '|')"),
    )
    most = max([1.0, *(row["nine_tenths_ft"] for row in enough), *(r["median_ft"] for r in few)])
    scale = alt.Scale(domain=[0, most])
    axis = number_axis(f"left after the first putt, {name}", grid=True)
    x = alt.X("median_ft:Q", scale=scale, axis=axis)
    whole = marks(enough).encode(y=y)
    start = alt.X("quarter_ft:Q", scale=scale, axis=axis)
    drawn = [
        whole.mark_rule(color=INK, strokeWidth=2).encode(x=start, x2=alt.X2("nine_tenths_ft:Q")),
        whole.mark_bar(color=INK, opacity=0.22, height=11).encode(
            x=start, x2=alt.X2("three_quarters_ft:Q")
        ),
        marks(rows)
        .mark_point(size=80, filled=True, fill=SHEET, stroke=INK, strokeWidth=2, opacity=1)
        .encode(x=x, y=y),
        wording(rows, "shown", bold=True, dy=-14).encode(x=x, y=y),
    ]
    return Chart(
        id="leaves",
        question="How near do first putts stop when they miss?",
        words=describe_leaves(told),
        caption="Dot: half stopped nearer. Bar: the middle half. Line: up to nine in ten.",
        altair=layers(
            *drawn,
            height=ROW_HEIGHT * max(len(rows), 1) + 50,
            padding={
                "left": label_room(row["label"] for row in rows),
                "right": 6,
                "top": 3,
                "bottom": 1,
            },
        ),
    )


def describe_leaves(rows: Sequence[Row]) -> str:
    """Say in words how near first putts stop, from the longest lengths with enough misses."""
    if not rows:
        return "No first putt that missed has a known leave, so there is nothing to show yet."
    enough = [row for row in rows if row["misses"] >= FEWEST_PUTTS]
    if not enough:
        total = plural(sum(row["misses"] for row in rows), "miss", "misses")
        return f"Only {total} so far: too few from any length for a spread."
    told = "; ".join(
        f"from {tidy(row['distance'])} half stop within {number(row['median_ft'])} ft, nine in ten "
        f"within {number(row['nine_tenths_ft'])} ft ({plural(row['misses'], 'miss', 'misses')})"
        for row in enough[-2:]
    )
    return tidy(f"First putts that miss: {told}.")


@unchecked
def finishes_chart(places: pl.DataFrame, breaking: bool, shown_in: str = "feet") -> Chart | None:
    """Each miss where it finished around the hole, to scale; None without any.

    Parameters
    ----------
    places : polars.DataFrame
        From :func:`sgputt.season.makes_and_leaves.miss_places`.
    breaking : bool
        Putts that broke, all turned to break from left to right, or the straight ones.
    shown_in : str
        ``feet`` or ``metres``.
    """
    rows = places.filter(pl.col("breaking") == breaking).to_dicts()
    if not rows:
        return None
    # Rounded, so that putts left equally far are all shown or none.
    out = pl.Series([(row["across_ft"] ** 2 + row["past_ft"] ** 2) ** 0.5 for row in rows]).round(6)
    reach = max(2.0, float(out.quantile(_WITHIN, "linear") or 0.0))
    shown = [row for row, feet in zip(rows, out, strict=True) if feet <= reach]
    spots = _spots(shown)
    x = alt.X("across_ft:Q", scale=alt.Scale(domain=[-reach, reach], nice=False), axis=None)
    y = alt.Y("past_ft:Q", scale=alt.Scale(domain=[-reach, reach], nice=False), axis=None)
    rings = _rings(reach, shown_in)
    side = 330
    pixels = (side - 4) / 2 / reach
    sides = ("high side", "low side") if breaking else ("left", "right")
    left, right = (
        [{"across_ft": at * reach, "past_ft": 0.95 * reach, "text": text}]
        for at, text in zip((-0.98, 0.98), sides, strict=True)
    )
    drawn = [
        marks(rings)
        .mark_point(filled=False, stroke=LINE, strokeWidth=1, opacity=1)
        .encode(x=x, y=y, size=alt.Size("size:Q", scale=None)),
        marks([{"across_ft": 0, "past_ft": -reach, "to": -0.25}])
        .mark_rule(color=SOFT, strokeDash=[5, 4])
        .encode(x=x, y=y, y2=alt.Y2("to:Q")),
        marks(spots)
        .mark_point(filled=True, color=INK, opacity=0.45, strokeWidth=0)
        .encode(x=x, y=y, size=alt.Size("size:Q", scale=None)),
        marks([{"across_ft": 0, "past_ft": 0}])
        .mark_point(
            filled=True,
            fill=SHEET,
            stroke=LOSS,
            strokeWidth=2.5,
            opacity=1,
            size=max(30.0, 3.14 * (_HOLE_RADIUS_FT * pixels) ** 2),
        )
        .encode(x=x, y=y),
        wording(
            [{**each, "across_ft": each["ring"], "past_ft": 0} for each in rings],
            "label",
            colour=SOFT,
            size=11,
            align="right",
            dx=-3,
            dy=9,
        ).encode(x=x, y=y),
        wording(left, "text", bold=True, size=12, align="left").encode(x=x, y=y),
        wording(right, "text", bold=True, size=12, align="right").encode(x=x, y=y),
    ]
    which = "Putts that broke, turned to break left to right" if breaking else "Straight putts"
    beyond = len(rows) - len(shown)
    more = f" {beyond} further out." if beyond else ""
    return Chart(
        id="finishes" if breaking else "finishes-straight",
        question="Where do misses finish?" if breaking else "And from straight putts?",
        words=describe_places(rows, breaking),
        caption=(
            f"{which}; seen from where you putt. Rings: how far from the hole, as written; how "
            f"far to the side is estimated.{more}"
        ),
        altair=layers(*drawn, height=side, width=side),
    )


_HOLE_RADIUS_FT = 4.25 / 2 / 12


def _spots(rows: Sequence[Row]) -> list[Row]:
    """A dot a miss; of many, a spot for each small square, as large as they are many."""
    if len(rows) <= _MOST_DOTS:
        return [{**row, "size": 42} for row in rows]
    gathered: dict[tuple[float, float], int] = {}
    for row in rows:
        at = (_snapped(row["across_ft"]), _snapped(row["past_ft"]))
        gathered[at] = gathered.get(at, 0) + 1
    return [
        {"across_ft": across, "past_ft": past, "size": 22 * many}
        for (across, past), many in sorted(gathered.items())
    ]


def _snapped(feet: float) -> float:
    return round(feet / _SPOT_FT) * _SPOT_FT


def _rings(reach: float, shown_in: str) -> list[Row]:
    """Circles at round lengths, two to four of them; a point's size is the area of its disc."""
    unit, name = unit_shown(shown_in)
    steps = (0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0)
    step = next(each for each in steps if reach * unit / each <= 4.5) / unit
    pixels = (330 - 4) / 2 / reach
    many = int(reach / step)
    return [
        {
            "across_ft": 0,
            "past_ft": 0,
            "ring": at * step,
            "size": 3.14159 * (at * step * pixels) ** 2,
            "label": f"{at * step * unit:g}" + (f"\u00a0{name}" if at == many else ""),
        }
        for at in range(1, many + 1)
    ]


def describe_places(rows: Sequence[Row], breaking: bool) -> str:
    """Say in words where misses finished."""
    total = len(rows)
    sides = ("high", "low") if breaking else ("left", "right")
    many = {
        "past": sum(row["past_ft"] > 0 for row in rows),
        "short": sum(row["past_ft"] < 0 for row in rows),
        sides[0]: sum(row["side"] < 0 for row in rows),
        sides[1]: sum(row["side"] > 0 for row in rows),
    }
    told = ", ".join(f"{percent(each / total)} {word}" for word, each in many.items() if each)
    few = " Too few to tell much." if total < FEWEST_PUTTS else ""
    kind = "putts that broke" if breaking else "straight putts"
    return f"Of {plural(total, 'miss', 'misses')} of {kind}: {told}.{few}"


@unchecked
def trend_chart(trend: pl.DataFrame) -> Chart | None:
    """Rolling mean of strokes gained with its band; None from a single round.

    Parameters
    ----------
    trend : polars.DataFrame
        From :func:`sgputt.season.trend.trend`.
    """
    rows = trend.to_dicts()
    if len(rows) < 2:
        return None
    window = max(row["over"] for row in rows)
    for at, row in enumerate(rows, 1):
        row["at"] = at
    whole = [row for row in rows if row["over"] == window]
    return Chart(
        id="trend",
        question="Is it getting better?",
        words=describe_trend(whole),
        caption=(
            f"Dot: a round, of 18 holes. Line: mean of {window} rounds. "
            f"Band: {percent(LEVEL)} sure."
        ),
        altair=_trend_drawn(rows, whole, 340),
        wide=_trend_drawn(rows, whole, _TREND_WIDE),
    )


@unchecked
def _trend_drawn(rows: Sequence[Row], whole: Sequence[Row], width: int) -> Layers:
    known = [row for row in whole if row["low"] is not None]
    kept = ("at", "per_round", "mean", "low", "high")
    seen = [row["per_round"] for row in rows]
    seen += [end for row in known for end in (row["low"], row["high"])]
    low, high = min(0.0, *seen), max(0.0, *seen)
    room = 0.08 * ((high - low) or 1)
    ends = (low - room, high + room)
    x = alt.X(
        "at:Q",
        scale=alt.Scale(domain=[0.5, len(rows) + 0.5], nice=False),
        axis=labelled(_dates(rows, _MOST_DATES if width < _TREND_WIDE else 2 * _MOST_DATES)),
    )
    y_scale = alt.Scale(domain=list(ends), nice=False)
    axis = alt.Axis(title=None, grid=True, tickCount=5, labelExpr=SIGNED_TICKS)
    y = alt.Y("per_round:Q", scale=y_scale, axis=axis)
    field = {"from": 0.5, "to": len(rows) + 0.5, "zero": 0, "low": ends[0]}
    ground = marks([field])
    last = whole[-1]
    look = VERDICT_COLOURS[verdict(last["low"], last["high"])]
    points = [{name: _short(row[name]) for name in kept} for row in rows]
    band = [{name: _short(row[name]) for name in kept} for row in known]
    drawn = [
        ground.mark_rect(color=LOSS, opacity=0.07).encode(
            x=alt.X("from:Q"),
            x2=alt.X2("to:Q"),
            y=alt.Y("low:Q", scale=y_scale, axis=axis),
            y2=alt.Y2("zero:Q"),
        ),
        ground.mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q")),
        marks(points)
        .mark_point(
            filled=True, color=SOFT, opacity=0.75, size=22 if len(rows) <= _MANY_ROUNDS else 9
        )
        .encode(x=x, y=y),
    ]
    if len(band) > 1:
        drawn += [
            marks(band)
            .mark_area(color=INK, opacity=0.13)
            .encode(x=x, y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
            marks(band).mark_line(color=INK, strokeWidth=2).encode(x=x, y=alt.Y("mean:Q")),
        ]
    end = marks([{**{name: last[name] for name in kept}, "shown": signed(last["mean"], 1)}])
    if last["low"] is not None:
        drawn.append(
            end.mark_rule(color=look, strokeWidth=3).encode(
                x=x, y=alt.Y("low:Q"), y2=alt.Y2("high:Q")
            )
        )
    fill = SHEET if look == SOFT else look
    drawn.append(
        end.mark_point(
            filled=True, fill=fill, stroke=look, strokeWidth=2, opacity=1, size=80
        ).encode(x=x, y=alt.Y("mean:Q"))
    )
    return layers(*drawn, height=330 if width < _TREND_WIDE else 270, width=width)


def _short(value: Any) -> Any:
    return round(value, 3) if isinstance(value, float) else value


def _dates(rows: Sequence[Row], most: int) -> dict[float, str]:
    """Dates of a few rounds, the first and the last among them."""
    last = len(rows) - 1
    many = min(most, len(rows))
    places = sorted({round(at * last / (many - 1)) for at in range(many)})
    years = rows[0]["date"].year != rows[-1]["date"].year
    return {at + 1.0: _date(rows[at]["date"], years) for at in places}


def _date(when: date, with_year: bool) -> str:
    return f"{when:%b %Y}" if with_year else f"{when.day} {when:%b}"


def describe_trend(whole: Sequence[Row]) -> str:
    """Say in words how the latest rounds stand, beside the first ones where they share none.

    Parameters
    ----------
    whole : sequence of dict
        Rows of the trend whose window is full.
    """
    last = whole[-1]
    window = last["over"]
    words = f"Last {plural(window, 'round')}: {_mean(last)}."
    if len(whole) <= window or last["low"] is None:
        return f"{words} Too few rounds to set beside earlier ones."
    first = whole[0]
    words = f"First {window} rounds: {_mean(first)}. {words}"
    if last["low"] > first["high"]:
        return f"{words} The bands are apart: better."
    if last["high"] < first["low"]:
        return f"{words} The bands are apart: worse."
    return f"{words} The two bands overlap: that is no proof of a change."


def _mean(row: Row) -> str:
    ends = reached(row["low"], row["high"])
    shown = signed(row["mean"], 1)
    return f"{shown} a round ({ends})" if ends else f"{shown} a round"


@unchecked
def causes_chart(misses: Sequence[MissCause]) -> Chart:
    """Share of the misses that read, direction and pace account for.

    Parameters
    ----------
    misses : sequence of MissCause
        From :func:`sgputt.stroke.causes.stroke_causes`.
    """
    ordered = sorted(misses, key=lambda each: -each.share)
    rows: list[Row] = [
        {
            "label": f"{first_up(each.cause)}|costs {number(each.lost_per_round, 1)} a round",
            "share": each.share,
            "shown": percent(each.share),
        }
        for each in ordered
    ]
    y = alt.Y(
        "label:N",
        sort=None,
        scale=alt.Scale(domain=[row["label"] for row in rows], padding=0.3),
        axis=alt.Axis(title=None, labelExpr="split(datum.label, '|')"),
    )
    most = max(row["share"] for row in rows)
    x = alt.X("share:Q", axis=None, scale=alt.Scale(domain=[0, most * 1.25], nice=False))
    bars = marks(rows).mark_bar(color=GAIN, cornerRadius=3)
    listed = ", ".join(f"{each.cause} {percent(each.share)}" for each in ordered)
    first = ordered[0]
    return Chart(
        id="causes",
        question="Why do putts miss?",
        words=(
            f"Share of all misses by what would have had to be different for the ball to drop, by "
            f"the model: {listed}. Strokes a round they cost against the tour from the same "
            f"places: {', '.join(f'{e.cause} {number(e.lost_per_round, 2)}' for e in ordered)}."
        ),
        caption=(
            "By the model: what would have had to be different for the ball to drop, and what it "
            "costs against the tour."
        ),
        answer=f"Mostly {first.cause}: {percent(first.share)} of your misses.",
        altair=layers(
            bars.encode(x=x, y=y),
            wording(rows, "shown", bold=True, size=16, align="left", dx=6).encode(x=x, y=y),
            height=64 * len(rows),
            padding={
                "left": label_room(row["label"] for row in rows),
                "right": 6,
                "top": 3,
                "bottom": 1,
            },
        ),
    )


@unchecked
def worth_chart(parts: Sequence[StrokePart], habits: Sequence[Habit], level: float) -> Chart:
    """Strokes a round that each part one step better, and each habit gone, would bring.

    Parameters
    ----------
    parts : sequence of StrokePart
    habits : sequence of Habit
        Those that are told.
    level : float
        Coverage of the intervals.
    """
    spans = [
        Span(
            f"{first_up(each.part)}|one step better",
            each.worth_per_round.value,
            each.worth_per_round.low,
            each.worth_per_round.high,
            signed(each.worth_per_round.value),
            verdict(each.worth_per_round.low, each.worth_per_round.high),
        )
        for each in parts
    ]
    spans += [
        Span(
            f"{first_up(each.habit)}|{_where(each)}without it",
            each.worth_per_round.value,
            each.worth_per_round.low,
            each.worth_per_round.high,
            signed(each.worth_per_round.value),
            verdict(each.worth_per_round.low, each.worth_per_round.high),
        )
        for each in habits
    ]
    low, high = ends_around(spans)
    least = min(each.low or 0.0 for each in spans)
    told = "; ".join(
        f"{each.label.replace('|', ', ')} {each.shown} ({reached(each.low, each.high, 2)})"
        for each in spans
    )
    return Chart(
        id="worth",
        question="What would a better stroke bring?",
        words=f"By the model, strokes a round on your own putts: {told}.",
        caption=f"By the model, on your own putts. Line: {percent(level)} sure.",
        altair=spans_chart(
            spans, "strokes gained a round", (low if least < 0 else 0.0, high), sides=False
        ),
    )


def _where(habit: Habit) -> str:
    return "" if habit.where == "all" else f"{habit.where}, "


def usual_putt(stroke: StrokeCauses) -> FromAbove | None:
    """A putt of this player's seen from above, such that its habits show; None without a fit."""
    if stroke.fit is None:
        return None
    breaks = {each.where for each in stroke.told}
    turn = -_ACROSS_DEG if "right to left" in breaks else _ACROSS_DEG
    station = Station(_DRAWN_FT, direction_deg=turn, grade=_DRAWN_GRADE)
    return putt_from_above(stroke.fit.stroke, station)


def breakdown_charts(breakdowns: Mapping[str, pl.DataFrame]) -> dict[str, Chart | None]:
    """A chart for each way to divide the rounds, all on one scale; those with one row left out.

    Months come latest first, so that the latest is never among the rows cut off.
    """
    found = {key: breakdowns[key].to_dicts() for key in _HEADINGS if key in breakdowns}
    found = {key: rows for key, rows in found.items() if len(rows) > 1}
    if "months" in found:
        found["months"].reverse()
    spans = {
        key: [_breakdown_span(key, row) for row in rows[:_MOST_ROWS]] for key, rows in found.items()
    }
    sure = [
        each
        for key, rows in found.items()
        for each, row in zip(spans[key], rows, strict=False)
        if row["rounds"] >= ROUNDS_TO_TRUST_AN_INTERVAL
    ]
    # The interval of two or three rounds may be ten times as wide as all others.
    values = [each.value for some in spans.values() for each in some]
    ends = ends_around([*sure, *(Span("", value, None, None, "") for value in values)])
    return {
        _HEADINGS[key].lower(): Chart(
            id=f"by-{key}",
            question=_HEADINGS[key],
            words=_describe_breakdown(spans[key], len(found[key]) - len(spans[key])),
            caption=_more_rows(len(found[key]) - len(spans[key])),
            altair=spans_chart(spans[key], "strokes gained a round", ends),
        )
        for key in spans
    }


@unchecked
def fair_chart(slopes: pl.DataFrame, breaks: pl.DataFrame, level: float = LEVEL) -> Chart | None:
    """Strokes gained by slope and by break, allowed for how hard each is; None without words.

    Parameters
    ----------
    slopes, breaks : polars.DataFrame
        From :func:`sgputt.season.fairness.fair_table`.
    level : float
        Coverage of the intervals.
    """
    spans = [
        Span(
            f"{first_up(row[by])}|{plural(row['putts'], 'putt')}",
            row["fair_per_round"],
            row["fair_low"],
            row["fair_high"],
            signed(row["fair_per_round"]),
            verdict(row["fair_low"], row["fair_high"]),
        )
        for by, table in (("slope", slopes), ("break", breaks))
        for row in table.iter_rows(named=True)
        if row[by] != UNKNOWN and row["putts"] >= FEWEST_PUTTS and row["fair_low"] is not None
    ]
    if not spans:
        return None
    told = "; ".join(
        f"{each.label.partition('|')[0]} {each.shown} ({reached(each.low, each.high, 2)})"
        for each in spans
    )
    return Chart(
        id="by-slope-and-break",
        question="By slope and break",
        words=f"Strokes gained a round by the model, harder putts allowed for: {told}.",
        caption="By the model, against a player as good as you on every putt: harder putts are "
        "allowed for.",
        altair=spans_chart(spans, "strokes gained a round", ends_around(spans), tick_count=3),
    )


def _more_rows(more: int) -> str:
    return f"And {more} more, not shown." if more > 0 else ""


def _describe_breakdown(spans: Sequence[Span], more: int) -> str:
    told = "; ".join(
        f"{each.label.replace('|', ', ')} {each.shown}"
        + (f" ({reached(each.low, each.high)})" if each.low is not None else "")
        for each in spans
    )
    return f"Strokes gained a round: {told}. {_more_rows(more)}".strip()


def _breakdown_span(key: str, row: Row) -> Span:
    played = plural(row["rounds"], "round")
    label = f"{_breakdown_label(key, row['label'])}|{played}"
    return span_of(label, row, digits_for(row["low"], row["high"]))


def _breakdown_label(key: str, label: str) -> str:
    if key == "months":
        year, month = map(int, label.split("-"))
        return f"{date(year, month, 1):%b}\u00a0{year}"
    label = on_a_page(_NOT_WRITTEN.get(label, label)).replace("|", "/")
    if key == "stimps":
        return tidy(label)
    return label if len(label) <= _LONGEST_LABEL else f"{label[: _LONGEST_LABEL - 1]}…"


@unchecked
def practised_chart(practised: Sequence[DrillHistory], names: Mapping[str, str]) -> Chart | None:
    """Share of balls that succeeded in each drill, beside what its mark asks for."""
    if not practised:
        return None
    spans = []
    for each in practised:
        told = (
            ""
            if each.mark_rate is None
            else verdict(each.low - each.mark_rate, each.high - each.mark_rate)
        )
        name = names.get(each.drill, each.drill).replace("|", "/")
        short = name if len(name) <= _LONGEST_LABEL else f"{name[: _LONGEST_LABEL - 1]}…"
        label = f"{tidy(short)}|{plural(each.sets, 'set')}, {plural(each.balls, 'ball')}"
        spans.append(
            Span(label, each.rate, each.low, each.high, percent(each.rate), told, each.mark_rate)
        )
    return Chart(
        id="practised",
        question="Does practice reach its mark?",
        words=describe_practised(practised, names),
        caption="Dot: share of balls that succeeded. Upright line: what the mark asks for.",
        altair=spans_chart(
            spans,
            "balls that succeeded",
            (0.0, 1.0),
            ticks=PERCENT_TICKS,
            sides=False,
            tick_count=2,
        ),
    )


@unchecked
def practice_and_course_chart(trend: pl.DataFrame, sessions: pl.DataFrame) -> Chart | None:
    """Days of practice beneath the rounds they were meant for; None unless there are both.

    Parameters
    ----------
    trend : polars.DataFrame
        From :func:`sgputt.season.trend.trend`.
    sessions : polars.DataFrame
        Sets practised, with ``date`` and ``balls``.
    """
    if trend.height < 2 or sessions.is_empty():
        return None
    rows = trend.select("date", "per_round", "mean", "over").to_dicts()
    days = sessions.group_by("date").agg(pl.col("balls").sum()).sort("date").to_dicts()
    start = min(rows[0]["date"], days[0]["date"])
    end = max(rows[-1]["date"], days[-1]["date"])
    window = max(row["over"] for row in rows)
    for row in (*rows, *days):
        row["at"] = (row.pop("date") - start).days
    seen = [row["per_round"] for row in rows]
    low, high = min(0.0, *seen), max(0.0, *seen)
    room = 0.22 * ((high - low) or 1)
    floor = low - 0.6 * room
    span = max((end - start).days, 1)
    places = sorted({round(at * span / 3) for at in range(4)})
    dates = {float(at): _date(start + timedelta(at), start.year != end.year) for at in places}
    x = alt.X(
        "at:Q",
        scale=alt.Scale(domain=[-0.02 * span, 1.02 * span], nice=False),
        axis=labelled(dates),
    )
    axis = alt.Axis(title=None, grid=True, tickCount=5, labelExpr=SIGNED_TICKS)
    y_scale = alt.Scale(domain=[low - room, high + 0.3 * room], nice=False)
    y = alt.Y("per_round:Q", scale=y_scale, axis=axis)
    zero = marks([{"zero": 0}]).mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q"))
    below = [{"floor": floor, "text": "practice"}]
    word = wording(below, "text", colour=GAIN, size=12, dy=-15)
    drawn = [
        zero,
        marks(rows).mark_point(filled=True, color=SOFT, opacity=0.75, size=22).encode(x=x, y=y),
        marks([row for row in rows if row["over"] == window])
        .mark_line(color=INK, strokeWidth=2)
        .encode(x=x, y=alt.Y("mean:Q")),
        marks([{**day, "floor": floor, "size": 14 + 2 * day["balls"]} for day in days])
        .mark_point(filled=True, color=GAIN, opacity=0.7)
        .encode(x=x, y=alt.Y("floor:Q"), size=alt.Size("size:Q", scale=None)),
        word.encode(y=alt.Y("floor:Q"), **in_pixels(x=26)),
    ]
    balls = sum(day["balls"] for day in days)
    return Chart(
        id="practice-course",
        question="Practice and the course",
        words=(
            f"Strokes gained a round over time, and below it {plural(len(days), 'day')} of "
            f"practice with {plural(balls, 'ball')} in all."
        ),
        caption=(
            f"Line: mean of {window} rounds on the course. Blue: days of practice, larger with "
            "more balls. Whether a drill shows is said by: sgputt drills transfer."
        ),
        altair=layers(*drawn, height=270),
    )


def describe_practised(practised: Sequence[DrillHistory], names: Mapping[str, str]) -> str:
    """Say in words how practice stands against its marks."""
    judged = [each for each in practised if each.mark_rate is not None]
    above = [names.get(e.drill, e.drill) for e in judged if e.low > (e.mark_rate or 0)]
    below = [names.get(e.drill, e.drill) for e in judged if e.high < (e.mark_rate or 0)]
    said = []
    if above:
        said.append(f"Clear above the mark: {', '.join(above)}.")
    if below:
        said.append(f"Still below the mark: {', '.join(below)}.")
    return " ".join(said) or "No drill is clear of its mark yet, above or below."
