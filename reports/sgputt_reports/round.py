"""The page of a round: what each hole and each putt gained or lost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import polars as pl

from sgputt.analysis.round import RoundReport
from sgputt.practice.priorities import Priority
from sgputt_reports.drill_plans import drill_plan
from sgputt_reports.format import day
from sgputt_reports.page import Page, render
from sgputt_reports.season_charts import distance_chart

# Shown as 0.00, nothing to say; and the least that counts as a loss or gain in words.
_ZERO, _WORTH_A_WORD = 0.005, 0.05
_MOST_COSTLY = 3
_UNKNOWN = ("unknown", "none", None)


def round_page(
    report: RoundReport,
    priorities: Sequence[Priority] = (),
    by_distance: pl.DataFrame | None = None,
    caution: str = "",
) -> str:
    """Write the page of a round.

    Parameters
    ----------
    report : RoundReport
    priorities : sequence of Priority
        Of the season; the first is shown as what to practise next.
    by_distance : polars.DataFrame, optional
        ``distance, putts, per_round, low, high`` of this round, for the chart.
    caution : str
        A word of care for practice, said once beside the drill.

    Returns
    -------
    str
        One HTML document that needs no other file, no network and no script.
    """
    holes = _holes(report)
    chart = None if by_distance is None else distance_chart(by_distance)
    body = render(
        "round",
        report=report,
        title=_title(report),
        priorities=priorities,
        plan=drill_plan(priorities[0].drill) if priorities else None,
        caution=caution,
        verdict=_verdict(report.strokes_gained),
        remarks=_remarks(report),
        not_split=abs(report.not_split) >= _ZERO,
        chart=chart,
        costliest=_costliest(report.putts_table),
        holes=holes,
        all_holed=all(hole["ending"] == "holed" and not hole["left_out"] for hole in holes),
        has_par=report.holes_table["par"].null_count() < len(holes),
        longest=report.holes_table["strokes_gained"].abs().max(),
        putts=[_putt(row) for row in report.putts_table.iter_rows(named=True)],
    )
    return Page(f"{report.player}: {_title(report)}", body).html()


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
        "conceded": report.conceded if abs(report.conceded) >= _ZERO else 0,
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
    return {
        "hole": row["hole"],
        "putt": row["putt"],
        "distance_ft": row["distance_ft"],
        "lie": ", ".join(_known(row["slope"], row["break"])),
        "result": "off green" if off_green else row["result"],
        "missed": ", ".join(_missed(row)),
        "leave_ft": row["leave_ft"] if row["result"] == "missed" else None,
        "sg": row["sg"],
        "holing": row["holing"],
        "leave": row["leave"],
    }


def _known(*words: str | None) -> list[str]:
    return [word for word in words if word is not None and word not in _UNKNOWN]


def _missed(row: dict[str, Any]) -> list[str]:
    words = _known(row["miss_pace"], row["miss_side"], row["cause"])
    return words if row["result"] == "missed" else []
