"""The shape of a player's putting: makes by length, leaves by length, where misses finish."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl
from markupsafe import Markup

from sgputt.inference.cells import FEWEST_PUTTS
from sgputt.inference.shares import LEVEL
from sgputt_reports.drawing import Row
from sgputt_reports.format import count, number, percent, tidy
from sgputt_reports.plot import (
    LINE_PX,
    WIDTH,
    Axis,
    Frame,
    Plot,
    counted_axis,
    dot,
    drawing,
    joined,
    path,
    rule,
    word,
)

_DOT_PX = 5.0
_LENGTHS = (1.0, 2.0, 5.0, 10.0, 20.0, 40.0)
_SHORTEST_FT = 1.0
_LEAST_GAP_PX = 26.0
_LEAST_ROOM_PX = 50.0
_MOST_TOLD = 2
_ROW_PX = 40.0


def makes_plot(makes: pl.DataFrame, curve: pl.DataFrame, against: str) -> Plot:
    """Share holed by length beside the baseline's.

    Parameters
    ----------
    makes, curve : polars.DataFrame
        From :func:`sgputt.season.shape.make_shares` and
        :func:`sgputt.season.shape.baseline_curve`.
    against : str
        What the baseline is called.
    """
    rows = makes.to_dicts()
    longest = max([curve["distance_ft"][-1], *(row["mean_ft"] for row in rows)])
    ends = (_SHORTEST_FT, longest)
    shares = Axis((0, 1), [(at / 4, percent(at / 4)) for at in range(5)])
    lengths = Axis(ends, [(at, f"{at:g}") for at in _LENGTHS], "length, ft", logarithmic=True)
    frame = Frame(lengths, shares, height=296, below=66, title_below=62)
    baseline = [frame.at(*point) for point in curve.rows()]
    marks = [frame.axes(), path(baseline, "line baseline"), *_named(frame, curve, against)]
    marks += [_make(frame, row) for row in rows]
    marks += _counts(frame, rows)
    return Plot(
        id="makes",
        question="How often do putts drop?",
        words=describe_makes(rows),
        key=(
            f"Dot: share holed. Upright line: {percent(LEVEL)} interval. Curve: the baseline. "
            "Filled and coloured: the interval is clear of what the baseline holes of the same "
            f"putts, from {FEWEST_PUTTS} on. Figures below: putts."
        ),
        svg=drawing(marks, frame.height, "makes-words"),
    )


def _named(frame: Frame, curve: pl.DataFrame, against: str) -> list[Markup]:
    """The curve's name, above it where it is low."""
    near = curve.filter(pl.col("distance_ft") >= _LENGTHS[3]).row(0)
    x, y = frame.at(*near)
    return [word(x + 8, y - 26, against, "start", "soft")] if len(against) < 30 else []


def _make(frame: Frame, row: Row) -> Markup:
    look = _against(row)
    x, y = frame.at(row["mean_ft"], row["share"])
    marks = [
        rule((x, frame.y(row["low"])), (x, frame.y(row["high"])), f"line {look}"),
        dot((x, y), _DOT_PX, f"dot {look}"),
    ]
    if look != "unclear":
        low, text = row["share"] < row["baseline"], percent(row["share"])
        marks.append(
            word(x - 9, y + 12, text, "end", f"value {look}")
            if low and x - frame.left > _LEAST_ROOM_PX
            else word(x + 9, y + (14 if low else -4), text, "start", f"value {look}")
        )
    return joined(marks)


def _against(row: Row) -> str:
    """Whether the interval is clear of what the baseline holes of the same putts.

    Of a handful of putts it is never said.
    """
    if row["putts"] < FEWEST_PUTTS:
        return "unclear"
    if row["high"] < row["baseline"]:
        return "loss"
    return "gain" if row["low"] > row["baseline"] else "unclear"


def _counts(frame: Frame, rows: Sequence[Row]) -> list[Markup]:
    """Putts behind each dot; lower where they would run into each other."""
    level = frame.bottom + 2 * LINE_PX + 5
    marks = []
    reached = 0.0
    for row in rows:
        x = frame.x(row["mean_ft"])
        close = x - reached < _LEAST_GAP_PX
        marks.append(word(x, level + (LINE_PX - 3 if close else 0), f"{row['putts']}", look="tiny"))
        reached = 0.0 if close else x
    marks.append(word(2, level, "putts", "start", "tiny"))
    return marks


