"""Files already reduced, kept on disk so that a stopped run goes on where it was."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import time
import zipfile
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq

from sgputt.bulk.putts_files import SQUAD, Source
from sgputt.bulk.reduce import BUCKETS, Part, Task, bucket_of, empty_part
from sgputt.errors import SgputtError
from sgputt.files import half_written

# To be raised whenever a part would come out otherwise than before within one version.
_FORM = 6
_KEPT_SECONDS = 400 * 24 * 3600
_TABLES = ("rounds", "cells")
_COUNTS = ("found", "read", "kept")
_COUNTED = "counts.json"
# Parts lie in a folder of our own inside the one that was named, which says so.
_FOLDER, _MARK = "sgputt-parts", "MADE-BY-SGPUTT.txt"
_SAYS = "sgputt bulk keeps finished files here and removes old ones: put nothing else here.\n"
_SPOILT = (
    OSError,
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    zipfile.BadZipFile,
    pa.ArrowException,
    pl.exceptions.PolarsError,
)
_OUR_PART = re.compile(r"[0-9a-f]{64}\.part")


@dataclass(frozen=True)
class KeptPart:
    """A part that lies on the disk; its tables are read when they are asked for.

    Attributes are those of :class:`sgputt.bulk.reduce.Part`, but for ``rounds`` and ``cells``.
    """

    place: Path
    problems: pl.DataFrame
    found: int
    read: int
    kept: int
    squads: list[str]
    heights: list[int]
    cell_heights: list[int]

    def rounds_of(self, buckets: range) -> pl.DataFrame:
        """Rounds of the players in some buckets, bucket by bucket.

        Raises
        ------
        SgputtError
            The file has gone or changed since it was found.
        """
        return self._rows("rounds", self.heights, buckets)

    def cells_of(self, buckets: range) -> pl.DataFrame:
        """Cells of the players in some buckets; raises as :meth:`rounds_of`."""
        return self._rows("cells", self.cell_heights, buckets)

    def _rows(self, name: str, heights: Sequence[int], buckets: range) -> pl.DataFrame:
        try:
            with zipfile.ZipFile(self.place) as file:
                return _read(file, name, heights, buckets)
        except _SPOILT as exc:
            raise SgputtError(
                f"The finished file {self.place} has gone or changed since it was read.",
                "Run the command again.",
            ) from exc


def _read(file: zipfile.ZipFile, name: str, heights: Sequence[int], buckets: range) -> pl.DataFrame:
    """Rows of some buckets of a table: each bucket that has rows is a row group of its own."""
    with pq.ParquetFile(io.BytesIO(file.read(f"{name}.parquet"))) as table:
        groups = [bucket for bucket, height in enumerate(heights) if height]
        wanted = [at for at, bucket in enumerate(groups) if bucket in buckets]
        # So few rows are read before a thread has begun.
        found = pl.from_arrow(table.read_row_groups(wanted, use_threads=False))
    if not isinstance(found, pl.DataFrame):
        raise ValueError(name)
    return found


class Kept:
    """Parts in a folder, each under a name made of its file, the file's state, and task."""

    def __init__(self, folder: Path, task: Task) -> None:
        self.folder = folder / _FOLDER
        self._ready = False
        curve = task.baseline.table.write_csv()
        self._task = f"{version('sgputt')} {_FORM} {task.baseline.name} {task.holes_alone} {curve}"

    def find(self, source: Source) -> KeptPart | None:
        """The part of a file as it is now; None when there is none, or it cannot be read."""
        mark = source.mark()
        return None if mark is None else self._at(self._place(mark), source.name)

    def _at(self, place: Path, name: str) -> KeptPart | None:
        try:
            if not place.is_file():
                return None
            os.utime(place)
            with zipfile.ZipFile(place) as file:
                if file.testzip() is not None:
                    return None
                counts = json.loads(file.read(_COUNTED))
                problems = pl.read_parquet(io.BytesIO(file.read("problems.parquet")))
                heights = {each: [int(n) for n in counts[f"{each}_of"]] for each in _TABLES}
                part = KeptPart(
                    place=place,
                    # The same file may go by another name this time.
                    problems=problems.with_columns(file=pl.lit(name)),
                    found=int(counts["found"]),
                    read=int(counts["read"]),
                    kept=int(counts["kept"]),
                    squads=[str(squad) for squad in counts["squads"]],
                    heights=heights["rounds"],
                    cell_heights=heights["cells"],
                )
                shapes = [_read(file, each, [1] * BUCKETS, range(0)).schema for each in _TABLES]
            nothing = empty_part()
            wanted = [nothing.rounds.schema, nothing.cells.schema]
            return part if shapes == wanted and problems.schema == nothing.problems.schema else None
        except _SPOILT:
            return None

    def keep(self, mark: str, part: Part) -> KeptPart | None:
        """Store the part of a file that had this mark, whole or not at all.

        Raises
        ------
        SgputtError
            The folder is not one that parts may be kept in.
        OSError
            As the system says, such as that the disk is full.
        """
        self._make_ready()
        counts: dict[str, object] = {name: getattr(part, name) for name in _COUNTS}
        counts["squads"] = part.squads
        with half_written(self._place(mark)) as half, zipfile.ZipFile(half, "w") as file:
            for name in _TABLES:
                content, counts[f"{name}_of"] = _by_bucket(getattr(part, name))
                file.writestr(f"{name}.parquet", content)
            problems = io.BytesIO()
            part.problems.write_parquet(problems)
            file.writestr("problems.parquet", problems.getvalue())
            file.writestr(_COUNTED, json.dumps(counts))
        names = part.problems["file"].unique()
        return self._at(self._place(mark), names[0] if len(names) else "")

    def _make_ready(self) -> None:
        """Make the folder where there is none; take away old parts, once a run."""
        if self._ready:
            return
        said = self.folder / _MARK
        self.folder.mkdir(parents=True, exist_ok=True)
        if not any(self.folder.iterdir()):
            said.write_text(_SAYS, encoding="utf-8")
        if not said.is_file():
            raise SgputtError(
                f"{self.folder} is there already and was not made by sgputt.",
                "Name another folder with --parts.",
            )
        self._ready = True
        for each in self.folder.iterdir():
            # Nothing but what is named as our parts are: whatever else is here is somebody's own.
            with suppress(OSError):
                ours = _OUR_PART.fullmatch(each.name) and each.is_file() and not each.is_symlink()
                if ours and time.time() - each.stat().st_mtime > _KEPT_SECONDS:
                    each.unlink()

    def _place(self, mark: str) -> Path:
        told = f"{mark} {self._task}"
        digest = hashlib.sha256(told.encode("utf-8", "surrogateescape")).hexdigest()
        return self.folder / f"{digest}.part"


def _by_bucket(table: pl.DataFrame) -> tuple[bytes, list[int]]:
    """A table as Parquet, a row group a bucket of players, and how many rows each has."""
    held = bucket_of(table["player"])
    counts = held.value_counts()
    found = dict(zip(*counts, strict=True))
    heights = [int(found.get(bucket, 0)) for bucket in range(BUCKETS)]
    rows = table[np.argsort(held.to_numpy(), kind="stable")].to_arrow()
    written, start = io.BytesIO(), 0
    with pq.ParquetWriter(written, rows.schema, use_dictionary=["player", SQUAD]) as writer:
        for height in filter(None, heights):
            writer.write_table(rows.slice(start, height), row_group_size=height)
            start += height
    return written.getvalue(), heights
