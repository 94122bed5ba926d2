"""The page of a round: what each hole and each putt gained or lost."""

from __future__ import annotations

from typing import Any

import altair as alt
import polars as pl

from sgputt.analysis.round import RoundAnalysis, RoundReport
from sgputt.wording import LEAST_SHOWN, NOTHING_COUNTS, day, signed
from sgputt_reports.charts import GAIN, INK, LOSS, SIGNED_TICKS, Chart, layers, marks, unchecked
from sgputt_reports.page import Page, render
from sgputt_reports.plans import drill_plan
from sgputt_reports.season_charts import distance_chart

# The least that counts as a loss or gain in words.
_WORTH_A_WORD = 0.05
_MOST_COSTLY = 3
_UNKNOWN = ("unknown", "none", None)


def round_page(
    analysis: RoundAnalysis, shown_in: str = "feet", with_next_drill: bool = True
) -> str:
    """Write the page of a round.

    Parameters
    ----------
    analysis : RoundAnalysis
    shown_in : str
        ``feet`` or ``metres``.
    with_next_drill : bool
        Whether it ends with the next drill, which all rounds of the season decide.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    report = analysis.report
    priorities = analysis.season.priorities if with_next_drill else []
    holes = _holes(report)
    body = render(
        "round",
        report=report,
        counts=analysis.counts,
        nothing=NOTHING_COUNTS,
        title=_title(report),
        priorities=priorities,
        decided=analysis.season.decision,
        plan=drill_plan(priorities[0].drill, shown_in) if priorities else None,
        caution=analysis.season.caution if priorities else "",
        verdict=_verdict(report.strokes_gained),
        remarks=_remarks(report),
        not_split=abs(report.not_split) >= LEAST_SHOWN,
        charts=[holes_chart(report.holes_table), distance_chart(analysis.by_distance)]
        if analysis.counts
        else [],
        costliest=_costliest(report.putts_table),
        holes=holes,
        all_holed=all(hole["ending"] == "holed" and not hole["left_out"] for hole in holes),
        has_par=report.holes_table["par"].null_count() < len(holes),
        putts=[_putt(row) for row in report.putts_table.iter_rows(named=True)],
    )
    return Page(f"{report.player}: {_title(report)}", body, shown_in=shown_in).html()


@unchecked
def holes_chart(holes: pl.DataFrame) -> Chart:
    """Strokes gained at each hole, a column a hole.

    Parameters
    ----------
    holes : polars.DataFrame
        ``hole, putts, strokes_gained``, as in a round's report.
    """
    rows = [
        {
            "hole": str(row["hole"]),
            "gained": row["strokes_gained"],
            "ink": LOSS if row["strokes_gained"] < 0 else GAIN,
        }
        for row in holes.iter_rows(named=True)
        if row["strokes_gained"] is not None
    ]
    x = alt.X("hole:N", sort=None, axis=alt.Axis(title="hole", labelAngle=0, labelFontSize=11))
    y = alt.Y("gained:Q", axis=alt.Axis(title=None, grid=True, tickCount=5, labelExpr=SIGNED_TICKS))
    told = ", ".join(f"{row['hole']} {signed(row['gained'], 1)}" for row in rows)
    columns = marks(rows).mark_bar()
    return Chart(
        id="by-hole",
        question="Where did the round go?",
        words=f"Strokes gained at each hole: {told}.",
        caption="Strokes gained at each hole: what is above the line was won.",
        altair=layers(
            columns.encode(x=x, y=y, color=alt.Color("ink:N", scale=None)),
            marks([{"zero": 0}]).mark_rule(color=INK, strokeWidth=1.5).encode(y=alt.Y("zero:Q")),
            height=250,
        ),
    )


def _title(report: RoundReport) -> str:
    second = f" (round {report.round})" if report.round > 1 else ""
    return f"{day(report.date)}{second}, {report.course}"


def _verdict(strokes: float) -> str:
    if abs(strokes) < _WORTH_A_WORD:
        return ""
    return "gain" if strokes > 0 else "loss"


def _remarks(report: RoundReport) -> dict[str, float]:
    """What is kept apart from the figures, where there is any."""
    kept = {
        "conceded": report.conceded if abs(report.conceded) >= LEAST_SHOWN else 0,
        "left_out": report.left_out,
        "off_green": report.off_green,
    }
    return {name: value for name, value in kept.items() if value}


def _holes(report: RoundReport) -> list[dict[str, Any]]:
    green = report.putts_table.filter(pl.col("surface") == "green").sort("hole", "putt")
    lengths: dict[int, list[float | None]] = {}
    for hole, feet in green.select("hole", "distance_ft").iter_rows():
        lengths.setdefault(hole, []).append(feet)
    return [
        {**row, "lengths": lengths.get(row["hole"], [])}
        for row in report.holes_table.iter_rows(named=True)
    ]


def _costliest(putts: pl.DataFrame) -> list[dict[str, Any]]:
    """The putts that lost most, costliest first."""
    lost = putts.filter(pl.col("counts"), pl.col("sg") <= -_WORTH_A_WORD).sort(
        "sg", maintain_order=True
    )
    return [_putt(row) for row in lost.head(_MOST_COSTLY).iter_rows(named=True)]


def _putt(row: dict[str, Any]) -> dict[str, Any]:
    off_green = row["surface"] == "off green"
    missed = row["result"] == "missed"
    how = _known(row["miss_pace"], row["miss_side"], row["cause"]) if missed else []
    return {
        "hole": row["hole"],
        "putt": row["putt"],
        "distance_ft": row["distance_ft"],
        "lie": ", ".join(_known(row["slope"], row["break"])),
        "result": "off green" if off_green else row["result"],
        "missed": ", ".join(how),
        "leave_ft": row["leave_ft"] if missed else None,
        "sg": row["sg"],
    }


def _known(*words: str | None) -> list[str]:
    return [word for word in words if word is not None and word not in _UNKNOWN]