def describe_makes(rows: Sequence[Row]) -> str:
    """Say in words where more or fewer putts drop than the baseline's."""
    if not rows:
        return "No putt from the green has a known length, so there is nothing to show yet."
    told = []
    for look, lead in (("loss", "Fewer drop than the baseline’s"), ("gain", "More drop")):
        found = [row for row in rows if _against(row) == look]
        found.sort(key=lambda row: -abs(row["share"] - row["baseline"]))
        listed = [_told_from(row) for row in found[:_MOST_TOLD]]
        listed += [f"also from {tidy(row['distance'])}" for row in found[_MOST_TOLD:]]
        told += [f"{lead} {'; '.join(listed)}."] if found else []
    if told:
        return " ".join(told)
    total = count(sum(row["putts"] for row in rows), "putt")
    return f"From no distance do {total} tell your makes from the baseline’s."


def _told_from(row: Row) -> str:
    """Both shares, with tenths where whole figures would be the same."""
    shares = (row["share"], row["baseline"])
    same = len({round(100 * each) for each in shares}) == 1
    mine, others = (f"{100 * each:.{1 if same else 0}f}\u00a0%" for each in shares)
    return (
        f"from {tidy(row['distance'])}: {mine} of {count(row['putts'], 'putt')}, the baseline "
        f"{others}"
    )


def leaves_plot(leaves: pl.DataFrame) -> Plot:
    """How far first putts that missed were left, a row for each length.

    Parameters
    ----------
    leaves : polars.DataFrame
        From :func:`sgputt.season.shape.leaves_by_length`.
    """
    rows = leaves.to_dicts()
    most = max((row["nine_tenths_ft"] for row in rows), default=1.0)
    feet = counted_axis(most, "ft", "feet left after the first putt")
    height = _ROW_PX * len(rows) + 58
    frame = Frame(feet, Axis((0, 1), []), height=height, left=88, right=345, top=16)
    upright = [
        rule((frame.x(at), frame.top), (frame.x(at), frame.bottom), "grid") for at, _ in feet.ticks
    ]
    marks = [frame.axes(), *upright]
    marks += [_leave(frame, row, frame.top + _ROW_PX * (at + 0.55)) for at, row in enumerate(rows)]
    return Plot(
        id="leaves",
        question="How near do first putts stop when they miss?",
        words=describe_leaves(rows),
        key=(
            "Dot: half of the misses stopped nearer. Broad bar: the middle half. Thin line: up to "
            f"nine in ten. Hollow and grey: fewer than {FEWEST_PUTTS} misses."
        ),
        svg=drawing(marks, frame.height, "leaves-words"),
    )


def _leave(frame: Frame, row: Row, y: float) -> Markup:
    quarter, middle, upper, most = (
        frame.x(row[name])
        for name in ("quarter_ft", "median_ft", "three_quarters_ft", "nine_tenths_ft")
    )
    few = row["misses"] < FEWEST_PUTTS
    marks = [
        word(frame.left - 8, y - 2, tidy(row["distance"]), "end"),
        word(frame.left - 8, y + 11, count(row["misses"], "miss", "misses"), "end", "tiny"),
    ]
    if not few:
        marks += [
            rule((quarter, y), (most, y), "line ink"),
            rule((quarter, y), (upper, y), "broad ink"),
        ]
    marks += [
        dot((middle, y), _DOT_PX, "dot unclear" if few else "dot sheet"),
        word(middle, y - 9, number(row["median_ft"]), look="value"),
    ]
    return joined(marks)


def describe_leaves(rows: Sequence[Row]) -> str:
    """Say in words how near first putts stop, from the longest lengths with enough misses."""
    if not rows:
        return "No first putt that missed has a known leave, so there is nothing to show yet."
    enough = [row for row in rows if row["misses"] >= FEWEST_PUTTS]
    if not enough:
        total = count(sum(row["misses"] for row in rows), "miss", "misses")
        return f"Only {total} so far: too few from any length for a spread."
    told = "; ".join(
        f"from {tidy(row['distance'])} half stop within {number(row['median_ft'])} ft, nine in ten "
        f"within {number(row['nine_tenths_ft'])} ft ({count(row['misses'], 'miss', 'misses')})"
        for row in enough[-2:]
    )
    return tidy(f"First putts that miss: {told}.")


