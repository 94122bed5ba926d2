"""Finding files of putts and reading them, so many rows at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from sgputt.errors import SgputtError
from sgputt.gained.runs import first_rows, run_of
from sgputt.putts.table import PUTT_KEY, REQUIRED, ROUND_KEY

ROW = "row"
SQUAD = "squad"
ENDING = ".parquet"
# Under half a gigabyte of memory while they are worked on (measured).
ROWS_AT_ONCE = 2_000_000
MOST_OF_A_ROUND = 10_000
_NEEDED = (*REQUIRED, "date")
# Columns of the putts table that strokes gained need.
PUTTS = (*PUTT_KEY, "distance_ft", "leave_ft", "result", "slope", "surface")


class UnreadableError(SgputtError):
    """A file of putts that cannot be used at all."""


@dataclass(frozen=True)
class Source:
    """A file of putts, by the name it goes by in what is said of it."""

    name: str
    path: Path

    def mark(self) -> str | None:
        """What changes when the file does; None where it cannot be looked at.

        Its full name, which file it is, its size, and when it was last written to or replaced.
        """
        try:
            found = self.path.stat()
        except OSError:
            return None
        state = (found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)
        return " ".join(map(str, (self.path.absolute(), *state)))


def find_sources(paths: Sequence[Path]) -> list[Source]:
    """All Parquet files among these files and, at any depth, in these folders, sorted by name.

    Raises
    ------
    SgputtError
        A path does not exist, or there is no such file.
    """
    found: dict[Path, Source] = {}
    for path in paths:
        if path.is_dir():
            for each in path.rglob(f"*{ENDING}"):
                if each.is_file():
                    whole = each.absolute()
                    found.setdefault(whole, Source(str(each.relative_to(path)), whole))
        elif path.exists():
            found.setdefault(path.absolute(), Source(path.name, path.absolute()))
        else:
            raise SgputtError(f"There is no file or folder {path}.", "Name Parquet files of putts.")
    if not found:
        raise SgputtError(
            f"There is no {ENDING} file in {', '.join(map(str, paths))}.",
            "Write one with: sgputt export --what putts --out putts.parquet",
        )
    return sorted(found.values(), key=lambda each: (each.name, str(each.path)))


def read_slices(source: Source, rows_at_once: int = ROWS_AT_ONCE) -> Iterator[pl.DataFrame]:
    """Rows of a file as they are written, at most so many at a time, holes and rounds whole.

    The rows of a round must stand together where the file has more rows than that. ``row`` counts
    the rows of the file from 1; columns that are not used are not read.

    Raises
    ------
    UnreadableError
        The file is no Parquet file, or lacks a column that is needed.
    """
    try:
        file = pl.scan_parquet(source.path, row_index_name=ROW, row_index_offset=1)
        names = file.collect_schema().names()
        rows = file.select(pl.len()).collect().item()
        _refuse_missing(names)
        used = file.select(ROW, *(name for name in (*PUTTS, SQUAD) if name in names))
        held, seen = used.head(0).collect(), None
        for start in range(0, max(rows, 1), rows_at_once):
            part = used.slice(start, rows_at_once).collect(engine="in-memory")
            whole, held = pl.concat([held, part]), held.clear()
            if start + rows_at_once < rows:
                whole, held = _cut(whole)
            if rows > rows_at_once:
                seen = _seen_once(seen, whole)
            yield whole
    except (pl.exceptions.PolarsError, OSError) as exc:
        said = str(exc).splitlines()[0] if str(exc) else type(exc).__name__
        raise UnreadableError(
            f"it cannot be read as Parquet: {said}", "Write it anew, or take it out of the folder."
        ) from exc


def rows_of(source: Source) -> int:
    """Rows of a file; 0 where that cannot be read."""
    try:
        return int(pl.scan_parquet(source.path).select(pl.len()).collect().item())
    except (pl.exceptions.PolarsError, OSError):
        return 0


def _refuse_missing(names: Sequence[str]) -> None:
    missing = [name for name in _NEEDED if name not in names]
    if missing:
        raise UnreadableError(
            f"there is no column {', '.join(missing)}",
            f"Needed are {', '.join(_NEEDED)}; here are {', '.join(names)}.",
        )


def _cut(part: pl.DataFrame) -> tuple[pl.DataFrame, pl.DataFrame]:
    """The rows before the last round, and that round, which may go on in the rows to come."""
    run = run_of(part, _keys(part))
    at = int(first_rows(run)[-1])
    if part.height - at > MOST_OF_A_ROUND:
        raise UnreadableError(
            f"row {part[ROW][at]} starts a round of more than {MOST_OF_A_ROUND} putts",
            "Give each round its player, date and number.",
        )
    return part.head(at), part.tail(part.height - at)


def _seen_once(seen: pl.DataFrame | None, rows: pl.DataFrame) -> pl.DataFrame:
    """Rounds seen so far; one that comes a second time is refused, for its holes may be cut."""
    keys = _keys(rows)
    now = rows.select(keys).unique(maintain_order=True)
    if seen is None:
        return now
    again = now.join(seen, on=keys, how="semi", nulls_equal=True, maintain_order="left")
    if again.height:
        which = ", ".join(str(value) for value in again.row(0))
        raise UnreadableError(
            f"rows of one round stand apart: {which}",
            "Sort the file by player, date, round, hole and putt.",
        )
    return pl.concat([seen, now])


def _keys(rows: pl.DataFrame) -> list[str]:
    return [name for name in ROUND_KEY if name in rows.columns]
