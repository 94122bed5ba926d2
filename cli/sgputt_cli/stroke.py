"""A player's stroke at the terminal."""

from __future__ import annotations

from math import degrees

from sgputt.season.stroke import StrokeReport
from sgputt.stroke.fit import StrokeFit
from sgputt.wording import interval, signed
from sgputt_cli.output import say, table, write_json
from sgputt_cli.selection import select_season
from sgputt_cli.shared import Shared


def write_stroke(shared: Shared, year: int | None) -> None:
    """Print a player's stroke, or write it as JSON."""
    analysis = select_season(shared, year)
    if shared.as_json:
        write_json({"player": analysis.player, **analysis.stroke.as_dict()})
    else:
        say_stroke(analysis.stroke, analysis.player)


def say_stroke(report: StrokeReport, player: str) -> None:
    """Print the fits, what better is worth, and the assumption."""
    if report.fits:
        table(
            f"{player}: spread of start line and of pace, by a model (90 % intervals)",
            ["putts", "number", "line, degrees", "", "pace, % of length", ""],
            [_row(slope, fit) for slope, fit in report.fits.items()],
        )
    for text in report.too_few:
        say(text)
    if report.worth:
        say("Worth on your own first putts, strokes a round (90 % interval):")
    for each in report.worth:
        gained = f"{signed(each.value)} ({interval(each.low, each.high)})"
        say(f"  {each.part}, {each.change}: {gained}")
    say(report.assumption)


def _row(slope: str, fit: StrokeFit) -> tuple[str, ...]:
    line = [f"{degrees(each):.2f}" for each in fit.line_range]
    pace = [f"{100 * each:.1f}" for each in fit.pace_range]
    return (
        slope,
        str(fit.putts),
        f"{fit.stroke.line_deg:.2f}",
        f"{line[0]} to {line[1]}",
        f"{100 * fit.stroke.pace:.1f}",
        f"{pace[0]} to {pace[1]}",
    )
