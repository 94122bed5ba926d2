"""A course plan at the terminal."""

from __future__ import annotations

from pathlib import Path

import click
import polars as pl

from sgputt.course.plan import DIRECTIONS, CoursePlan, course_plan
from sgputt.errors import SgputtError
from sgputt.wording import RULE, signed
from sgputt_cli.greens import own_stroke, read_slope, read_stimp
from sgputt_cli.output import say, say_lengths_in, table, write_file, write_json
from sgputt_cli.shared import Shared

_SHOWN_FT = [3.0, 6.0, 10.0, 15.0, 20.0, 30.0, 40.0]
_SAID = {"uphill": "uphill", "level": "across", "downhill": "downhill"}


def write_course(shared: Shared, stimp: str, grade: str, out: Path | None) -> None:
    """Print a course plan, or write it as JSON; and its page where one is wanted."""
    stimp_ft, slope = read_stimp(stimp), read_slope(grade)
    player, stroke, source = own_stroke(shared)
    try:
        plan = course_plan(stroke, stimp_ft, slope)
    except SgputtError as exc:
        raise click.UsageError(str(exc)) from exc
    if shared.as_json:
        write_json(_as_json(plan, player, source))
    else:
        say_lengths_in(shared.settings().shown_in)
        _say_plan(plan, player, source)
    if out is not None:
        from sgputt_reports.course import course_page

        page = course_page(plan, player, source, shared.settings().shown_in)
        write_file(out, page, quiet=shared.as_json)


def _as_json(plan: CoursePlan, player: str, source: str) -> dict[str, object]:
    stroke = plan.stroke
    return {
        "player": player,
        "stroke": {
            "line_deg": stroke.direction_deg,
            "pace_share": stroke.pace,
            "read_share": stroke.read,
        },
        "stroke_from": source,
        "stimp_ft": plan.stimp_ft,
        "grade": plan.grade,
        "approach": plan.approach.to_dicts(),
        "aims": plan.aims.to_dicts(),
        "lag_from_ft": plan.lag_from_ft,
        "steepest_grade": plan.steepest,
        "assumption": plan.assumption,
    }


def _say_plan(plan: CoursePlan, player: str, source: str) -> None:
    say(f"{player}: stimp {plan.stimp_ft:g} ft, slopes of {100 * plan.grade:g} % ({source})")
    say()
    shown = pl.col("distance_ft").is_in(_SHOWN_FT)
    table(
        "Leaving the approach below, beside or above the hole (expected putts)",
        ["length", "below", "beside", "above", "beside costs", "above costs"],
        [
            (
                f"{row['distance_ft']:g} ft",
                *(f"{row[where]:.2f}" for where in ("below", "beside", "above")),
                *(signed(row[cost]) for cost in ("beside_cost", "above_cost")),
            )
            for row in plan.approach.filter(shown).iter_rows(named=True)
        ],
    )
    slopes = list(DIRECTIONS) if plan.grade else ["level"]
    said = _SAID if plan.grade else {"level": "level"}
    table(
        "How far past the hole to aim, and what charging or dying it in costs (putts)",
        ["slope", "length", "aim past", "charge: 3 ft past", "die: 3 in past"],
        [
            (
                said[row["slope"]],
                f"{row['distance_ft']:g} ft",
                f"{signed(row['best_aim_ft'], 1)} ft",
                f"{row['charge_cost']:.2f}",
                f"{row['die_cost']:.2f}",
            )
            for row in plan.aims.filter(shown & pl.col("slope").is_in(slopes)).iter_rows(named=True)
        ],
    )
    for slope in slopes:
        ft = plan.lag_from_ft[slope]
        where = "not up to 60 ft" if ft is None else f"from {ft:g} ft"
        say(f"Stop trying to hole it, {said[slope]}: {where}.")
    say(plan.limit)
    say(plan.assumption)
    say(RULE)
