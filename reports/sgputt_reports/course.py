"""The page of a course plan: where to leave approaches, how far past to aim, when to lag."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl
from markupsafe import Markup

from sgputt.course.plan import CHARGE_FT, LAG_AIM_FT, CoursePlan
from sgputt_reports.drawing import Row
from sgputt_reports.format import NONE, clean, number, signed
from sgputt_reports.page import Page, render
from sgputt_reports.plot import Axis, Frame, Plot, drawing, joined, path, rule, signed_axis, word

SLOPES = ("uphill", "level", "downhill")
_LOOKS = {"uphill": "gain", "level": "ink", "downhill": "loss"}
_DASHES = {"uphill": "", "level": " dashed", "downhill": ""}
_AIMED_FT = (5.0, 10.0, 20.0, 30.0)
_TOLD_FT = (15.0, 30.0)
_TICKS_FT = (3, 5, 10, 20, 40, 60)
# A smaller cost, putts, is shown as nothing.
_NOUGHT = 0.005
_INCHES_IN_A_FOOT = 12


def course_page(plan: CoursePlan, player: str, source: str) -> str:
    """Write the page of a course plan.

    Parameters
    ----------
    plan : CoursePlan
    player : str
        Whose stroke it is made for.
    source : str
        Where the stroke comes from, in words.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    body = render(
        "course",
        plan=plan,
        player=player,
        source=source,
        stimp=f"{plan.stimp_ft:g}\u00a0ft",
        grade=f"{100 * plan.grade:g}\u00a0%",
        told=_told(plan.approach),
        aims=_aims(plan.aims),
        aimed=[f"{at:g}" for at in _AIMED_FT],
        lags=[(slope, _lag(plan.lag_from_ft[slope])) for slope in SLOPES],
        lag_aim=f"{_INCHES_IN_A_FOOT * LAG_AIM_FT:g}",
        charge=f"{CHARGE_FT:g}",
        plots=[approach_plot(plan.approach), aims_plot(plan.aims)],
        approach=plan.approach.to_dicts(),
        costs=_costs(plan.aims),
        slopes=SLOPES,
    )
    title = clean(f"{player}: stimp {plan.stimp_ft:g} ft, slopes of {100 * plan.grade:g} %")
    return Page(title, [Markup(body)], charts=False).html()


def _told(approach: pl.DataFrame) -> list[dict[str, Any]]:
    """What being above the hole costs from the lengths named in words."""
    rows = approach.filter(pl.col("distance_ft").is_in(_TOLD_FT)).to_dicts()
    return [
        {"from": f"{row['distance_ft']:g}\u00a0ft", "cost": row["cost"], "worse": row["cost"] > 0}
        for row in rows
        if abs(row["cost"]) >= _NOUGHT
    ]


def _aims(aims: pl.DataFrame) -> list[dict[str, Any]]:
    """Best aims from a few lengths, a row for each slope."""
    best = {(row["slope"], row["distance_ft"]): row["best_aim_ft"] for row in aims.to_dicts()}
    return [
        {"slope": slope, "aims": [_feet(best.get((slope, at))) for at in _AIMED_FT]}
        for slope in SLOPES
    ]


def _feet(aim: float | None) -> str:
    """Feet past the hole; aims are tried in quarters of a foot."""
    return NONE if aim is None else signed(aim)


def _lag(feet: float | None) -> str:
    return "not up to 60\u00a0ft" if feet is None else f"from {feet:g}\u00a0ft"


def _costs(aims: pl.DataFrame) -> list[dict[str, Any]]:
    """One row a length: best aim and what charging and dying it in cost, on each slope."""
    rows: dict[float, dict[str, Row]] = {}
    for row in aims.iter_rows(named=True):
        rows.setdefault(row["distance_ft"], {})[row["slope"]] = row
    return [
        {"from": f"{feet:g}", "slopes": [_cost(found[slope]) for slope in SLOPES]}
        for feet, found in rows.items()
    ]


def _cost(row: Row) -> dict[str, str]:
    return {
        "aim": _feet(row["best_aim_ft"]),
        "charge": number(row["charge_cost"], 2),
        "die": number(row["die_cost"], 2),
    }


