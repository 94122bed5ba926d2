"""``sgputt bulk``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor
    from contextlib import AbstractContextManager

    from sgputt.baseline.curve import Baseline
    from sgputt.bulk.putts_files import Source
    from sgputt.bulk.report import Bulk

# Smaller files are reduced sooner than further processes would have started.
_WORTH_PROCESSES = 32 * 1024**2
_PLAYERS_SHOWN = 20


@click.command("bulk")
@click.argument(
    "paths", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="PATH..."
)
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the tables, as CSV.")
@click.option("--keep-good-holes", is_flag=True, help="Leave out only the holes with a problem.")
@click.option(
    "--parts", type=click.Path(path_type=Path), help="Folder for finished files (your cache)."
)
@click.option("--fresh", is_flag=True, help="Reduce every file, also those finished before.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes to share the files.")
@click.option("--cluster", "address", metavar="ADDRESS", help="Scheduler of a Dask cluster.")
@click.option(
    "--show", type=click.IntRange(0), default=_PLAYERS_SHOWN, help="Players to list (20)."
)
@takes_shared("baseline", "json")
def command(
    shared: Shared,
    paths: tuple[Path, ...],
    out: Path | None,
    show: int,
    **how: Any,
) -> None:
    """Sum up many players and seasons from Parquet putts.

    Each PATH is a file or a folder. Every row is checked; a round with a
    problem is left out and said. A stopped run goes on where it was.

    \b
    Examples:
      sgputt bulk putts.parquet
      sgputt bulk seasons --out figures
    """
    from sgputt_cli.bulk_text import bulk_json, say_bulk, say_bulk_problems
    from sgputt_cli.output import write_json

    if out is not None and out.exists() and not out.is_dir():
        raise click.UsageError(f"{out} is a file. Name a folder for the tables.")
    bulk, files = _worked_out(shared, paths, **how)
    say_bulk_problems(bulk, out)
    if shared.as_json:
        write_json(bulk_json(bulk, files))
    else:
        say_bulk(bulk, files, show)
    if out is not None:
        _write(bulk, out, quiet=shared.as_json)
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
    from sgputt.bulk.kept import Kept
    from sgputt.bulk.putts_files import find_sources
    from sgputt.bulk.reduce import Task
    from sgputt.bulk.report import merge
    from sgputt.bulk.run import reduce_all
    from sgputt_cli.progress import counter

    if workers is not None and address is not None:
        raise click.UsageError("--cluster has workers of its own: leave --workers out.")
    sources = find_sources(paths)
    task = Task(_baseline(shared), keep_good_holes)
    kept = Kept(parts or _cache(), task)
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
    from sgputt_cli.output import write_line

    write_line(f"Note: finished files are no longer kept: {why}.", err=True)


def _baseline(shared: Shared) -> Baseline:
    from sgputt.baseline.catalogue import FITTED, PUBLIC

    if shared.baseline in FITTED:
        raise click.UsageError(
            f"'{shared.baseline}' is fitted to the archive. Choose one of: {', '.join(PUBLIC)}."
        )
    return shared.get_baseline()


def _cache() -> Path:
    import platformdirs

    return Path(platformdirs.user_cache_dir("sgputt", appauthor=False)) / "bulk"


def _executor(
    sources: Sequence[Source], workers: int | None, address: str | None
) -> AbstractContextManager[Executor | None]:
    import os

    from sgputt.bulk.run import processes

    if address is not None:
        from sgputt.bulk.cluster import cluster

        return cluster(address)
    if workers is None:
        size = sum(each.size for each in sources)
        workers = (os.cpu_count() or 1) if size > _WORTH_PROCESSES else 1
    return processes(min(workers, len(sources)))


def _write(bulk: Bulk, out: Path, quiet: bool) -> None:
    from sgputt.files import write_whole
    from sgputt_cli.output import write_line
    from sgputt_reports.bulk_tables import bulk_tables
    from sgputt_reports.export_forms import to_csv

    out.mkdir(parents=True, exist_ok=True)
    for each in bulk_tables(bulk):
        path = out / f"{each.name}.csv"
        write_whole(path, to_csv(each))
        if not quiet:
            write_line(f"Wrote {path}")
