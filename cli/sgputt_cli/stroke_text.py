"""The stroke model's findings, in words and as JSON."""

from __future__ import annotations

from dataclasses import asdict
from math import degrees

from sgputt.season.stroke import StrokeReport
from sgputt.stroke.fit import StrokeFit
from sgputt_cli.output import interval, say, signed, table


def stroke_json(report: StrokeReport) -> dict[str, object]:
    """Fits by slope and the worth of better, with the assumption."""
    return {
        "assumption": report.assumption,
        "too_few": report.too_few,
        "fits": {slope: _fit_json(fit) for slope, fit in report.fits.items()},
        "worth": [asdict(each) for each in report.worth],
    }


def _fit_json(fit: StrokeFit) -> dict[str, object]:
    return {
        "line_deg": fit.stroke.line_deg,
        "line_low_deg": degrees(fit.line_range[0]),
        "line_high_deg": degrees(fit.line_range[1]),
        "line_error_deg": degrees(fit.line_error),
        "pace_share": fit.stroke.pace,
        "pace_low_share": fit.pace_range[0],
        "pace_high_share": fit.pace_range[1],
        "pace_error_share": fit.pace_error,
        "level": fit.level,
        "putts": fit.putts,
        "misses": fit.misses,
        "leaves": fit.leaves,
    }


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