def _lengths(feet: Sequence[float]) -> Axis:
    ends = (min(feet), max(feet))
    ticks = [(float(at), str(at)) for at in _TICKS_FT if ends[0] <= at <= ends[1]]
    return Axis(ends, ticks, "length of the putt, ft", logarithmic=True)


def approach_plot(approach: pl.DataFrame) -> Plot:
    """What leaving the approach above the hole costs, by how far it is left.

    Parameters
    ----------
    approach : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    """
    feet, costs = approach["distance_ft"].to_list(), approach["cost"].to_list()
    frame = Frame(_lengths(feet), signed_axis(costs, ticks=4), height=250, left=50, right=345)
    points = [frame.at(*point) for point in zip(feet, costs, strict=True)]
    nought = rule((frame.left, frame.y(0)), (frame.right, frame.y(0)), "nought")
    ground = [(frame.x(feet[0]), frame.y(0)), *points, (frame.x(feet[-1]), frame.y(0))]
    marks = [frame.axes(), path(ground, "area", closed=True), path(points, "line ink"), nought]
    return Plot(
        id="above",
        question="What does being above the hole cost?",
        words=describe_approach(approach),
        key="Line: expected putts downhill less expected putts uphill from the same length.",
        svg=drawing(marks, frame.height, "above-words"),
    )


def describe_approach(approach: pl.DataFrame) -> str:
    """Say in words what being above the hole costs, and from where it costs most."""
    dearest = approach.sort("cost", descending=True).row(0, named=True)
    if dearest["cost"] < _NOUGHT:
        return "By the model it makes no difference that could be felt."
    told = ", ".join(
        f"{row['distance_ft']:g}\u00a0ft {signed(row['cost'])}"
        for row in approach.filter(pl.col("distance_ft").is_in((6.0, *_TOLD_FT))).to_dicts()
    )
    return (
        f"Putts more than from as far below: {told}. It costs most from "
        f"{dearest['distance_ft']:g}\u00a0ft ({signed(dearest['cost'])})."
    )


def aims_plot(aims: pl.DataFrame) -> Plot:
    """How far past the hole to aim, a line for each slope.

    Parameters
    ----------
    aims : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    """
    feet = aims["distance_ft"].unique().sort().to_list()
    past = signed_axis(aims["best_aim_ft"].to_list(), ticks=5)
    frame = Frame(_lengths(feet), past, height=250, left=50, right=290)
    nought = rule((frame.left, frame.y(0)), (frame.right, frame.y(0)), "nought")
    lines = {
        slope: [
            frame.at(row["distance_ft"], row["best_aim_ft"])
            for row in aims.filter(pl.col("slope") == slope).iter_rows(named=True)
        ]
        for slope in SLOPES
    }
    marks = [frame.axes(), nought]
    marks += [path(lines[slope], f"line thin {_LOOKS[slope]}{_DASHES[slope]}") for slope in SLOPES]
    marks.append(_names(frame, {slope: lines[slope][-1][1] for slope in SLOPES}))
    return Plot(
        id="aims",
        question="How far past the hole should it stop?",
        words=describe_aims(aims),
        key="Feet past the hole for the fewest putts, were the ball to miss; below nought, short.",
        svg=drawing(marks, frame.height, "aims-words"),
    )


def _names(frame: Frame, ends: dict[str, float]) -> Markup:
    """The slopes' names beside the ends of their lines, moved apart where those meet."""
    marks, above = [], 0.0
    for slope, y in sorted(ends.items(), key=lambda each: each[1]):
        above = max(y + 4, above + 15)
        marks.append(word(frame.right + 6, above, slope, "start", f"value {_LOOKS[slope]}"))
    return joined(marks)


def describe_aims(aims: pl.DataFrame) -> str:
    """Say in words how far past to aim from a short and a long putt on each slope."""
    told = []
    for slope in SLOPES:
        rows = aims.filter(pl.col("slope") == slope)
        short, long = (
            rows.filter(pl.col("distance_ft") == at)["best_aim_ft"].to_list() for at in (10, 30)
        )
        if short and long:
            told.append(f"{slope} {_feet(short[0])} and {_feet(long[0])}")
    return f"From 10 and 30\u00a0ft, feet past the hole: {'; '.join(told)}."
