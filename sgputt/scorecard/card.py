"""A card as a whole: what is said of it once (options, titles, values kept), and what it gave."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeVar

import polars as pl

from sgputt.putts.columns import BY_KEY, STIMP_FT
from sgputt.putts.rules import EARLIEST_YEAR
from sgputt.putts.units import UNITS, unit_of
from sgputt.putts.values import CellError
from sgputt.safe_text import shown
from sgputt.scorecard.cells import ALLOWED, DateOrder, DateReader, Line, clean_text, stimp_length
from sgputt.scorecard.files import Row
from sgputt.scorecard.layouts import Titles
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


T = TypeVar("T")

UNKNOWN = "unknown"
MISSING: dict[str, Missing] = {
    **dict.fromkeys(("chipped in", "chip in", "chip-in", "chipped", "chip-ins"), "chipped in"),
    **dict.fromkeys(("not played", "unplayed", "skipped"), "not played"),
}
_YES = frozenset(("yes", "y", "true", "1", "x", "ok", "✓", "✔"))

RoundKey = tuple[str, dt.date, int]


class Meta(NamedTuple):
    """Whose putts a line holds, where and when; None in player, date or round: unreadable.

    ``unit`` is what the card or the command says of lengths without one. ``as_written`` and
    ``missing`` are answers to questions. ``written`` is player, date and round as they stand in the
    file, to keep unreadable ones apart.
    """

    player: str | None
    course: str
    event: str | None
    date: dt.date | None
    round: int | None
    stimp_ft: float | None
    unit: str | None
    as_written: bool
    missing: Missing | None
    written: tuple[str, str, str]

    @property
    def said(self) -> str:
        """Whose round this is, to stand before a note."""
        return f"{self.player}, {self.date}, round {self.round}: "

    @property
    def key(self) -> RoundKey | None:
        """Player, date and round; None where one of them cannot be read."""
        if self.player is None or self.date is None or self.round is None:
            return None
        return self.player, self.date, self.round


class Carried:
    """Gives each line the nearest value above it, from a title or another line.

    ``round`` and the green speed start again with another date, the green speed also with another
    course: neither can be taken over from another day without a word.
    """

    def __init__(self, options: CardOptions, dates: DateReader, ledger: Ledger) -> None:
        self._options = options
        self._dates = dates
        self._ledger = ledger
        self._dates_read: dict[str, dt.date | None] = {}
        self._undated_said = False
        self._refused: set[tuple[str, str]] = set()
        self._written = {"player": "", "date": "", "round": ""}
        self._date = options.date
        usual = options.player or options.usual_player or ""
        self._player: str | None = clean_text(usual) or UNKNOWN
        self._course = clean_text(options.course or "") or UNKNOWN
        self._event = clean_text(options.event or "") or None
        self._round: int | None = options.round or 1
        self._stimp = options.stimp_ft
        self._unit = options.unit
        self._as_written = options.as_written
        self._missing = options.missing
        self._round_titled = False

    def title(self, titles: Titles) -> None:
        """Take up what a title says; one that the command contradicts is a problem."""
        # Another date makes it another round, unless the title says which.
        for name, value in sorted(titles.pairs, key=lambda pair: pair[0] != "date"):
            place = Place(titles.row.number, None, value, titles.row.sheet)
            try:
                self._take(name, value, place)
            except CellError as exc:
                self._ledger.add(place, exc.allowed, exc.hint, exc.what)
                if name in ("player", "date", "round"):
                    setattr(self, f"_{name}", None)
                    self._written[name] = value

    def _take(self, name: str, value: str, place: Place) -> None:
        plain = " ".join(value.casefold().split())
        found: object = None
        if name in ("date", "round", "player"):
            self._written[name] = value
        if name == "date":
            found = self._dates.read(value)
            before, self._date = self._date, found
            if before != found and before is not None:
                if not self._round_titled:
                    self._round = self._options.round or 1
                self._stimp = self._options.stimp_ft
        elif name == "round":
            found = BY_KEY["round"].read(value)
            self._round = found if isinstance(found, int) else None
            self._round_titled = True
        elif name == "stimp":
            self._stimp = stimp_length(value, "ft")
        elif name == "unit":
            found = self._unit = _unit(value)
        elif name == "as_written":
            self._as_written = self._as_written or plain in _YES
        elif name == "missing":
            self._missing = _missing(plain)
        else:
            found = self._take_name(name, clean_text(value) or UNKNOWN)
        self._hold_option(name, found, place)

    def _take_name(self, name: str, found: str) -> str:
        if name == "player":
            self._player = found
        elif name == "course":
            self._set_course(found)
        else:
            self._event = found
        return found

    def _hold_option(self, name: str, found: object, place: Place) -> None:
        """Write down that the command says otherwise than a title."""
        said = getattr(self._options, name, None) if found is not None else None
        plain = clean_text(said).casefold() if isinstance(said, str) else said
        if said is None or plain == (found.casefold() if isinstance(found, str) else found):
            return
        what = f"the card says {name} '{shown(str(found))}', the command '{shown(str(said))}'"
        hint = f"Leave out --{name}, or correct the card."
        self._ledger.add(place, f"one {name}", hint, what)

    def next(self, line: Line) -> Meta:
        """Say what holds for this line; problems are written down where they stand."""
        self._round_titled = False
        self._read_date(line)
        if line.text("course"):
            self._set_course(self._once(line, "course", _name) or self._course)
        for key in ("player", "date", "round"):
            self._written[key] = line.text(key) or self._written[key]
        if line.text("player"):
            self._player = self._once(line, "player", _name)
        if line.text("event"):
            self._event = self._once(line, "event", _name) or self._event
        if line.text("round"):
            self._round = self._once(line, "round", _round)
        if line.text("stimp"):
            unit = line.header.columns["stimp"].unit or "ft"
            self._stimp = self._once(line, "stimp", lambda text: stimp_length(text, unit))
        return Meta(
            self._player,
            self._course,
            self._event,
            self._date,
            self._round,
            self._stimp,
            self._unit,
            self._as_written or line.text("as_written").casefold() in _YES,
            self._missing,
            (self._written["player"], self._written["date"], self._written["round"]),
        )

    def _once(self, line: Line, key: str, reader: Callable[[str], T]) -> T | None:
        """Value of a cell; one that cannot be read is said where it stands first."""
        text = line.text(key)
        if (key, text) in self._refused:
            line.bad = True
            return None
        value = line.read(key, reader)
        if value is None:
            self._refused.add((key, text))
        return value

    def need_date(self, line: Line) -> None:
        """Say, once a file, that a line with putts has no date."""
        if self._date is not None or self._written["date"] or self._undated_said:
            return
        self._undated_said = True
        has_column = "date" in line.header.columns
        row, sheet = (line.row.number, line.row.sheet) if has_column else (None, None)
        self._ledger.add(
            Place(row, line.header.written("date"), "", sheet),
            ALLOWED,
            "Write it on the first row of the card, or give --date 2026-05-03.",
            "there is no date",
        )

    def _set_course(self, course: str) -> None:
        before, self._course = self._course, course
        if before not in (UNKNOWN, course):
            self._stimp = self._options.stimp_ft

    def _read_date(self, line: Line) -> None:
        text = line.text("date")
        if not text:
            return
        before = self._date
        if text not in self._dates_read:
            self._dates_read[text] = line.read("date", self._dates.read)
        self._date = self._dates_read[text]
        if self._written["date"] and before != self._date:
            self._round = self._options.round or 1
            self._stimp = self._options.stimp_ft


def _unit(text: str) -> str:
    unit = unit_of(text)
    if unit is None:
        raise CellError("a unit: feet, metres, paces", "Write feet, metres or paces.")
    return unit


def _missing(text: str) -> Missing:
    if text not in MISSING:
        raise CellError("chipped in or not played", "Write chipped in, or not played.")
    return MISSING[text]


def _round(text: str) -> int:
    found = BY_KEY["round"].read(text)
    return found if isinstance(found, int) else 1


def _name(text: str) -> str:
    return clean_text(text) or UNKNOWN
