"""A scorecard file to putts, holes and problems."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

from sgputt.safe_text import shown
from sgputt.scorecard.files import Row, Sheet, name_of, read_sheets
from sgputt.scorecard.layouts import has_a_card, lay_out
from sgputt.scorecard.problem import FileError, Ledger
from sgputt.scorecard.reading import CardOptions, Reading, check_options
from sgputt.scorecard.rounds import Card, holes_table, putts_table

_DEFAULTS = CardOptions()


def read_scorecard(
    source: Path | bytes, name: str | None = None, options: CardOptions = _DEFAULTS
) -> Reading:
    r"""Read a scorecard: CSV, a table with pipes, a note or .xlsx, however it is laid out.

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
        Putts, holes, problems, questions and notes. A user's mistake is a Problem, never an
        exception.

    Examples
    --------
    >>> import sgputt
    >>> card = b"date,player,hole,putts,putt1,putt2\n2026-05-03,Mara Lindqvist,1,2,12'6\",3\n"
    >>> reading = sgputt.read_scorecard(card, name="round.csv")
    >>> reading.putts.select("putt", "distance_ft", "result").rows()
    [(1, 12.5, 'missed'), (2, 3.0, 'holed')]
    """
    file = name or (name_of(source) if isinstance(source, Path) else "scorecard")
    ledger = Ledger(file.encode("utf-8", "replace").decode())
    today = options.today or dt.date.today()
    check_options(options, today, ledger)
    if ledger.problems:
        return _nothing(ledger, ())
    try:
        sheets = read_sheets(source, options.sheet, ledger)
    except FileError as exc:
        ledger.problems.append(exc.as_problem(ledger.file))
        return _nothing(ledger, ())
    cards = _with_cards(sheets, ledger)
    several = len(cards) > 1
    laid_out = [lay_out(sheet.rows, ledger, sheet.name if several else None) for sheet in cards]
    if not any(sheet.items for sheet in laid_out) and ledger.problems:
        return _nothing(ledger, [row for sheet in cards for row in sheet.rows])
    card = Card(ledger, options)
    card.read(laid_out, today)
    return card.reading()


def _with_cards(sheets: Sequence[Sheet], ledger: Ledger) -> list[Sheet]:
    """The sheets that read as cards, the others named; the first where none does."""
    if len(sheets) == 1:
        return list(sheets)
    cards = [sheet for sheet in sheets if has_a_card(sheet.rows)]
    others = [sheet.name or "" for sheet in sheets if sheet not in cards and sheet.rows]
    if cards and others:
        names = ", ".join(f"'{shown(name)}'" for name in others)
        ledger.note(f"not read, as they are no cards: sheets {names} (read one with --sheet)")
    # Of a workbook with one card the others are no part of what was read.
    if len(cards) == 1:
        rows = [row._replace(sheet=None) for row in cards[0].rows]
        return [Sheet(cards[0].name, rows)]
    return cards or [next((sheet for sheet in sheets if sheet.rows), sheets[0])]


def _nothing(ledger: Ledger, rejected: Sequence[Row]) -> Reading:
    putts, holes = putts_table((), ledger.file), holes_table(())
    return Reading(putts, holes, ledger.problems, ledger.notes, rejected_rows=list(rejected))
