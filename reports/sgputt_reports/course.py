"""The page of a course plan: where to leave approaches, how far past to aim, when to lag."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt
import polars as pl

from sgputt.course.plan import CHARGE_FT, LAG_COST, SLOPES_SAID, CoursePlan
from sgputt.putts.units import METRES_A_FOOT, unit_shown
from sgputt.stroke.from_above import putt_from_above
from sgputt.stroke.station import Station
from sgputt.wording import LEAST_SHOWN, NONE, number, signed
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
from sgputt_reports.page import Page, render
from sgputt_reports.plans import putt_chart

_FLAT = {"level": "level"}
_LEFT = {"above_cost": "above", "beside_cost": "beside"}
_LEFT_COLOURS = {"above_cost": LOSS, "beside_cost": INK}
_COLOURS = {"uphill": GAIN, "level": INK, "downhill": LOSS}
_DASHES = {"uphill": [1, 0], "level": [6, 4], "downhill": [1, 0]}
_AIMED_FT = (5.0, 10.0, 20.0, 30.0)
_TOLD_FT = (15.0, 30.0)
_DRAWN_FT = 8.0
_TICKS = {"feet": (3, 5, 10, 20, 40, 60), "metres": (1, 2, 3, 5, 10, 18)}


def course_page(plan: CoursePlan, player: str, source: str, shown_in: str = "feet") -> str:
    """Write the page of a course plan.

    Parameters
    ----------
    plan : CoursePlan
    player : str
        Whose stroke it is made for.
    source : str
        Where the stroke comes from, in words.
    shown_in : str
        ``feet`` or ``metres``.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    slopes = SLOPES_SAID if plan.grade else _FLAT
    body = render(
        "course",
        plan=plan,
        player=player,
        source=source,
        stimp=f"{plan.stimp_ft:.3g}\u00a0ft",
        grade=f"{100 * plan.grade:g}\u00a0%",
        told=_told(plan.approach),
        easier_above=_easier_above(plan.approach),
        unit=unit_shown(shown_in)[1],
        aims=_aims(plan.aims, slopes, shown_in),
        aimed=[f"{at:g}\u00a0ft" for at in _AIMED_FT],
        lags=[(said, _lag(plan.lag_from_ft[slope])) for slope, said in slopes.items()],
        lag_cost=f"{LAG_COST:g}",
        charge=f"{CHARGE_FT:g}",
        charts=[
            putt_chart(putt_from_above(plan.stroke, _drawn(plan)), shown_in),
            *([approach_chart(plan.approach, shown_in)] if plan.grade else []),
            aims_chart(plan.aims, slopes, shown_in),
        ],
        approach=plan.approach.to_dicts(),
        costs=_costs(plan.aims, slopes, shown_in),
        slopes=list(slopes.values()),
    )
    title = f"{player}: stimp {plan.stimp_ft:.3g} ft, slopes of {100 * plan.grade:g} %"
    return Page(title, body, shown_in=shown_in).html()


def _drawn(plan: CoursePlan) -> Station:
    """The putt that is drawn from above: across these slopes."""
    return Station(_DRAWN_FT, direction_deg=90.0, grade=plan.grade, stimp_ft=plan.stimp_ft)


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
        if abs(row["beside_cost"]) >= LEAST_SHOWN
    ]


def _easier_above(approach: pl.DataFrame) -> str | None:
    """Up to which length a putt from above takes fewer putts than one from below."""
    rows = approach.filter(pl.col("above_cost") <= -LEAST_SHOWN)
    lengths = rows["distance_ft"].to_list()
    return f"{max(lengths):g}\u00a0ft" if lengths else None


def _aims(aims: pl.DataFrame, slopes: Mapping[str, str], shown_in: str) -> list[dict[str, Any]]:
    """Best aims from a few lengths, a row for each slope."""
    best = {(row["slope"], row["distance_ft"]): row["best_aim_ft"] for row in aims.to_dicts()}
    return [
        {"slope": said, "aims": [_past(best.get((slope, at)), shown_in) for at in _AIMED_FT]}
        for slope, said in slopes.items()
    ]


def _past(aim_ft: float | None, shown_in: str = "feet") -> str:
    """How far past the hole, to a tenth of a foot or to 5 cm: nobody paces finer."""
    if aim_ft is None:
        return NONE
    if shown_in == "metres":
        return signed(round(aim_ft * METRES_A_FOOT * 20) / 20, 2)
    return signed(aim_ft, 1)


