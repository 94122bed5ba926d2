"""Many players and seasons from Parquet putts: worked out, in words, as JSON and as tables."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Executor
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import click
import platformdirs
import polars as pl

from sgputt.baseline.catalogue import FITTED, PUBLIC
from sgputt.bulk.kept import Kept
from sgputt.bulk.putts_files import Source, find_sources
from sgputt.bulk.reduce import Task
from sgputt.bulk.report import Bulk, merge
from sgputt.bulk.run import processes, reduce_all
from sgputt.files import write_whole
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.wording import interval, plural, signed
from sgputt_cli.baselines import chosen_baseline
from sgputt_cli.options import Shared
from sgputt_cli.output import baseline_words, counter, say, table, write_json, write_line
from sgputt_reports.bulk_tables import bulk_tables
from sgputt_reports.tables import to_csv

# Smaller files are reduced sooner than further processes would have started.
_WORTH_PROCESSES = 32 * 1024**2
_PROBLEMS_SHOWN = 10
_SQUADS_BY_DISTANCE = 4
_HEADS = ["rounds", "gained", "90 % interval", "holing", "leaves", "3-putts"]
_PLAYER_HEADS = ["rounds", "gained", "shrunk", "90 % interval"]
_PARTS = ["holing", "leaves"]
_TABLES = ("squads", "squad_seasons", "distances", "players", "player_seasons", "problems")


def write_bulk(
    shared: Shared, paths: tuple[Path, ...], out: Path | None, show: int, how: dict[str, Any]
) -> None:
    """Sum up the files and say it, or write it as JSON, and tables; status 1 after a problem."""
    bulk, files = _worked_out(shared, paths, **how)
    _say_problems(bulk, out)
    if shared.as_json:
        write_json(_as_json(bulk, files))
    else:
        _say_bulk(bulk, files, show)
    if out is not None:
        out.mkdir(parents=True, exist_ok=True)
        for each in bulk_tables(bulk):
            path = out / f"{each.name}.csv"
            write_whole(path, to_csv(each))
            if not shared.as_json:
                write_line(f"Wrote {path}")
    raise click.exceptions.Exit(1 if bulk.found else 0)


def _worked_out(
    shared: Shared,
    paths: tuple[Path, ...],
    keep_good_holes: bool,
    parts: Path | None,
    fresh: bool,
    workers: int | None,
    address: str | None,
) -> tuple[Bulk, int]:
    if workers is not None and address is not None:
        raise click.UsageError("--cluster has workers of its own: leave --workers out.")
    sources = find_sources(paths)
    if shared.baseline in FITTED:
        raise click.UsageError(
            f"'{shared.baseline}' is fitted to the archive. Choose one of: {', '.join(PUBLIC)}."
        )
    task = Task(chosen_baseline(shared), keep_good_holes)
    cache = Path(platformdirs.user_cache_dir("sgputt", appauthor=False)) / "bulk"
    kept = Kept(parts or cache, task)
    done = 0
    try:
        with _executor(sources, workers, address) as pool, counter(len(sources), "Files") as step:

            def one_more(source: Source) -> None:
                nonlocal done
                done += 1
                step()

            reduced = reduce_all(sources, task, kept, pool, one_more, fresh, _say_not_kept)
    except KeyboardInterrupt:
        click.echo(f"{done} of {len(sources)} files are done and kept.", err=True)
        click.echo("The same command goes on from there.", err=True)
        raise
    return merge(sources, reduced, task), len(sources)


def _say_not_kept(why: str) -> None:
    write_line(f"Note: finished files are no longer kept: {why}.", err=True)


def _executor(
    sources: Sequence[Source], workers: int | None, address: str | None
) -> AbstractContextManager[Executor | None]:
    if address is not None:
        # Dask is an extra that need not be installed.
        from sgputt.bulk.run import cluster

        return cluster(address)
    if workers is None:
        size = sum(each.size for each in sources)
        workers = (os.cpu_count() or 1) if size > _WORTH_PROCESSES else 1
    return processes(min(workers, len(sources)))


def _as_json(bulk: Bulk, files: int) -> dict[str, object]:
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


def _say_problems(bulk: Bulk, out: Path | None) -> None:
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


def _say_bulk(bulk: Bulk, files: int, show: int) -> None:
    """What was read, squads, their seasons and distances, players, and doubts."""
    rounds = int(bulk.squads["rounds"].sum())
    players = plural(bulk.players["player"].n_unique(), "player")
    say(
        f"{plural(files, 'file')}, {plural(bulk.read, 'putt')}: {bulk.kept:,} in"
        f" {plural(rounds, 'round')} of {players}, {bulk.read - bulk.kept:,} left out."
    )
    say(f"Strokes gained a round of 18 holes, against {baseline_words(bulk.against)}.")
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
