"""What is said about a card beside the card, and what it gave."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import polars as pl

from sgputt.putts.columns import BY_KEY, STIMP_FT
from sgputt.putts.rules import EARLIEST_YEAR
from sgputt.putts.units import UNITS
from sgputt.putts.values import CellError
from sgputt.scorecard.cells import clean_text
from sgputt.scorecard.dates import DateOrder
from sgputt.scorecard.files import Row
from sgputt.scorecard.problem import Ledger, Place, Problem

Missing = Literal["chipped in", "not played"]


@dataclass(frozen=True)
class CardOptions:
    r"""What a card does not say itself; its own columns win.

    Parameters
    ----------
    player, course, event : str, optional
        Names for rows without one.
    date : datetime.date, optional
        Date of a card without one.
    round : int, optional
        Round of a card without one (otherwise 1).
    unit : str, optional
        Unit of bare lengths, one of :data:`sgputt.putts.units.UNITS`; a unit in the header wins.
    pace_ft : float
        Length of a pace in feet.
    stimp_ft : float, optional
        Green speed in feet of a card without one.
    date_order : {'dmy', 'mdy'}, optional
        How to read 3/5/2026.
    sheet : str, optional
        The one sheet of a workbook to read; otherwise every one that is a card.
    as_written : bool
        Whether everything that can hardly be true is so.
    missing : {'chipped in', 'not played'}, optional
        What holes are that have no row although holes before and after them have one.
    usual_player : str, optional
        Player where neither the card nor an option says: that of the user's settings.
    usual_unit : callable, optional
        Gives the unit that a player usually writes, or None: for bare lengths of which neither the
        card nor an option says a unit.
    handed : callable, optional
        Gives the side from which a player putts (``right``, ``left`` or None), to read push and
        pull.
    today : datetime.date, optional
        The day to hold dates against; otherwise the real one.

    Examples
    --------
    >>> import sgputt
    >>> options = sgputt.CardOptions(player="Mara Lindqvist", date=dt.date(2026, 5, 3), unit="m")
    >>> card = b"hole,putts,putt1\n1,2,6\n"
    >>> sgputt.read_scorecard(card, options=options).putts["distance_ft"].round(2)[0]
    19.69
    """

    player: str | None = None
    course: str | None = None
    event: str | None = None
    date: dt.date | None = None
    round: int | None = None
    unit: str | None = None
    pace_ft: float = 3.0
    stimp_ft: float | None = None
    date_order: DateOrder | None = None
    sheet: str | None = None
    as_written: bool = False
    missing: Missing | None = None
    usual_player: str | None = None
    usual_unit: Callable[[str], str | None] | None = None
    handed: Callable[[str], str | None] | None = None
    today: dt.date | None = None


def check_options(options: CardOptions, today: dt.date, ledger: Ledger) -> None:
    """Write down what is wrong with the options themselves."""
    low, high = STIMP_FT
    date, speed = options.date, options.stimp_ft
    in_time = date is None or dt.date(EARLIEST_YEAR, 1, 1) <= date <= today + dt.timedelta(days=1)
    is_pace = math.isfinite(options.pace_ft) and 0 < options.pace_ft <= 10
    checks = (
        (options.unit in (None, *UNITS), options.unit, f"a unit: {', '.join(UNITS)}"),
        (is_pace, options.pace_ft, "a pace of more than 0 and up to 10 ft"),
        (speed is None or low <= speed <= high, speed, BY_KEY["stimp"].allowed),
        (
            options.date_order in (None, "dmy", "mdy"),
            options.date_order,
            "a date order: dmy or mdy",
        ),
        (options.round is None or 1 <= options.round <= 99, options.round, "a round, 1 to 99"),
        (
            options.missing in (None, "chipped in", "not played"),
            options.missing,
            "chipped in or not played",
        ),
        (in_time, date, f"a date from {EARLIEST_YEAR} to today"),
    )
    hint = "This came with the command, not the card."
    for fine, value, allowed in checks:
        if not fine:
            ledger.add(Place(None, None, str(value)), allowed, hint)
    for name in (options.player, options.course, options.event, options.usual_player):
        try:
            clean_text(name or "")
        except CellError as exc:
            ledger.add(Place(None, None, name or ""), exc.allowed, exc.hint, exc.what)


def usual_unit(options: CardOptions, player: str | None) -> str | None:
    """Unit that a player usually writes, if it is known."""
    return options.usual_unit(player) if options.usual_unit and player else None


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
        Those that touch this round, questions among them; empty: it may be stored as it is.
    bad_holes : list of int
        Holes left out of ``putts`` and ``holes`` because of a problem.
    rejected_rows : list of Row
        Rows of the bad holes and rows whose hole cannot be told, with their raw cells.
    rows : list of int
        Row numbers that went into ``putts`` and ``holes``.
    good_rows : list of Row
        The same rows with their raw cells.
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
    good_rows: list[Row]


@dataclass
class Reading:
    """What a scorecard file gave.

    Every row that holds anything is in exactly one of: ``rows`` and ``rejected_rows`` of a round,
    ``rejected_rows`` and ``skipped_rows`` here; in a workbook each sheet has rows of its own, so
    that a number may come up several times. Where the file as a whole cannot be read all lists are
    empty but ``problems``.

    Attributes
    ----------
    putts, holes : polars.DataFrame
        Putts and holes tables of the good holes of all rounds.
    problems : list of Problem
        Everything wrong with the file and every open question, in the order of its rows.
    notes : list of str
        What was assumed or left out without being wrong.
    rounds : list of RoundReading
        The same by round.
    rejected_rows : list of Row
        Rows that cannot be given to a round (no readable date, player, round or header).
    skipped_rows : list of int
        Header, titles, totals, holes not played, and other rows without putts.
    header_cells : tuple of str
        The (first) header as written.
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
