"""A comparison at the terminal."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import click
import polars as pl

from sgputt.analysis.comparison import Comparison, compare
from sgputt.wording import chances, interval, plural, signed
from sgputt_cli.baselines import chosen_baseline
from sgputt_cli.options import RoundFilter, Shared
from sgputt_cli.output import baseline_words, say, say_lengths_in, table, write_json
from sgputt_cli.selection import filtered, stored_rounds
from sgputt_cli.stored import settings_of


def write_comparison(
    shared: Shared,
    which: RoundFilter,
    years: tuple[int, ...],
    before: date | None,
    against: str | None,
) -> None:
    """Print a comparison of two periods or two players, or write it as JSON."""
    say_lengths_in(settings_of(shared).shown_in)
    if against is not None:
        who, found = _players(shared, which, years, against)
    else:
        who, found = _periods(shared, which, years, before)
    if shared.as_json:
        write_json(found.as_dict(who))
    else:
        say_comparison(found, who)


def _players(
    shared: Shared, which: RoundFilter, years: tuple[int, ...], against: str
) -> tuple[str, Comparison]:
    baseline = chosen_baseline(shared)
    both = [stored_rounds(each) for each in (shared, replace(shared, player=against))]
    names = (both[0].player, both[1].player)
    if names[0] == names[1]:
        raise click.UsageError(f"{names[0]} is compared with themselves. Name another player.")
    year = years[0] if years else None
    first, second = (filtered(each, which, year).score(baseline) for each in both)
    return "Two players", compare(first, second, names)


def _periods(
    shared: Shared, which: RoundFilter, years: tuple[int, ...], before: date | None
) -> tuple[str, Comparison]:
    baseline = chosen_baseline(shared)
    rounds = filtered(stored_rounds(shared), which)
    if before is None:
        parts = [rounds.filtered(year) for year in years]
        names = (str(years[0]), str(years[1]))
    else:
        names = (f"before {before}", f"from {before} on")
        day = pl.col("date")
        parts = [rounds.where(day < before, names[0]), rounds.where(day >= before, names[1])]
    first, second = (each.score(baseline) for each in parts)
    return rounds.player, compare(first, second, names, both=False)


def say_comparison(found: Comparison, who: str) -> None:
    """Both sides, the difference, whether luck explains it, and where it lies."""
    say(f"{who}, strokes gained a round against {baseline_words(found.against)}")
    for place, side in (("first", found.first), ("second", found.second)):
        say(f"{place}: {side.name}, {plural(side.rounds, 'round')}, {signed(side.per_round)}")
    difference = f"Second less first: {signed(found.difference)}"
    if found.chance_second_better is not None:
        difference += f" (90 % interval {interval(found.low, found.high)})"
        difference += f"; chance that the second is better: {chances(found.chance_second_better)}"
    say(f"{difference}.")
    say(found.words)
    say()
    rows = [*found.components.iter_rows(named=True), *found.bands.iter_rows(named=True)]
    table(
        "Where, strokes gained a round",
        ["", "putts", "first", "second", "difference", "90 % interval", "luck?"],
        [
            (
                row["label"],
                f"{row['putts_first']}, {row['putts_second']}",
                signed(row["first"]),
                signed(row["second"]),
                signed(row["difference"]),
                interval(row["low"], row["high"]),
                "no" if row["told"] else "may be",
            )
            for row in rows
        ],
    )
    say(
        "Luck? allows for looking at several rows at once. A distance picked because it was the"
        " worst tends to come back by itself."
    )
