"""``sgputt season``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.season.summary import SeasonSummary


@click.command("season")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "player", "baseline", "json")
def command(shared: Shared, year: int | None, out: Path | None) -> None:
    """Summarise the rounds of a YEAR, or all.

    \b
    Examples:
      sgputt season
      sgputt season 2026 --out season.html
    """
    write_season(shared, year, out)


def write_season(shared: Shared, year: int | None, out: Path | None) -> None:
    """Print a season, or write it as JSON, and write its page where ``out`` names one."""
    from sgputt.practice.drills import load_caution, load_drills
    from sgputt.practice.priorities import rank_priorities
    from sgputt.season.summary import season_summary
    from sgputt_cli.output import write_file, write_json
    from sgputt_cli.practice_text import priority_json, say_decision
    from sgputt_cli.selection import select

    selection = select(shared, year)
    summary = season_summary(selection.scored, selection.player, selection.season)
    priorities = rank_priorities(summary.cells, load_drills())
    if shared.as_json:
        write_json(
            {**_as_json(summary), "priorities": [priority_json(each) for each in priorities]}
        )
    else:
        _show(summary)
        say_decision(priorities, summary.rounds)
    if out is not None:
        from sgputt_reports.season import season_page

        page = season_page(summary, priorities, caution=load_caution())
        write_file(out, page, quiet=shared.as_json)


def _as_json(summary: SeasonSummary) -> dict[str, object]:
    import polars as pl

    gained = summary.strokes_gained
    return {
        "player": summary.player,
        "season": summary.season,
        "baseline": summary.against.name,
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
    }


def _show(summary: SeasonSummary) -> None:
    from sgputt_cli.output import interval, plural, say, signed, table

    gained = summary.strokes_gained
    played = f"{plural(summary.rounds, 'round')}, {plural(summary.holes, 'hole')}"
    say(f"{summary.player}, {summary.season}: {played}")
    say(
        f"Strokes gained a round against {summary.against.name}: {signed(gained.value)}"
        f" (90 % interval {interval(gained.low, gained.high)})"
    )
    say(f"Holing {signed(summary.holing.value)}, leaves {signed(summary.leave.value)}")
    say(
        f"{summary.putts_per_round:.1f} putts and {summary.three_putts_per_round:.1f}"
        " three-putts a round of 18 holes"
    )
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