def _lag(feet: float | None) -> str:
    return "not up to 60\u00a0ft" if feet is None else f"from {feet:g}\u00a0ft"


def _costs(aims: pl.DataFrame, slopes: Mapping[str, str], shown_in: str) -> list[dict[str, Any]]:
    """One row a length: best aim and what charging and dying it in cost, on each slope."""
    rows: dict[float, dict[str, Row]] = {}
    for row in aims.iter_rows(named=True):
        rows.setdefault(row["distance_ft"], {})[row["slope"]] = row
    return [
        {"from": f"{feet:g}\u00a0ft", "slopes": [_cost(found[slope], shown_in) for slope in slopes]}
        for feet, found in rows.items()
    ]


def _cost(row: Row, shown_in: str) -> dict[str, str]:
    return {
        "aim": _past(row["best_aim_ft"], shown_in),
        "charge": number(row["charge_cost"], 2),
        "die": number(row["die_cost"], 2),
    }


def _lengths(feet: Sequence[float], shown_in: str, field: str = "distance_ft") -> alt.X:
    """An axis of lengths, each doubling as wide as the next."""
    unit, name = unit_shown(shown_in)
    ends = [min(feet), max(feet)]
    ticks = {at / unit: f"{at:g}" for at in _TICKS[shown_in] if ends[0] <= at / unit <= ends[1]}
    return alt.X(
        f"{field}:Q",
        scale=alt.Scale(type="log", domain=ends, nice=False),
        axis=labelled(ticks, f"length of the putt, {name}"),
    )


_UP = alt.Axis(title=None, grid=True, tickCount=5, labelExpr=SIGNED_TICKS)


@unchecked
def approach_chart(approach: pl.DataFrame, shown_in: str = "feet") -> Chart:
    """What leaving the approach beside or above the hole costs, by how far it is left.

    Parameters
    ----------
    approach : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    shown_in : str
        ``feet`` or ``metres``.
    """
    rows = approach.select("distance_ft", *_LEFT).to_dicts()
    x = _lengths([row["distance_ft"] for row in rows], shown_in)
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
        if abs(row["beside_cost"]) >= LEAST_SHOWN
    ]
    if not told:
        return "By the model it makes no difference that could be felt."
    return f"Putts more than from as far below, beside and above: {', '.join(told)}."


@unchecked
def aims_chart(
    aims: pl.DataFrame, slopes: Mapping[str, str] = SLOPES_SAID, shown_in: str = "feet"
) -> Chart:
    """How far past the hole to aim, a line for each slope.

    Parameters
    ----------
    aims : polars.DataFrame
        Of :class:`sgputt.course.plan.CoursePlan`.
    slopes : mapping
        Slopes to draw, with what they are called.
    shown_in : str
        ``feet`` or ``metres``.
    """
    unit, name = unit_shown(shown_in)
    rows = [
        {**row, "slope": str(row["slope"]), "best_aim_ft": row["best_aim_ft"] * unit}
        for row in aims.select("slope", "distance_ft", "best_aim_ft").to_dicts()
        if row["slope"] in slopes
    ]
    feet = [row["distance_ft"] for row in rows]
    x, y = _lengths(feet, shown_in), alt.Y("best_aim_ft:Q", axis=_UP)
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
        caption=f"Past the hole, {name}, should it miss, for the fewest putts. Below zero: short.",
        altair=chart,
    )


def _apart(rows: Sequence[Row], least: float) -> list[Row]:
    """The ends of the lines, moved apart where their names would meet."""
    moved: list[Row] = []
    for row in sorted(rows, key=lambda each: each["best_aim_ft"]):
        above = moved[-1]["best_aim_ft"] + least if moved else row["best_aim_ft"]
        moved.append({**row, "best_aim_ft": max(row["best_aim_ft"], above)})
    return moved


def describe_aims(aims: pl.DataFrame, slopes: Mapping[str, str] = SLOPES_SAID) -> str:
    """Say in words how far past to aim from a short and a long putt on each slope."""
    told = []
    for slope, said in slopes.items():
        rows = aims.filter(pl.col("slope") == slope)
        short, long = (
            rows.filter(pl.col("distance_ft") == at)["best_aim_ft"].to_list() for at in (10, 30)
        )
        if short and long:
            told.append(f"{said} {_past(short[0])}\u00a0ft and {_past(long[0])}\u00a0ft")
    return f"From 10 and 30\u00a0ft, past the hole: {'; '.join(told)}."
