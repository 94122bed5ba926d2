"""The page of a course plan: where to leave approaches, how far past to aim, when to lag."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import polars as pl

from sgputt.course.plan import CHARGE_FT, LAG_AIM_FT, CoursePlan
from sgputt_reports.charts import (
    GAIN,
    INK,
    LOSS,
    SIGNED_TICKS,
    Chart,
    Row,
    in_pixels,
    labelled,
    layers,
    marks,
    unchecked,
    wording,
)
from sgputt_reports.format import NONE, number, signed
from sgputt_reports.page import Page, render

SLOPES = ("uphill", "level", "downhill")
_COLOURS = {"uphill": GAIN, "level": INK, "downhill": LOSS}
_DASHES = {"uphill": [1, 0], "level": [6, 4], "downhill": [1, 0]}
_AIMED_FT = (5.0, 10.0, 20.0, 30.0)
_TOLD_FT = (15.0, 30.0)
_TICKS_FT = (3, 5, 10, 20, 40, 60)
# A smaller cost, putts, is shown as nothing.
_ZERO = 0.005
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
        charts=[approach_chart(plan.approach), aims_chart(plan.aims)],
        approach=plan.approach.to_dicts(),
        costs=_costs(plan.aims),
        slopes=SLOPES,
    )
    title = f"{player}: stimp {plan.stimp_ft:g} ft, slopes of {100 * plan.grade:g} %"
    return Page(title, body).html()


def _told(approach: pl.DataFrame) -> list[dict[str, Any]]:
    """What being above the hole costs from the lengths named in words."""
    rows = approach.filter(pl.col("distance_ft").is_in(_TOLD_FT)).to_dicts()
    return [
        {"from": f"{row['distance_ft']:g}\u00a0ft", "cost": row["cost"], "worse": row["cost"] > 0}
        for row in rows
        if abs(row["cost"]) >= _ZERO
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


def _lengths(feet: Sequence[float], field: str = "distance_ft") -> alt.X:
    """An axis of lengths, each doubling as wide as the next."""
    ends = [min(feet), max(feet)]
    ticks = {float(at): str(at) for at in _TICKS_FT if ends[0] <= at <= ends[1]}
    return alt.X(
        f"{field}:Q",
        scale=alt.Scale(type="log", domain=ends, nice=False),
        axis=labelled(ticks, "length of the putt, ft"),
    )


_UP = alt.Axis(title=None, grid=True, tickCount=5, labelExpr=SIGNED_TICKS)


@unchecked
def approach_chart(approach: pl.DataFrame) -> Chart:
    """What leaving the approach above the hole costs, by how far it is left.

    Parameters
    ----------
    approach : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    """
    rows = approach.select("distance_ft", "cost").to_dicts()
    x = _lengths([row["distance_ft"] for row in rows])
    y = alt.Y("cost:Q", axis=_UP)
    line = marks(rows)
    return Chart(
        id="above",
        question="What does being above the hole cost?",
        words=describe_approach(approach),
        caption="Putts expected downhill, less those uphill from the same length.",
        altair=layers(
            line.mark_area(color=INK, opacity=0.13).encode(x=x, y=y),
            marks([{"zero": 0}]).mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q")),
            line.mark_line(color=INK, strokeWidth=2.5).encode(x=x, y=y),
            height=240,
        ),
    )


def describe_approach(approach: pl.DataFrame) -> str:
    """Say in words what being above the hole costs, and from where it costs most."""
    costliest = approach.sort("cost", descending=True).row(0, named=True)
    if costliest["cost"] < _ZERO:
        return "By the model it makes no difference that could be felt."
    told = ", ".join(
        f"{row['distance_ft']:g}\u00a0ft {signed(row['cost'])}"
        for row in approach.filter(pl.col("distance_ft").is_in((6.0, *_TOLD_FT))).to_dicts()
    )
    return (
        f"Putts more than from as far below: {told}. It costs most from "
        f"{costliest['distance_ft']:g}\u00a0ft ({signed(costliest['cost'])})."
    )


@unchecked
def aims_chart(aims: pl.DataFrame) -> Chart:
    """How far past the hole to aim, a line for each slope.

    Parameters
    ----------
    aims : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    """
    rows = [
        {**row, "slope": str(row["slope"])}
        for row in aims.select("slope", "distance_ft", "best_aim_ft").to_dicts()
    ]
    feet = [row["distance_ft"] for row in rows]
    x, y = _lengths(feet), alt.Y("best_aim_ft:Q", axis=_UP)
    ends = [next(r for r in reversed(rows) if r["slope"] == slope) for slope in SLOPES]
    reach = [row["best_aim_ft"] for row in rows]
    places = _apart(ends, 0.075 * ((max(reach) - min(reach)) or 1.0))
    lines = [
        marks([row for row in rows if row["slope"] == slope])
        .mark_line(color=_COLOURS[slope], strokeWidth=2.5, strokeDash=_DASHES[slope])
        .encode(x=x, y=y)
        for slope in SLOPES
    ]
    names = [
        wording(
            [row], "slope", bold=True, colour=_COLOURS[row["slope"]], align="left", dx=6
        ).encode(**in_pixels(x=270), y=y)
        for row in places
    ]
    zero = marks([{"zero": 0}]).mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q"))
    chart = layers(zero, *lines, *names, height=240, width=270, autosize={"type": "pad"})
    return Chart(
        id="aims",
        question="How far past the hole should it stop?",
        words=describe_aims(aims),
        caption="Feet past the hole, should it miss, for the fewest putts. Below zero: short.",
        altair=chart,
    )


def _apart(rows: Sequence[Row], least: float) -> list[Row]:
    """The ends of the lines, moved apart where their names would meet."""
    moved: list[Row] = []
    for row in sorted(rows, key=lambda each: each["best_aim_ft"]):
        above = moved[-1]["best_aim_ft"] + least if moved else row["best_aim_ft"]
        moved.append({**row, "best_aim_ft": max(row["best_aim_ft"], above)})
    return moved


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
