"""The reduction of one file of putts: sums by round, and by player, season, band and slope."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from zlib import crc32

import numpy as np
import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.baseline.curve import Baseline
from sgputt.bulk.putts_files import (
    PROBLEMS_SCHEMA,
    ROW,
    SQUAD,
    Source,
    UnreadableError,
    problems_of,
    read_slices,
    rows_of,
    sift,
    typed,
)
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.runs import (
    NEW_RUN,
    Index,
    by_slices,
    count_between,
    first_rows,
    in_order,
    numbered,
    read_ahead,
    run_of,
    starts,
)
from sgputt.gained.sums import Cells, SumsByLength, cells_by_run, merge_sums
from sgputt.physics.roll import Array
from sgputt.putts.table import ROUND_KEY
from sgputt.safe_text import name_key

PLAYER_KEY = [SQUAD, "player", "season"]
PARTS = ("strokes_gained", "holing", "leave", "not_split", "conceded")
ROUND_COUNTS = ("holes", "putts", "counted", "one_putts", "three_putts")
_THREE = 3
# Parts are merged some players at a time, so that not all need to be in one memory.
BUCKETS = 16


@dataclass(frozen=True)
class Task:
    """What is done with every file.

    Attributes
    ----------
    baseline : Baseline
        The players compared with.
    holes_alone : bool
        Leave out only the holes with a problem, not the whole round.
    """

    baseline: Baseline
    holes_alone: bool = False


@dataclass(frozen=True)
class Part:
    """A file reduced.

    Attributes
    ----------
    rounds : polars.DataFrame
        One row a round, sorted: ``player, date, round, squad``, the counts ``holes, putts`` (from
        the green), ``counted`` (putts in skill figures), ``one_putts, three_putts``, and strokes
        ``strokes_gained, holing, leave, not_split, conceded``.
    cells : polars.DataFrame
        Sums of :data:`sgputt.gained.sums.SUMS` by ``squad, player, season`` (the year), ``band``
        and ``slope``.
    problems : polars.DataFrame
        Columns of :data:`sgputt.bulk.putts_files.PROBLEMS_SCHEMA`.
    found : int
        Problems, also those not listed.
    read, kept : int
        Rows of the file, and those in ``rounds``.
    """

    rounds: pl.DataFrame
    cells: pl.DataFrame
    problems: pl.DataFrame
    found: int
    read: int
    kept: int

    @property
    def squads(self) -> list[str]:
        """Squads in it, in the order of its rows."""
        return self.rounds[SQUAD].unique(maintain_order=True).to_list()

    @cached_property
    def _by_bucket(self) -> list[pl.DataFrame]:
        """Rounds and cells, bucket by bucket of players."""
        return [
            table.with_columns(bucket_of(table["player"]).alias("bucket")).sort(
                "bucket", maintain_order=True
            )
            for table in (self.rounds, self.cells)
        ]

    @property
    def heights(self) -> list[int]:
        """How many rounds it has of each bucket of players."""
        held = np.bincount(self._by_bucket[0]["bucket"], minlength=BUCKETS)
        return [int(rounds) for rounds in held]

    def rounds_of(self, buckets: range) -> pl.DataFrame:
        """Rounds of the players in some buckets, bucket by bucket."""
        return _in_buckets(self._by_bucket[0], buckets)

    def cells_of(self, buckets: range) -> pl.DataFrame:
        """Cells of the players in some buckets, bucket by bucket."""
        return _in_buckets(self._by_bucket[1], buckets)


def _in_buckets(table: pl.DataFrame, buckets: range) -> pl.DataFrame:
    return table.filter(pl.col("bucket").is_between(buckets.start, buckets.stop - 1)).drop("bucket")


def bucket_of(players: pl.Series) -> pl.Series:
    """Bucket of each player: names that are one are in the same, on every machine."""
    if players.is_empty():
        return pl.Series("player", dtype=pl.UInt8)
    names = players.unique()
    found = [crc32(name_key(name).encode("utf-8", "replace")) % BUCKETS for name in names]
    buckets = pl.Series(found, dtype=pl.UInt8)
    return players.replace_strict(names, buckets, return_dtype=pl.UInt8)


def reduce_file(source: Source, task: Task, without: pl.DataFrame | None = None) -> Part:
    """Reduce a file of putts.

    Parameters
    ----------
    source : Source
    task : Task
    without : polars.DataFrame, optional
        Rounds (``player, date, round``) to leave out, whose rows then count as read only.

    Returns
    -------
    Part
        Of a file that cannot be used, with nothing but its problem.
    """
    try:
        slices = read_ahead(read_slices(source))
        parts = [_reduced(rows, source.name, task, without) for rows in slices]
    except UnreadableError as exc:
        return _unused(source, exc)
    return _joined(parts)


def _reduced(rows: pl.DataFrame, file: str, task: Task, without: pl.DataFrame | None) -> Part:
    by_length = SumsByLength(task.baseline)

    def reduced(table: pl.DataFrame) -> tuple[int, tuple[pl.DataFrame, ...]]:
        good, wrong = sift(table, task.holes_alone)
        if without is not None:
            good = good.join(without, on=ROUND_KEY, how="anti", maintain_order="left")
        return good.height, (*_of_players(good, task.baseline, by_length), wrong)

    kept, tables = zip(*by_slices(typed(rows), ["player"], reduced), strict=True)
    rounds, cells, wrong = (pl.concat(each) for each in zip(*tables, strict=True))
    problems, found = problems_of(wrong, rows, file)
    return Part(rounds, cells, problems, found, read=rows.height, kept=sum(kept))


def _of_players(
    putts: pl.DataFrame, baseline: Baseline, by_length: SumsByLength
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Rounds, and sums by player, of putts in order."""
    run = numbered(putts[NEW_RUN].to_numpy())
    cells = by_length.cells(putts, run)
    if cells is not None:
        rounds = round_table(putts, run, cells)
    else:
        gained = strokes_gained(putts, baseline, in_order_already=True)
        cells = cells_by_run(gained, run)
        rounds = round_table(putts, run, cells, gained["conceded"].to_numpy())
    players = in_order(rounds.select(SQUAD, "player", season()).with_row_index("at"), PLAYER_KEY)
    group = run_of(players, PLAYER_KEY)
    of_round = np.empty_like(group)
    of_round[players["at"].to_numpy()] = group
    return rounds, cells.by(of_round).table(players.select(PLAYER_KEY)[first_rows(group)])


