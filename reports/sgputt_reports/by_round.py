"""From round to round: the trend, and holing against leave."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import polars as pl
from markupsafe import Markup

from sgputt.inference.shares import LEVEL
from sgputt.season.summary import SeasonSummary
from sgputt_reports.drawing import Row, verdict
from sgputt_reports.format import count, estimate, interval, percent, signed
from sgputt_reports.plot import (
    Axis,
    Frame,
    Plot,
    box,
    dot,
    drawing,
    joined,
    path,
    rule,
    signed_axis,
    word,
)

_MOST_DATES = 4
_DOT_PX, _SMALL_PX = 5.0, 2.6
# With more rounds than this the dots of single rounds are drawn smaller.
_MANY = 80
_WORD_PX = 20.0
_WIDE_PX, _TALL_PX = 300.0, 290.0


def trend_plot(trend: pl.DataFrame) -> Plot | None:
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
    whole = [row for row in rows if row["over"] == window]
    seen = [row["per_round"] for row in rows]
    seen += [row[end] for row in whole for end in ("low", "high") if row[end] is not None]
    order = Axis((0.5, len(rows) + 0.5), _dates(rows), "rounds in the order played")
    frame = Frame(order, signed_axis(seen), height=290, left=40)
    marks = [_ground(frame), frame.axes(), _nought(frame), *_band(frame, rows, window)]
    return Plot(
        id="trend",
        question="Is it getting better?",
        words=describe_trend(whole),
        key=(
            f"Small dot: a round, for 18 holes. Line: mean of {window} rounds, the dot’s own last. "
            f"Band: its {percent(LEVEL)} interval."
        ),
        svg=drawing(marks, frame.height, "trend-words"),
    )


def _dates(rows: Sequence[Row]) -> list[tuple[float, str]]:
    """Dates of a few rounds, the first and the last among them."""
    last = len(rows) - 1
    many = min(_MOST_DATES, len(rows))
    places = sorted({round(at * last / (many - 1)) for at in range(many)})
    years = rows[0]["date"].year != rows[-1]["date"].year
    return [(at + 1.0, _date(rows[at]["date"], years)) for at in places]


def _date(when: date, with_year: bool) -> str:
    return f"{when:%b %Y}" if with_year else f"{when.day} {when:%b}"


def _ground(frame: Frame) -> Markup:
    """The losing side, and a word for each side."""
    nought = frame.y(0)
    marks = [box((frame.left, nought), (frame.right, frame.bottom), "losing")]
    if nought - frame.top > _WORD_PX:
        marks.append(word(frame.left + 6, frame.top + 10, "gains ▴", "start", "value gain"))
    if frame.bottom - nought > _WORD_PX:
        marks.append(word(frame.left + 6, frame.bottom - 6, "loses ▾", "start", "value loss"))
    return joined(marks)


def _nought(frame: Frame) -> Markup:
    return rule((frame.left, frame.y(0)), (frame.right, frame.y(0)), "nought")


def _band(frame: Frame, rows: Sequence[Row], window: int) -> list[Markup]:
    at = list(enumerate(rows, 1))
    small = _SMALL_PX if len(rows) <= _MANY else _SMALL_PX / 2
    marks = [dot(frame.at(x, row["per_round"]), small, "round") for x, row in at]
    whole = [(x, row) for x, row in at if row["over"] == window]
    known = [(x, row) for x, row in whole if row["low"] is not None]
    if len(known) > 1:
        over = [frame.at(x, row["high"]) for x, row in known]
        under = [frame.at(x, row["low"]) for x, row in reversed(known)]
        marks.append(path([*over, *under], "area", closed=True))
        marks.append(path([frame.at(x, row["mean"]) for x, row in known], "line ink"))
    x, last = whole[-1]
    look = verdict(last["low"], last["high"])
    if last["low"] is not None:
        ends = (frame.at(x, last["low"]), frame.at(x, last["high"]))
        marks.append(rule(*ends, f"line {look}"))
    marks.append(dot(frame.at(x, last["mean"]), _DOT_PX, f"dot {look}"))
    return marks


def describe_trend(whole: Sequence[Row]) -> str:
    """Say in words how the latest rounds stand, beside the first ones where they share none.

    Parameters
    ----------
    whole : sequence of dict
        Rows of the trend whose window is full.
    """
    last = whole[-1]
    window = last["over"]
    words = f"Last {count(window, 'round')}: {_mean(last)}."
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
    reached = interval(row["low"], row["high"])
    shown = signed(row["mean"], 1)
    return f"{shown} a round ({reached})" if reached else f"{shown} a round"


def parts_plot(summary: SeasonSummary) -> Plot | None:
    """Holing against leave, a dot for each round; None unless two have parts that are known."""
    rounds = summary.rounds_table.filter(
        (pl.col("holing") != 0) | (pl.col("leave") != 0)
    ).to_dicts()
    if len(rounds) < 2:
        return None
    frame = _square(rounds)
    small = _SMALL_PX + 0.8 if len(rounds) <= _MANY else _SMALL_PX
    marks = [frame.axes(), *_cross(frame)]
    marks += [
        dot(frame.at(row["holing"], row["leave"]), small, f"faint {_sign(row)}") for row in rounds
    ]
    marks.append(_middle(frame, summary))
    return Plot(
        id="parts",
        question="Holing or leave: what makes a good round?",
        words=describe_parts(summary, len(rounds)),
        key=(
            "Dot: a round as it fell, luck included. On the slanting line the two add up to "
            "nought: above it a round gains, below it loses. Cross: the mean."
        ),
        svg=drawing(marks, frame.height, "parts-words"),
    )


def _square(rounds: Sequence[Row]) -> Frame:
    """A field where a stroke is as long up as across."""
    across = signed_axis([row["holing"] for row in rounds], "strokes gained by holing", ticks=6)
    upward = signed_axis([row["leave"] for row in rounds], ticks=4)
    wide, tall = (axis.ends[1] - axis.ends[0] for axis in (across, upward))
    a_stroke = min(_WIDE_PX / wide, _TALL_PX / tall)
    room = (_WIDE_PX / a_stroke - wide) / 2
    low, high = across.ends
    across = Axis((low - room, high + room), across.ticks, across.title)
    return Frame(across, upward, tall * a_stroke + 66, left=44, right=44 + _WIDE_PX, top=24)


def _sign(row: Row) -> str:
    return "gain" if row["holing"] + row["leave"] > 0 else "loss"


def _cross(frame: Frame) -> list[Markup]:
    (low, high), (least, most) = frame.x_axis.ends, frame.y_axis.ends
    start, end = max(low, -most), min(high, -least)
    return [
        rule(frame.at(0, least), frame.at(0, most), "nought"),
        _nought(frame),
        rule(frame.at(start, -start), frame.at(end, -end), "way"),
        word(2, 13, "strokes gained by leave", "start"),
    ]


def _middle(frame: Frame, summary: SeasonSummary) -> Markup:
    x, y = frame.at(summary.holing.value, summary.leave.value)
    return joined(
        [
            rule((x - 9, y), (x + 9, y), "line ink"),
            rule((x, y - 9), (x, y + 9), "line ink"),
            word(x - 6, y + 22, "mean", "end", "value"),
        ]
    )


def describe_parts(summary: SeasonSummary, rounds: int) -> str:
    """Say in words what the two parts are on average, and how far they reach."""
    table = summary.rounds_table
    in_order = ((part, table[part].sort().to_list()) for part in ("holing", "leave"))
    reach = [f"{part} {signed(all_[0], 1)} to {signed(all_[-1], 1)}" for part, all_ in in_order]
    return (
        f"{rounds} rounds: {' and '.join(reach)}. For 18 holes the mean is holing "
        f"{estimate(summary.holing)} and leave {estimate(summary.leave)}. The part that reaches "
        "further decides more often whether a round is a good one."
    )
