"""A scorecard file to putts, holes and problems."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

from sgputt.scorecard.card import Card
from sgputt.scorecard.headers import LEAST, find_header, read_header
from sgputt.scorecard.options import CardOptions, check_options
from sgputt.scorecard.problem import FileError, Ledger
from sgputt.scorecard.reading import Reading
from sgputt.scorecard.row import Row
from sgputt.scorecard.source import name_of, read_rows
from sgputt.scorecard.tables import holes_table, putts_table

_DEFAULTS = CardOptions()


def read_scorecard(
    source: Path | bytes, name: str | None = None, options: CardOptions = _DEFAULTS
) -> Reading:
    """Read a scorecard: CSV or .xlsx, a row a putt or a row a hole.

    Parameters
    ----------
    source : Path or bytes
        The file, or its contents.
    name : str, optional
        Name of the file in problems and in the column ``source``; otherwise that of the path.
    options : CardOptions
        What the card does not say itself.

    Returns
    -------
    Reading
        Putts, holes, problems and notes. A user's mistake is a Problem, never an exception.
    """
    file = name or (name_of(source) if isinstance(source, Path) else "scorecard")
    ledger = Ledger(file.encode("utf-8", "replace").decode())
    today = options.today or dt.date.today()
    check_options(options, today, ledger)
    if ledger.problems:
        return _nothing(ledger, ())
    try:
        rows = read_rows(source, options.sheet, ledger)
    except FileError as exc:
        ledger.problems.append(exc.as_problem(ledger.file))
        return _nothing(ledger, ())
    return _read(rows, ledger, options, today)


def _nothing(ledger: Ledger, rejected: Sequence[Row]) -> Reading:
    putts, holes = putts_table((), ledger.file), holes_table(())
    return Reading(putts, holes, ledger.problems, ledger.notes, rejected_rows=list(rejected))


def _read(rows: list[Row], ledger: Ledger, options: CardOptions, today: dt.date) -> Reading:
    index = find_header(rows)
    if index is None:
        what = "no row reads as the header of a scorecard"
        ledger.add(None, None, "", "a scorecard", LEAST, what=what)
        return _nothing(ledger, rows)
    header = read_header(rows[index], ledger)
    if header is None:
        return _nothing(ledger, rows)
    for row in rows[:index]:
        ledger.note(f"row {row.number}: stands above the header, left out")
    card = Card(header, ledger, options, [row.number for row in rows[: index + 1]])
    card.read(rows[index + 1 :], today)
    return card.reading()
