"""Files already reduced, kept on disk so that a stopped run goes on where it was."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
import time
from contextlib import suppress
from pathlib import Path

import polars as pl

from sgputt.bulk.reduce import Part, Task
from sgputt.bulk.source import Source

# To be raised whenever a part would come out otherwise than before.
_FORM = 1
_KEPT_SECONDS = 400 * 24 * 3600
_TABLES = ("rounds", "cells", "problems")
_COUNTS = ("found", "read", "kept")
_COUNTED = "counts.json"


class Kept:
    """Parts in a folder, each under a name made of its file, the file's size and time, and task."""

    def __init__(self, folder: Path, task: Task) -> None:
        self.folder = folder
        self._forgotten = False
        curve = task.baseline.table.write_csv()
        self._task = f"{_FORM} {task.baseline.name} {task.holes_alone} {curve}"

    def find(self, source: Source) -> Part | None:
        """The part of a file; None when there is none, or it cannot be read."""
        place = self._place(source)
        try:
            os.utime(place)
            counts = json.loads((place / _COUNTED).read_text(encoding="utf-8"))
            tables = [pl.read_parquet(place / f"{name}.parquet") for name in _TABLES]
            rounds, cells, problems = tables
            # The same file may go by another name this time.
            problems = problems.with_columns(file=pl.lit(source.name))
            return Part(rounds, cells, problems, *(int(counts[name]) for name in _COUNTS))
        except (OSError, ValueError, KeyError, pl.exceptions.PolarsError):
            return None

    def keep(self, source: Source, part: Part) -> None:
        """Store the part of a file, whole or not at all."""
        self.folder.mkdir(parents=True, exist_ok=True)
        self._forget()
        making = Path(tempfile.mkdtemp(dir=self.folder))
        try:
            for name in _TABLES:
                getattr(part, name).write_parquet(making / f"{name}.parquet")
            counts = {name: getattr(part, name) for name in _COUNTS}
            (making / _COUNTED).write_text(json.dumps(counts), encoding="utf-8")
            shutil.rmtree(self._place(source), ignore_errors=True)
            making.rename(self._place(source))
        except BaseException:
            shutil.rmtree(making, ignore_errors=True)
            raise

    def _forget(self) -> None:
        """Take away what no run has asked for in a long time, once a run."""
        if self._forgotten:
            return
        self._forgotten = True
        for each in self.folder.iterdir():
            with suppress(OSError):
                if time.time() - each.stat().st_mtime > _KEPT_SECONDS:
                    shutil.rmtree(each)

    def _place(self, source: Source) -> Path:
        told = f"{source.mark()} {self._task}"
        return self.folder / hashlib.sha256(told.encode("utf-8", "surrogateescape")).hexdigest()
