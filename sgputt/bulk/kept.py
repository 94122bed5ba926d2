"""Files already reduced, kept on disk so that a stopped run goes on where it was."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import time
import zipfile
from contextlib import suppress
from importlib.metadata import version
from pathlib import Path

import polars as pl

from sgputt.bulk.putts_files import Source
from sgputt.bulk.reduce import Part, Task, empty_part
from sgputt.errors import SgputtError
from sgputt.files import half_written

# To be raised whenever a part would come out otherwise than before within one version.
_FORM = 3
_KEPT_SECONDS = 400 * 24 * 3600
_TABLES = ("rounds", "cells", "problems")
_COUNTS = ("found", "read", "kept")
_COUNTED = "counts.json"
# Parts lie in a folder of our own inside the one that was named, which says so.
_FOLDER, _MARK = "sgputt-parts", "MADE-BY-SGPUTT.txt"
_SAYS = "sgputt bulk keeps finished files here and removes old ones: put nothing else here.\n"
_OUR_PART = re.compile(r"[0-9a-f]{64}\.part")


class Kept:
    """Parts in a folder, each under a name made of its file, the file's state, and task."""

    def __init__(self, folder: Path, task: Task) -> None:
        self.folder = folder / _FOLDER
        self._ready = False
        curve = task.baseline.table.write_csv()
        self._task = f"{version('sgputt')} {_FORM} {task.baseline.name} {task.holes_alone} {curve}"

    def find(self, source: Source) -> Part | None:
        """The part of a file as it is now; None when there is none, or it cannot be read."""
        mark = source.mark()
        if mark is None:
            return None
        place = self._place(mark)
        try:
            if not place.is_file():
                return None
            os.utime(place)
            with zipfile.ZipFile(place) as file:
                counts = json.loads(file.read(_COUNTED))
                rounds, cells, problems = (
                    pl.read_parquet(io.BytesIO(file.read(f"{name}.parquet"))) for name in _TABLES
                )
            shapes = [table.schema for table in (rounds, cells, problems)]
            nothing = empty_part()
            if shapes != [getattr(nothing, name).schema for name in _TABLES]:
                return None
            # The same file may go by another name this time.
            problems = problems.with_columns(file=pl.lit(source.name))
            return Part(rounds, cells, problems, *(int(counts[name]) for name in _COUNTS))
        except (
            OSError,
            ValueError,
            KeyError,
            TypeError,
            zipfile.BadZipFile,
            pl.exceptions.PolarsError,
        ):
            return None

    def keep(self, mark: str, part: Part) -> None:
        """Store the part of a file that had this mark, whole or not at all.

        Raises
        ------
        SgputtError
            The folder is not one that parts may be kept in.
        OSError
            As the system says, such as that the disk is full.
        """
        self._make_ready()
        with half_written(self._place(mark)) as half, zipfile.ZipFile(half, "w") as file:
            for name in _TABLES:
                table = io.BytesIO()
                getattr(part, name).write_parquet(table)
                file.writestr(f"{name}.parquet", table.getvalue())
            counts = {name: getattr(part, name) for name in _COUNTS}
            file.writestr(_COUNTED, json.dumps(counts))

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
