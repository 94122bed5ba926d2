"""What must hold of any file whatever: no exception, and every row stored or spoken of."""

from __future__ import annotations

import csv
import datetime as dt
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from sgputt.archive.store import Archive
from sgputt.intake import Intake, take_in
from sgputt.scorecard import CardOptions, Reading, read_scorecard
from sgputt.scorecard.files import read_sheets
from sgputt.scorecard.problem import FileError, Ledger

TODAY = dt.date(2026, 6, 1)
DATED = CardOptions(date=dt.date(2026, 5, 3), today=TODAY)


def rows_in(data: bytes) -> list[int] | None:
    """Numbers of the rows that hold anything; None where the file cannot be taken apart at all."""
    try:
        sheets = read_sheets(data, None, Ledger("any"))
        return [row.number for sheet in sheets for row in sheet.rows]
    except FileError:
        return None


def hold_reading(data: bytes, name: str = "any.csv") -> Reading:
    """Read, and hold that no row has vanished and that every problem can be said."""
    reading = read_scorecard(data, name, DATED)
    for problem in reading.problems:
        said = str(problem)
        assert said.startswith(name) and "\n" not in said and len(said) < 2000, said
    rows = rows_in(data)
    if rows is None:
        assert reading.problems and not reading.rounds
        return reading
    found = [row.number for row in reading.rejected_rows] + reading.skipped_rows
    for one in reading.rounds:
        found += [row.number for row in one.rejected_rows] + one.rows
        assert one.problems or not one.rejected_rows
        assert {*one.putts["source_row"]} <= {*one.rows}
    # A header that makes no card has its one problem and leaves the rows below it alone.
    if reading.rounds or reading.rejected_rows or reading.skipped_rows:
        assert Counter(found) == Counter(rows)
    else:
        assert reading.problems
    return reading


def hold_intake(path: Path, archive: Archive, keep_good_holes: bool) -> Intake:
    """Import, and hold that rows in are rows stored and rows reported; then take them out again."""
    reading = hold_reading(path.read_bytes(), path.name)
    intake = take_in(path, archive, DATED, keep_good_holes=keep_good_holes)
    stored = intake.stored.stored
    assert not intake.stored.unchanged and not intake.stored.replaced
    kept = [one for one in reading.rounds if not one.holes.is_empty()]
    if not keep_good_holes:
        kept = [one for one in kept if not one.problems] if stored else []
    assert len(stored) + len(intake.stored.conflicts) == len(kept)
    assert archive.holes().height == sum(one.holes.height for one in kept)
    assert archive.putts().height == sum(one.putts.height for one in kept)
    assert len(intake.problems) >= len(reading.problems)
    if len(stored) < len(reading.rounds) or not reading.rounds:
        assert intake.problems
    if keep_good_holes and stored and reading.problems:
        _hold_rejects(intake, reading)
    _hold_counts(intake, rows_in(path.read_bytes()), archive)
    if stored:
        archive.remove(*stored)
    return intake


def _hold_counts(intake: Intake, rows: list[int] | None, archive: Archive) -> None:
    """Every row of the file is told to be stored, without putts or not stored; and it is so."""
    told = intake.rows
    if told is None:
        assert intake.problems and archive.holes().is_empty()
        return
    assert told.read == len(rows or ())
    assert Counter((*told.stored, *told.without_putts, *told.not_stored)) == Counter(rows)
    assert {*archive.putts()["source_row"]} <= {*told.stored}
    assert intake.problems or not told.not_stored
    assert bool(told.stored) == (archive.holes().height > 0)


def _hold_rejects(intake: Intake, reading: Reading) -> None:
    """The rows that were not stored stand in the file beside the card, each once."""
    assert intake.rejects is not None
    with intake.rejects.open(encoding="utf-8", newline="") as file:
        written = [int(row[0]) for row in list(csv.reader(file))[1:]]
    assert sorted(written) == sorted(_rejected(reading))
    intake.rejects.unlink()


def _rejected(reading: Reading) -> Iterator[int]:
    yield from (row.number for row in reading.rejected_rows)
    for one in reading.rounds:
        yield from (row.number for row in one.rejected_rows)
