"""What is written once on a card (player, course, date ...) and holds for the lines under it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import NamedTuple, TypeVar

from sgputt.putts.columns import BY_KEY
from sgputt.putts.units import unit_of
from sgputt.putts.values import CellError
from sgputt.safe_text import shown
from sgputt.scorecard.cells import Line, clean_text, stimp_length
from sgputt.scorecard.dates import ALLOWED, DateReader
from sgputt.scorecard.layouts import Titles
from sgputt.scorecard.problem import Ledger, Place
from sgputt.scorecard.reading import CardOptions, Missing

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
            self._set_date(found)
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
            self._stimp = self._once(line, "stimp", self._stimp_reader(line))
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

    def _set_date(self, date: dt.date | None) -> None:
        before, self._date = self._date, date
        if before != date and before is not None:
            if not self._round_titled:
                self._round = self._options.round or 1
            self._stimp = self._options.stimp_ft

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

    def _stimp_reader(self, line: Line) -> Callable[[str], float]:
        unit = line.header.columns["stimp"].unit or "ft"
        return lambda text: stimp_length(text, unit)


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
