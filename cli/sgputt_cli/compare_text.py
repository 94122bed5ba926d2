"""A comparison, in words and as JSON."""

from __future__ import annotations

from dataclasses import asdict

from sgputt.season.compare import Comparison
from sgputt_cli.output import chances, interval, named, plural, say, signed, table


def comparison_json(found: Comparison, who: str) -> dict[str, object]:
    """The form that scripts may rely on."""
    return {
        "who": who,
        "baseline": found.against.name,
        "baseline_approximate": found.against.approximate,
        "first": asdict(found.first),
        "second": asdict(found.second),
        "difference": {
            "value": found.difference,
            "low": found.low,
            "high": found.high,
            "level": found.level,
        },
        "chance_second_better": found.chance_second_better,
        "told": found.told,
        "more_rounds": found.more_rounds,
        "words": found.words,
        "components": found.components.rename({"label": "component"}).to_dicts(),
        "distances": found.bands.rename({"label": "distance"}).to_dicts(),
    }


def say_comparison(found: Comparison, who: str) -> None:
    """Both sides, the difference, whether luck explains it, and where it lies."""
    say(f"{who}, strokes gained a round against {named(found.against)}")
    for place, side in (("first", found.first), ("second", found.second)):
        say(f"{place}: {side.name}, {plural(side.rounds, 'round')}, {signed(side.per_round)}")
    difference = f"Second less first: {signed(found.difference)}"
    if found.chance_second_better is not None:
        difference += f" (90 % interval {interval(found.low, found.high)})"
        difference += f"; second better: {chances(found.chance_second_better)}"
    say(f"{difference}.")
    say(found.words)
    say()
    _where(found)


def _where(found: Comparison) -> None:
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
