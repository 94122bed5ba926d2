"""``sgputt course``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.course.plan import CoursePlan

_SHOWN_FT = (3, 6, 10, 15, 20, 30, 40)


@click.command("course")
@click.option("--stimp", "stimp_ft", type=float, default=10.0, help="Green speed, feet (10).")
@click.option("--grade", "percent", type=float, default=2.5, help="Typical slope, per cent (2.5).")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "player", "json")
def command(shared: Shared, stimp_ft: float, percent: float, out: Path | None) -> None:
    """Prepare a course: what its green speed and slopes mean.

    What leaving the approach above the hole costs, how far past the hole to
    aim, and from where to stop trying to hole it. A model, on your own line and
    pace; for use before or after the round.

    \b
    Examples:
      sgputt course --stimp 11 --grade 2
      sgputt course --stimp 11 --out course.html
    """
    from sgputt.course.plan import course_plan
    from sgputt.errors import SgputtError
    from sgputt_cli.output import write_file, write_json
    from sgputt_cli.selection import own_stroke

    player, stroke, source = own_stroke(shared)
    try:
        plan = course_plan(stroke, stimp_ft, percent / 100)
    except SgputtError as exc:
        raise click.UsageError(str(exc)) from exc
    if shared.as_json:
        write_json(_as_json(plan, player, source))
    else:
        _show(plan, player, source)
    if out is not None:
        write_file(out, _page(plan, player, source), quiet=shared.as_json)


def _page(plan: CoursePlan, player: str, source: str) -> str:
    from sgputt_reports.course import course_page

    return course_page(plan, player, source)


def _as_json(plan: CoursePlan, player: str, source: str) -> dict[str, object]:
    return {
        "player": player,
        "stroke": {"line_deg": plan.stroke.line_deg, "pace_share": plan.stroke.pace},
        "stroke_from": source,
        "stimp_ft": plan.stimp_ft,
        "grade": plan.grade,
        "approach": plan.approach.to_dicts(),
        "aims": plan.aims.to_dicts(),
        "lag_from_ft": plan.lag_from_ft,
        "assumption": plan.assumption,
    }


def _show(plan: CoursePlan, player: str, source: str) -> None:
    import polars as pl

    from sgputt_cli.output import say, signed, table

    say(f"{player}: stimp {plan.stimp_ft:g} ft, slopes of {100 * plan.grade:g} % ({source})")
    say()
    table(
        "Leaving the approach above or below the hole (expected putts)",
        ["length", "below, uphill", "above, downhill", "above costs"],
        [
            (f"{ft:g} ft", f"{up:.2f}", f"{down:.2f}", f"{cost:.2f}")
            for ft, up, _, down, cost in plan.approach.iter_rows()
            if ft in _SHOWN_FT
        ],
    )
    rows = plan.aims.filter(pl.col("distance_ft").is_in([float(ft) for ft in _SHOWN_FT]))
    table(
        "How far past the hole to aim, and what charging or dying it in costs (putts)",
        ["slope", "length", "aim past", "charge: 3 ft past", "die: 3 in past"],
        [
            (slope, f"{ft:g} ft", f"{signed(aim)} ft", f"{charge:.2f}", f"{die:.2f}")
            for slope, ft, aim, _, charge, die in rows.iter_rows()
        ],
    )
    for slope, ft in plan.lag_from_ft.items():
        where = "not up to 60 ft" if ft is None else f"from {ft:g} ft"
        say(f"Stop trying to hole it, {slope}: {where}.")
    say(plan.assumption)
    say("For use before or after the round, not during it (Rule 4.3a and local rules).")