# Corners of the rose: sign to the right and sign past the hole.
_PLACES = {"left": -1, "none": 0, "right": 1, "past": 1, "short": -1}
_HEART = (WIDTH / 2, 178.0)
_REACH_PX = 108.0
_SLANT = 0.7071
_LEAST_PX, _MOST_PX = 3.0, 42.0


def rose_plot(finishes: pl.DataFrame) -> Plot:
    """Where misses finished around the hole: a disc for each pair of words on the card.

    Parameters
    ----------
    finishes : polars.DataFrame
        From :func:`sgputt.season.shape.finishes`.
    """
    rows = finishes.to_dicts()
    most = max((row["median_ft"] for row in rows), default=1.0)
    rings = counted_axis(most, "ft", ticks=3)
    marks = [_ring(rings, at, text) for at, text in reversed(rings.ticks[1:])]
    x, y = _HEART
    marks.append(rule((x, y + _REACH_PX + 6), (x, y + 8), "way"))
    marks += [_disc(rings, row) for row in sorted(rows, key=lambda each: -each["share"])]
    marks.append(dot(_HEART, 4, "hole"))
    marks += [_place(row) for row in rows]
    marks.append(word(x, 374, "▴ from where you putt", look="soft"))
    return Plot(
        id="finishes",
        question="Where do misses finish?",
        words=describe_finishes(rows),
        key=(
            "The hole is in the middle. Disc: as large as its share of the misses, as far out as "
            "half of them were left; rings are feet. A card tells short or past, and the side."
        ),
        svg=drawing(marks, 380, "finishes-words"),
    )


def _ring(rings: Axis, at: float, text: str) -> Markup:
    radius = _REACH_PX * rings.share(at)
    x, y = _HEART
    return joined(
        [
            dot(_HEART, radius, "ring"),
            word(x + radius - 2, y - 4, text, "end", "tiny"),
        ]
    )


def _disc(rings: Axis, row: Row) -> Markup:
    out = _REACH_PX * rings.share(row["median_ft"])
    right, past = _PLACES[row["side"]], _PLACES[row["pace"]]
    slant = _SLANT if right else 1.0
    at = (_HEART[0] + right * slant * out, _HEART[1] - past * slant * out)
    return dot(at, max(_LEAST_PX, _MOST_PX * row["share"] ** 0.5), "disc")


def _place(row: Row) -> Markup:
    """What a corner of the rose says."""
    right, past = _PLACES[row["side"]], _PLACES[row["pace"]]
    anchor = {-1: "start", 0: "middle", 1: "end"}[right]
    x = {-1: 4.0, 0: WIDTH / 2, 1: WIDTH - 4.0}[right]
    y = 15.0 if past > 0 else 314.0
    lines = (
        _where(row),
        count(row["misses"], "miss", "misses"),
        f"{'half within' if row['misses'] > 1 else 'at'} {number(row['median_ft'])} ft",
    )
    small = [word(x, y + LINE_PX + 13 * at, text, anchor, "tiny") for at, text in enumerate(lines)]
    return joined([word(x, y, percent(row["share"]), anchor, "value"), *small])


def _where(row: Row) -> str:
    return f"{row['pace']} {'on line' if row['side'] == 'none' else row['side']}"


def describe_finishes(rows: Sequence[Row]) -> str:
    """Say in words where misses finish, the most frequent place first."""
    if not rows:
        return "No card says how a miss finished, short or past and which side."
    largest = sorted(rows, key=lambda each: -each["misses"])
    listed = ", ".join(f"{_where(row)} {percent(row['share'])}" for row in largest)
    total = count(sum(row["misses"] for row in rows), "miss", "misses")
    few = " Too few to tell places apart." if sum(r["misses"] for r in rows) < FEWEST_PUTTS else ""
    return f"Of {total}: {listed}.{few}"
