"""What is typed once on a card (player, course, date ...) carried down its rows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import NamedTuple

from sgputt.scorecard.dates import ALLOWED, DateReader
from sgputt.scorecard.fields import RowView, clean_text, round_number, stimp_length
from sgputt.scorecard.options import CardOptions

UNKNOWN = "unknown"

RoundKey = tuple[str, dt.date, int]


class Meta(NamedTuple):
    """Whose putts a row holds, where and when; None in player, date or round: unreadable.

    ``written`` is player, date and round as they stand in the file, to tell unreadable ones apart.
    """

    player: str | None
    course: str
    event: str | None
    date: dt.date | None
    round: int | None
    stimp_ft: float | None
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


class FillDown:
    """Gives each row the nearest value above it.

    ``round`` and the green speed start afresh with another date, the green speed also with another
    course: neither can be taken over from another day without a word.
    """

    def __init__(self, options: CardOptions, dates: DateReader) -> None:
        self._options = options
        self._dates = dates
        self._dates_read: dict[str, dt.date | None] = {}
        self._undated_said = False
        self._written = {"player": "", "date": "", "round": ""}
        self._date = options.date
        self._player: str | None = clean_text(options.player or "") or UNKNOWN
        self._course = clean_text(options.course or "") or UNKNOWN
        self._event = clean_text(options.event or "") or None
        self._round: int | None = options.round or 1
        self._stimp = options.stimp_ft

    def next(self, view: RowView) -> Meta:
        """Say what holds for this row; problems are written down where they stand."""
        self._read_date(view)
        self._read_course(view)
        for key in ("player", "date", "round"):
            self._written[key] = view.text(key) or self._written[key]
        if view.text("player"):
            self._player = view.read("player", _name)
        if view.text("event"):
            self._event = view.read("event", _name) or self._event
        if view.text("round"):
            self._round = view.read("round", round_number)
        if view.text("stimp"):
            self._stimp = view.read("stimp", self._stimp_reader(view))
        return Meta(
            self._player,
            self._course,
            self._event,
            self._date,
            self._round,
            self._stimp,
            (self._written["player"], self._written["date"], self._written["round"]),
        )

    def need_date(self, view: RowView) -> None:
        """Say, once a file, that a row with putts has no date."""
        if self._date is not None or self._written["date"] or self._undated_said:
            return
        self._undated_said = True
        has_column = "date" in view.header.columns
        view.ledger.add(
            view.row.number if has_column else None,
            view.header.written("date"),
            "",
            ALLOWED,
            "Write it on the first row of the card, or give --date 2026-05-03.",
            what="there is no date",
        )

    def _read_date(self, view: RowView) -> None:
        text = view.text("date")
        if not text:
            return
        before = self._date
        if text not in self._dates_read:
            self._dates_read[text] = view.read("date", self._dates.read)
        self._date = self._dates_read[text]
        if self._written["date"] and before != self._date:
            self._round = self._options.round or 1
            self._stimp = self._options.stimp_ft

    def _read_course(self, view: RowView) -> None:
        if not view.text("course"):
            return
        before, self._course = self._course, view.read("course", _name) or self._course
        if before not in (UNKNOWN, self._course):
            self._stimp = self._options.stimp_ft

    def _stimp_reader(self, view: RowView) -> Callable[[str], float]:
        unit = view.header.columns["stimp"].unit or "ft"
        return lambda text: stimp_length(text, unit)


def _name(text: str) -> str:
    return clean_text(text) or UNKNOWN