def round_table(
    putts: pl.DataFrame, run: Index, cells: Cells, conceded: Array | None = None
) -> pl.DataFrame:
    """One row a round, as :class:`Part` has it.

    Parameters
    ----------
    putts : polars.DataFrame
        With ``squad``, in order.
    run : ndarray, shape (putts,)
        Number of the round of each putt.
    cells : Cells
        Sums of the same putts, by the same numbers.
    conceded : ndarray, shape (putts,), optional
        Strokes that each concession gained; none if not given.
    """
    starts_hole = starts(putts, ["hole"])
    firsts = first_rows(run)
    starts_hole[firsts] = True
    # Rows at which holes start, holes with which rounds start, and behind them the end of all.
    holes = np.append(np.flatnonzero(starts_hole), putts.height)
    of_round = np.searchsorted(holes, np.append(firsts, putts.height))
    green = (putts["surface"] == "green").to_numpy()
    strokes = count_between(green, holes)
    finished = (putts["result"] != "missed").to_numpy()[holes[1:] - 1]
    skill = cells.by_run(len(firsts))
    counts = {
        "holes": np.diff(of_round),
        "putts": count_between(green, holes[of_round]),
        "counted": skill["putts"],
        "one_putts": count_between((strokes == 1) & finished, of_round),
        "three_putts": count_between(strokes >= _THREE, of_round),
    }
    skill["conceded"] = np.zeros(len(firsts))
    if conceded is not None:
        skill["conceded"] += np.bincount(run, conceded, len(firsts))
    return putts[[*ROUND_KEY, SQUAD]][firsts].with_columns(
        *(pl.Series(name, counts[name]).cast(pl.Int64) for name in ROUND_COUNTS),
        *(pl.Series(name, skill[name], pl.Float64) for name in PARTS),
    )


def season() -> pl.Expr:
    """Year of a date."""
    return pl.col("date").dt.year().alias("season")


def _joined(parts: Sequence[Part]) -> Part:
    """Parts of the same file; their cells may meet, their rounds do not."""
    if len(parts) == 1:
        return parts[0]
    return Part(
        rounds=pl.concat([each.rounds for each in parts]),
        cells=merge_sums(*(each.cells for each in parts)),
        problems=pl.concat([each.problems for each in parts]),
        found=sum(each.found for each in parts),
        read=sum(each.read for each in parts),
        kept=sum(each.kept for each in parts),
    )


def changed_part(source: Source) -> Part:
    """Of a file that changes while it is read: nothing but that problem."""
    return _unused(
        source,
        UnreadableError(
            "it changed each time while it was read",
            "Run the command again when nothing writes to it.",
        ),
    )


def empty_part() -> Part:
    """The part of a file without a row."""
    return _reduced(pl.DataFrame(schema={ROW: pl.UInt32()}), "", Task(get_baseline()), None)


def _unused(source: Source, exc: UnreadableError) -> Part:
    problem = {
        "file": source.name,
        "value": exc.what,
        "what": exc.what,
        "allowed": "a file of putts",
        "hint": exc.hint,
    }
    problems = pl.DataFrame([problem], schema=PROBLEMS_SCHEMA)
    return replace(empty_part(), problems=problems, found=1, read=rows_of(source))
