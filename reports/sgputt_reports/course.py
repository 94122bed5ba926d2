"""The page of a course plan: where to leave approaches, how far past to aim, when to lag."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt
import polars as pl

from sgputt.course.plan import CHARGE_FT, LAG_COST, CoursePlan
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

# As the page says it, by the slope along the putt.
SLOPES = {"uphill": "uphill", "level": "across", "downhill": "downhill"}
_FLAT = {"level": "level"}
_LEFT = {"above_cost": "above", "beside_cost": "beside"}
_LEFT_COLOURS = {"above_cost": LOSS, "beside_cost": INK}
_COLOURS = {"uphill": GAIN, "level": INK, "downhill": LOSS}
_DASHES = {"uphill": [1, 0], "level": [6, 4], "downhill": [1, 0]}
_AIMED_FT = (5.0, 10.0, 20.0, 30.0)
_TOLD_FT = (15.0, 30.0)
_TICKS_FT = (3, 5, 10, 20, 40, 60)
# A smaller cost, putts, is shown as nothing.
_ZERO = 0.005


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
    slopes = SLOPES if plan.grade else _FLAT
    body = render(
        "course",
        plan=plan,
        player=player,
        source=source,
        stimp=f"{plan.stimp_ft:g}\u00a0ft",
        grade=f"{100 * plan.grade:g}\u00a0%",
        told=_told(plan.approach),
        aims=_aims(plan.aims, slopes),
        aimed=[f"{at:g}" for at in _AIMED_FT],
        lags=[(said, _lag(plan.lag_from_ft[slope])) for slope, said in slopes.items()],
        lag_cost=f"{LAG_COST:g}",
        charge=f"{CHARGE_FT:g}",
        charts=[
            *([approach_chart(plan.approach)] if plan.grade else []),
            aims_chart(plan.aims, slopes),
        ],
        approach=plan.approach.to_dicts(),
        costs=_costs(plan.aims, slopes),
        slopes=list(slopes.values()),
    )
    title = f"{player}: stimp {plan.stimp_ft:g} ft, slopes of {100 * plan.grade:g} %"
    return Page(title, body).html()


def _told(approach: pl.DataFrame) -> list[dict[str, Any]]:
    """What being beside and above the hole costs from the lengths named in words."""
    rows = approach.filter(pl.col("distance_ft").is_in(_TOLD_FT)).to_dicts()
    return [
        {
            "from": f"{row['distance_ft']:g}\u00a0ft",
            "beside": row["beside_cost"],
            "above": row["above_cost"],
        }
        for row in rows
        if abs(row["beside_cost"]) >= _ZERO
    ]


def _aims(aims: pl.DataFrame, slopes: Mapping[str, str]) -> list[dict[str, Any]]:
    """Best aims from a few lengths, a row for each slope."""
    best = {(row["slope"], row["distance_ft"]): row["best_aim_ft"] for row in aims.to_dicts()}
    return [
        {"slope": said, "aims": [_feet(best.get((slope, at))) for at in _AIMED_FT]}
        for slope, said in slopes.items()
    ]


def _feet(aim: float | None) -> str:
    """Feet past the hole, to a tenth: nobody paces finer."""
    return NONE if aim is None else signed(aim, 1)


def _lag(feet: float | None) -> str:
    return "not up to 60\u00a0ft" if feet is None else f"from {feet:g}\u00a0ft"


def _costs(aims: pl.DataFrame, slopes: Mapping[str, str]) -> list[dict[str, Any]]:
    """One row a length: best aim and what charging and dying it in cost, on each slope."""
    rows: dict[float, dict[str, Row]] = {}
    for row in aims.iter_rows(named=True):
        rows.setdefault(row["distance_ft"], {})[row["slope"]] = row
    return [
        {"from": f"{feet:g}", "slopes": [_cost(found[slope]) for slope in slopes]}
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
    """What leaving the approach beside or above the hole costs, by how far it is left.

    Parameters
    ----------
    approach : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    """
    rows = approach.select("distance_ft", *_LEFT).to_dicts()
    x = _lengths([row["distance_ft"] for row in rows])
    ends = [{"slope": name, "best_aim_ft": rows[-1][column]} for column, name in _LEFT.items()]
    reach = [row[column] for row in rows for column in _LEFT]
    places = _apart(ends, 0.075 * ((max(reach) - min(reach)) or 1.0))
    colours = {name: _LEFT_COLOURS[column] for column, name in _LEFT.items()}
    lines = [
        marks(rows)
        .mark_line(color=_LEFT_COLOURS[column], strokeWidth=2.5)
        .encode(x=x, y=alt.Y(f"{column}:Q", axis=_UP))
        for column in _LEFT
    ]
    names = [
        wording([row], "slope", bold=True, colour=colours[row["slope"]], align="left", dx=6).encode(
            **in_pixels(x=270), y=alt.Y("best_aim_ft:Q", axis=_UP)
        )
        for row in places
    ]
    zero = marks([{"zero": 0}]).mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q"))
    chart = layers(zero, *lines, *names, height=240, width=270, autosize={"type": "pad"})
    return Chart(
        id="above",
        question="What does being beside or above the hole cost?",
        words=describe_approach(approach),
        caption="Putts expected from there, less those from below the hole at the same length.",
        altair=chart,
    )


def describe_approach(approach: pl.DataFrame) -> str:
    """Say in words what being beside and above the hole costs."""
    told = [
        f"{row['distance_ft']:g}\u00a0ft {signed(row['beside_cost'])} and "
        f"{signed(row['above_cost'])}"
        for row in approach.filter(pl.col("distance_ft").is_in((6.0, *_TOLD_FT))).to_dicts()
        if abs(row["beside_cost"]) >= _ZERO
    ]
    if not told:
        return "By the model it makes no difference that could be felt."
    return f"Putts more than from as far below, beside and above: {', '.join(told)}."


def aims_chart(aims: pl.DataFrame, slopes: Mapping[str, str] = SLOPES) -> Chart:
    """How far past the hole to aim, a line for each slope.

    Parameters
    ----------
    aims : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    slopes : mapping
        Slopes to draw, with what they are called.
    """
    rows = [
        {**row, "slope": str(row["slope"])}
        for row in aims.select("slope", "distance_ft", "best_aim_ft").to_dicts()
        if row["slope"] in slopes
    ]
    feet = [row["distance_ft"] for row in rows]
    x, y = _lengths(feet), alt.Y("best_aim_ft:Q", axis=_UP)
    ends = [next(r for r in reversed(rows) if r["slope"] == slope) for slope in slopes]
    reach = [row["best_aim_ft"] for row in rows]
    places = _apart(ends, 0.075 * ((max(reach) - min(reach)) or 1.0))
    lines = [
        marks([row for row in rows if row["slope"] == slope])
        .mark_line(color=_COLOURS[slope], strokeWidth=2.5, strokeDash=_DASHES[slope])
        .encode(x=x, y=y)
        for slope in slopes
    ]
    names = [
        wording(
            [{**row, "said": slopes[row["slope"]]}],
            "said",
            bold=True,
            colour=_COLOURS[row["slope"]],
            align="left",
            dx=6,
        ).encode(**in_pixels(x=270), y=y)
        for row in places
    ]
    zero = marks([{"zero": 0}]).mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q"))
    chart = layers(zero, *lines, *names, height=240, width=270, autosize={"type": "pad"})
    return Chart(
        id="aims",
        question="How far past the hole should it stop?",
        words=describe_aims(aims, slopes),
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


def describe_aims(aims: pl.DataFrame, slopes: Mapping[str, str] = SLOPES) -> str:
    """Say in words how far past to aim from a short and a long putt on each slope."""
    told = []
    for slope, said in slopes.items():
        rows = aims.filter(pl.col("slope") == slope)
        short, long = (
            rows.filter(pl.col("distance_ft") == at)["best_aim_ft"].to_list() for at in (10, 30)
        )
        if short and long:
            told.append(f"{said} {_feet(short[0])} and {_feet(long[0])}")
    return f"From 10 and 30\u00a0ft, feet past the hole: {'; '.join(told)}."
