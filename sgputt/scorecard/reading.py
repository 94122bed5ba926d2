"""What a scorecard file gave."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

import polars as pl

from sgputt.scorecard.problem import Problem
from sgputt.scorecard.row import Row


@dataclass
class RoundReading:
    """One round of a file.

    Attributes
    ----------
    player, date, round
        Key of the round.
    course, event
        Where and in what it was played; event may be None.
    putts, holes : polars.DataFrame
        The good holes only.
    problems : list of Problem
        Those that touch this round; empty: it may be stored as it is.
    bad_holes : list of int
        Holes left out of ``putts`` and ``holes`` because of a problem.
    rejected_rows : list of Row
        Rows of the bad holes and rows whose hole cannot be told, with their raw cells.
    rows : list of int
        Row numbers that went into ``putts`` and ``holes``.
    """

    player: str
    date: dt.date
    round: int
    course: str
    event: str | None
    putts: pl.DataFrame
    holes: pl.DataFrame
    problems: list[Problem]
    bad_holes: list[int]
    rejected_rows: list[Row]
    rows: list[int]


@dataclass
class Reading:
    """What a scorecard file gave.

    Every row that holds anything is in exactly one of: ``rows`` and ``rejected_rows`` of a round,
    ``rejected_rows`` and ``skipped_rows`` here. Where the file as a whole cannot be read all lists
    are empty but ``problems``.

    Attributes
    ----------
    putts, holes : polars.DataFrame
        Putts and holes tables of the good holes of all rounds.
    problems : list of Problem
        Everything wrong with the file, in the order of its rows.
    notes : list of str
        What was assumed or left out without being wrong.
    rounds : list of RoundReading
        The same by round.
    rejected_rows : list of Row
        Rows that cannot be given to a round (no readable date, player, round or header).
    skipped_rows : list of int
        Header, totals, holes not played, and other rows without putts.
    header_cells : tuple of str
        The header as written.
    columns : dict of str to int
        Index of each column that was read, by its key (``hole``, ``distance1`` ...).
    """

    putts: pl.DataFrame
    holes: pl.DataFrame
    problems: list[Problem]
    notes: list[str]
    rounds: list[RoundReading] = field(default_factory=list)
    rejected_rows: list[Row] = field(default_factory=list)
    skipped_rows: list[int] = field(default_factory=list)
    header_cells: tuple[str, ...] = ()
    columns: dict[str, int] = field(default_factory=dict)
