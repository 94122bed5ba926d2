"""Many players and seasons, in words and as JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import polars as pl

from sgputt.bulk.report import Bulk
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt_cli.output import interval, named, plural, say, signed, table, write_line

_PROBLEMS_SHOWN = 10
_SQUADS_BY_DISTANCE = 4
_HEADS = ["rounds", "gained", "90 % interval", "holing", "leaves", "3-putts"]
_PLAYER_HEADS = ["rounds", "gained", "shrunk", "90 % interval"]
_PARTS = ["holing", "leaves"]
_TABLES = ("squads", "squad_seasons", "distances", "players", "player_seasons", "problems")


def bulk_json(bulk: Bulk, files: int) -> dict[str, object]:
    """The form that scripts may rely on."""
    return {
        "baseline": bulk.against.name,
        "baseline_approximate": bulk.against.approximate,
        "files": files,
        "putts_read": bulk.read,
        "putts_counted_in": bulk.kept,
        "putts_left_out": bulk.read - bulk.kept,
        "problems_found": bulk.found,
        **{name: getattr(bulk, name).to_dicts() for name in _TABLES},
    }


def say_bulk_problems(bulk: Bulk, out: Path | None) -> None:
    """The first problems on stderr, and how many more there are."""
    for row in bulk.problems.head(_PROBLEMS_SHOWN).to_dicts():
        where = row["file"]
        where += f", row {row['row']}" if row["row"] is not None else ""
        where += f", column '{row['column']}'" if row["column"] is not None else ""
        stood = f"'{row['value']}'" if row["column"] is not None else row["value"]
        what = row["what"] or f"{stood}, where {row['allowed']} should stand"
        said = f"Problem: {where}: {what}. {row['hint']}"
        write_line(" ".join(said.split()), err=True)
    more = bulk.found - min(_PROBLEMS_SHOWN, bulk.problems.height)
    if more:
        see = "problems.csv" if out is not None else "them with --out FOLDER"
        write_line(f"{plural(more, 'more problem')}: see {see}.", err=True)


def say_bulk(bulk: Bulk, files: int, show: int) -> None:
    """What was read, squads, their seasons and distances, players, and doubts."""
    rounds = int(bulk.squads["rounds"].sum())
    say(
        f"{plural(files, 'file')}, {bulk.read:,} putts: {bulk.kept:,} in {rounds:,} rounds of"
        f" {bulk.players['player'].n_unique():,} players, {bulk.read - bulk.kept:,} left out."
    )
    say(f"Strokes gained a round of 18 holes, against {named(bulk.against)}.")
    say()
    if not rounds:
        return
    table(
        "Squads",
        ["squad", *_HEADS],
        [(row["squad"], *_figures(row)) for row in bulk.squads.to_dicts()],
    )
    if bulk.squad_seasons.height > bulk.squads.height:
        table(
            "Squads by season",
            ["squad", "season", *_HEADS],
            [
                (row["squad"], str(row["season"]), *_figures(row))
                for row in bulk.squad_seasons.to_dicts()
            ],
            left=2,
        )
    for squad in bulk.squads["squad"].head(_SQUADS_BY_DISTANCE):
        _say_distances(bulk.distances.filter(squad=squad), squad)
    _say_players(bulk.players, show)


def _figures(row: dict[str, Any]) -> tuple[str, ...]:
    return (
        f"{row['rounds']:,}",
        signed(row["per_round"]),
        interval(row["low"], row["high"]),
        signed(row["holing"]),
        signed(row["leave"]),
        f"{HOLES_IN_A_ROUND * row['three_putts'] / row['holes']:.2f}",
    )


def _say_distances(frame: pl.DataFrame, squad: str) -> None:
    table(
        f"{squad}: by length of putt",
        ["distance", "putts", "made", "expected", "gained", "holing", "leaves"],
        [
            (
                row["band"],
                f"{row['putts']:,}",
                f"{100 * row['made'] / row['putts']:.1f} %",
                f"{100 * row['expected_made'] / row['putts']:.1f} %",
                signed(row["per_round"]),
                signed(row["holing"]),
                signed(row["leave"]),
            )
            for row in frame.to_dicts()
        ],
    )


def _say_players(players: pl.DataFrame, show: int) -> None:
    ranked = players.drop_nulls("shrunk_per_round").sort(
        "shrunk_per_round", "squad", "player", descending=[True, False, False]
    )
    if ranked.is_empty() or not show:
        return
    several = players["squad"].n_unique() > 1
    shown, title = ranked, "Players"
    if ranked.height > show:
        shown = pl.concat([ranked.head(show - show // 2), ranked.tail(show // 2)])
        title = f"Players, the first {show - show // 2} and the last {show // 2} of"
        title += f" {ranked.height:,}; --out FOLDER writes all"
    table(
        title,
        ["squad", "player", *_PLAYER_HEADS] if several else ["player", *_PLAYER_HEADS, *_PARTS],
        [
            (
                *([row["squad"]] if several else []),
                row["player"],
                f"{row['rounds']:,}",
                signed(row["per_round"]),
                signed(row["shrunk_per_round"]),
                interval(row["shrunk_low"], row["shrunk_high"]),
                *([] if several else [signed(row["holing"]), signed(row["leave"])]),
            )
            for row in shown.to_dicts()
        ],
        left=2 if several else 1,
    )
    say(
        "Players are ranked by what is left when luck is taken out: strokes gained shrunk toward"
        " the mean of the squad, the more the fewer the rounds."
    )
