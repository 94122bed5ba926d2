"""``sgputt season``."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    import polars as pl

    from sgputt.practice.priorities import Priority
    from sgputt.season.misses import Reason
    from sgputt.season.scored import Scored
    from sgputt.season.stroke import StrokeReport
    from sgputt.season.summary import SeasonSummary
    from sgputt_cli.season_more import More
    from sgputt_reports.evidence import Evidence


@click.command("season")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "player", "baseline", "json")
@takes_which
def command(shared: Shared, which: Which, year: int | None, out: Path | None) -> None:
    """Summarise the rounds of a YEAR, or all, or the latest.

    \b
    Examples:
      sgputt season
      sgputt season 2026 --out season.html
      sgputt season --last 10
    """
    write_season(shared, year, out, which)


def write_season(
    shared: Shared, year: int | None, out: Path | None, which: Which | None = None
) -> None:
    """Print a season, or write it as JSON, and write its page where ``out`` names one."""
    from sgputt.practice.aim import aim_of
    from sgputt.practice.drills import load_drills
    from sgputt.practice.pass_mark import pass_mark
    from sgputt.practice.priorities import rank_priorities
    from sgputt.season.misses import why_missed
    from sgputt.season.summary import season_summary
    from sgputt_cli.output import write_file, write_json
    from sgputt_cli.practice_text import say_decision
    from sgputt_cli.season_evidence import season_evidence
    from sgputt_cli.season_more import say_course_of, say_figures, season_more
    from sgputt_cli.selection import select

    selection = select(shared, year, which)
    summary = season_summary(selection.scored, selection.player, selection.season)
    aim = aim_of(selection.scored.gained)
    priorities = rank_priorities(summary.cells, load_drills(), target=aim.target, own=aim.own)
    misses = why_missed(selection.scored)
    more = season_more(selection.scored)
    # The stroke takes most of a second to fit: only for what shows it.
    models = _models(selection.scored) if shared.as_json or out is not None else None
    if shared.as_json:
        assert models is not None
        write_json(_as_json(summary, priorities, misses, models, more))
    else:
        _show(summary)
        say_figures(more.figures)
        _show_distances(summary)
        say_course_of(more)
        _say_misses(misses)
        first = priorities[0].drill if priorities else None
        mark = pass_mark(first, aim.target, aim.own) if first else None
        if summary.putts_counted:
            say_decision(priorities, summary.rounds, mark, aim)
    if out is not None:
        assert models is not None
        evidence = season_evidence(shared, selection.player, selection.scored, more)
        page = _page(summary, priorities, misses, models, evidence)
        write_file(out, page, quiet=shared.as_json)


@dataclass(frozen=True)
class _Models:
    """What the models say of a season."""

    stroke: StrokeReport
    slopes: pl.DataFrame
    slope_assumption: str


def _models(scored: Scored) -> _Models:
    from sgputt.baseline.slope import slope_fair
    from sgputt.season.slopes import slope_table
    from sgputt.season.stroke import stroke_report

    fair = slope_fair(scored.baseline)
    return _Models(stroke_report(scored), slope_table(scored, fair), fair.assumption)


def _page(
    summary: SeasonSummary,
    priorities: list[Priority],
    misses: list[Reason],
    models: _Models,
    evidence: Evidence,
) -> str:
    from sgputt.practice.drills import load_caution
    from sgputt_reports.season import season_page

    return season_page(
        summary,
        priorities,
        caution=load_caution(),
        stroke=models.stroke,
        misses=misses,
        slopes=models.slopes,
        slope_assumption=models.slope_assumption,
        evidence=evidence,
    )


def _as_json(
    summary: SeasonSummary,
    priorities: list[Priority],
    misses: list[Reason],
    models: _Models,
    more: More,
) -> dict[str, object]:
    import polars as pl

    from sgputt_cli.practice_text import priority_json
    from sgputt_cli.season_more import more_json
    from sgputt_cli.stroke_text import stroke_json

    gained = summary.strokes_gained
    return {
        "player": summary.player,
        "season": summary.season,
        "baseline": summary.against.name,
        "baseline_approximate": summary.against.approximate,
        "rounds": summary.rounds,
        "holes": summary.holes,
        "putts": summary.putts,
        "putts_per_round": summary.putts_per_round,
        "three_putts_per_round": summary.three_putts_per_round,
        "strokes_gained_per_round": {
            "value": gained.value,
            "low": gained.low,
            "high": gained.high,
            "level": gained.level,
        },
        "cells": summary.cells.filter(pl.col("slope") != "unknown").to_dicts(),
        **more_json(more),
        "misses": [_reason_json(each) for each in misses],
        "slopes": models.slopes.to_dicts(),
        "stroke": stroke_json(models.stroke),
        "priorities": [priority_json(each) for each in priorities],
    }


def _reason_json(reason: Reason) -> dict[str, object]:
    from math import isnan

    return {
        name: None if isinstance(value, float) and isnan(value) else value
        for name, value in asdict(reason).items()
    }


def _show(summary: SeasonSummary) -> None:
    from sgputt_cli.output import interval, named, plural, say, signed
    from sgputt_cli.practice_text import NOTHING_COUNTS

    gained = summary.strokes_gained
    played = f"{plural(summary.rounds, 'round')}, {plural(summary.holes, 'hole')}"
    say(f"{summary.player}, {summary.season}: {played}")
    if not summary.putts_counted:
        say(NOTHING_COUNTS)
        return
    say(
        f"Strokes gained a round against {named(summary.against)}: {signed(gained.value)}"
        f" (90 % interval {interval(gained.low, gained.high)})"
    )
    say(f"Holing {signed(summary.holing.value)}, leaves {signed(summary.leave.value)}")
    say(
        f"{summary.putts_per_round:.1f} putts and {summary.three_putts_per_round:.1f}"
        " three-putts a round of 18 holes"
    )


def _show_distances(summary: SeasonSummary) -> None:
    from sgputt_cli.output import interval, signed, table

    if not summary.putts_counted:
        return
    table(
        "Strokes gained a round by distance",
        ["distance", "putts", "gained", "90 % interval"],
        [
            (
                row["distance"],
                str(row["putts"]),
                signed(row["per_round"]),
                interval(row["low"], row["high"]),
            )
            for row in summary.by_distance.iter_rows(named=True)
            if row["putts"]
        ],
    )


def _say_misses(misses: list[Reason]) -> None:
    """Why putts missed, in a few lines."""
    from sgputt_cli.output import plural, say, signed

    known = [each for each in misses if each.reason != "unknown"]
    if not known:
        if misses:
            say("Why putts miss: not written on the cards (short, past, left, right, high, low).")
        return
    shares = ", ".join(f"{each.reason} {100 * each.share:.0f} %" for each in known)
    say(f"Why putts miss ({plural(sum(each.misses for each in known), 'putt')}): {shares}.")
    dearest = sorted(known, key=lambda each: -each.lost_per_round)[:2]
    costs = (f"{each.reason} {signed(-each.lost_per_round)}{_lost(each)}" for each in dearest)
    say(f"Dearest misses, strokes a round (holed putts win them back): {', '.join(costs)}.")
    for text in _miss_asides(misses, known):
        say(text)
    say("What a better start line or pace would bring: sgputt stroke")


def _lost(reason: Reason) -> str:
    from sgputt_cli.output import interval

    low, high = reason.lost_low, reason.lost_high
    return f" ({interval(-high, -low)})" if low is not None and high is not None else ""


def _miss_asides(misses: list[Reason], known: list[Reason]) -> list[str]:
    from sgputt_cli.output import plural

    asides = []
    said = sum(each.said for each in known)
    if said:
        agree = sum(each.agree for each in known)
        asides.append(f"Your own word for the cause agrees in {agree} of {said}.")
    unknown = sum(each.misses for each in misses if each.reason == "unknown")
    if unknown:
        asides.append(f"How they missed was not written for {plural(unknown, 'more putt')}.")
    return asides
