"""Start line and pace by the model: the chart of what better is worth, and the fitted spreads."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees
from typing import Any

from sgputt.season.stroke import ALL, StrokeReport
from sgputt.stroke.fit import LEVEL, StrokeFit
from sgputt.stroke.model import TOUR
from sgputt.stroke.worth import Worth
from sgputt_reports.charts import reach
from sgputt_reports.drawing import (
    INKS,
    SHEET,
    UNCLEAR,
    Row,
    Scale,
    Spec,
    nought_line,
    rows_of_dots,
    verdict,
)
from sgputt_reports.format import first_up, interval, percent, signed, tidy
from sgputt_reports.page import Figure

_PARTS = {"line": "start line", "pace": "pace"}
_NAMES = {ALL: "all putts"}


def stroke_section(stroke: StrokeReport | None) -> dict[str, Any] | None:
    """What the section on start line and pace shows; None without a report."""
    if stroke is None:
        return None
    whole = stroke.fits.get(ALL)
    return {
        "rows": [_row(slope, fit) for slope, fit in stroke.fits.items()],
        "tour": _tour(whole) if whole else None,
        "against_tour": _against_tour(whole) if whole else "",
        "level": whole.level if whole else LEVEL,
        "too_few": stroke.too_few,
        "chart": _figure(stroke.worth, whole.level) if whole and stroke.worth else None,
        "assumption": stroke.assumption,
    }


def _row(slope: str, fit: StrokeFit) -> dict[str, Any]:
    low, high = (degrees(each) for each in fit.line_range)
    slow, fast = fit.pace_range
    return {
        "name": _NAMES.get(slope, slope),
        "putts": fit.putts,
        "line": f"{fit.stroke.line_deg:.2f}°",
        "line_interval": f"{low:.2f} to {high:.2f}",
        "pace": _share(fit.stroke.pace),
        "pace_interval": f"{100 * slow:.1f} to {100 * fast:.1f}",
    }


def _tour(fit: StrokeFit) -> dict[str, str]:
    return {"line": f"{TOUR.line_deg:.2f}°", "pace": _share(fit.tour_pace)}


def _share(pace: float) -> str:
    return f"{100 * pace:.1f}\u00a0%"


def _against_tour(fit: StrokeFit) -> str:
    line = _compared(fit.line_range, TOUR.line_rad)
    pace = _compared(fit.pace_range, fit.tour_pace)
    return f"Against the tour’s, over all putts: start line {line}, pace {pace}."


def _compared(found: tuple[float, float], tour: float) -> str:
    low, high = found
    if low > tour:
        return "wider"
    return "narrower" if high < tour else "not to be told apart"


def _figure(worth: Sequence[Worth], level: float) -> Figure:
    words = describe_worth(worth)
    return Figure(
        id="worth",
        question="What would a better stroke bring?",
        words=words,
        key=(
            f"Dot: strokes gained a round. Line: {percent(level)} interval, for the doubt about "
            "your spreads alone; the model itself may be further out. Hollow and grey: the "
            "interval is not clear of nought."
        ),
        spec=worth_of_stroke(worth, words),
    )


def worth_of_stroke(worth: Sequence[Worth], words: str = "") -> Spec:
    """Strokes a round that each change would bring, with intervals, one row a change.

    Parameters
    ----------
    worth : sequence of Worth
        From :func:`sgputt.stroke.worth.worth_of_better`.
    words : str
        What the chart shows, from :func:`describe_worth`.

    Returns
    -------
    dict
        A Vega-Lite specification as wide as its container.
    """
    rows = [_dot(each) for each in worth]
    low, high = reach(rows)
    least = min(each.low for each in worth)
    scale = Scale("strokes gained a round, by the model", (low if least < 0 else 0.0, high))
    ground = [nought_line(scale)]
    return rows_of_dots(rows, [row["label"] for row in rows], scale, ground, words)


def _dot(each: Worth) -> Row:
    ink = INKS[verdict(each.low, each.high)]
    return {
        "label": f"{first_up(_PARTS[each.part])}|{tidy(each.change)}",
        "value": each.value,
        "low": each.low,
        "high": each.high,
        "shown": signed(each.value),
        "ink": ink,
        "fill": SHEET if ink == UNCLEAR else ink,
    }


def describe_worth(worth: Sequence[Worth]) -> str:
    """Say in words what a better stroke would bring by the model."""
    told = "; ".join(
        f"{_PARTS[each.part]} {tidy(each.change)} {signed(each.value)} "
        f"({interval(each.low, each.high, 2)})"
        for each in worth
    )
    return f"By the model, strokes a round on your own first putts: {told}. {_first(worth)}".strip()


def _first(worth: Sequence[Worth]) -> str:
    """Whether line or pace brings more for the same change, where both are given."""
    same = [each for each in worth if each.change == worth[0].change]
    if len(same) < len(_PARTS):
        return ""
    less, more = sorted(same, key=lambda each: each.value)
    if more.low <= less.high:
        return "Which of the two brings more cannot be told yet."
    return (
        f"{first_up(tidy(more.change))} brings more in {_PARTS[more.part]} than in "
        f"{_PARTS[less.part]}; which is easier to win, the model does not know."
    )
