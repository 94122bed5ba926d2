"""Cells to values: numbers, lengths, names; and a row seen through its header."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from sgputt.errors import LengthError
from sgputt.putts.units import parse_length
from sgputt.safe_text import MAX_NAME, clean, shown, unguard
from sgputt.scorecard.headers import Header
from sgputt.scorecard.problem import CellError, Ledger
from sgputt.scorecard.row import WITHOUT_VALUE, Row
from sgputt.scorecard.words import DASHES

T = TypeVar("T")

LONGEST_FT = 100.0
STIMP_FT = (4.0, 16.0)
LAST_HOLE = 36
MAX_PUTTS = 10
STEEPEST = 0.15

# A dash in these columns is a word of its own.
_DASH_MEANS = ("slope", "break")
_WHOLE = re.compile(r"([a-z#.]*) ?([0-9]{1,6})(?:[.,]0+)?(?:st|nd|rd|th)?")
_GRADE = re.compile(r"([0-9]{1,6}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12}) ?(%|percent|pct)?")
_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_WORK_OUT = (
    "Open the workbook in a spreadsheet program and save it again, so that its formulas are worked "
    "out, or type the value."
)
_BARE = re.compile(r"~?[0-9.,]+")


class RowView:
    """One row seen through its header; writes a problem down for each cell that cannot be read.

    Attributes
    ----------
    bad : bool
        True once a problem was written down for this row.
    """

    def __init__(self, row: Row, header: Header, ledger: Ledger) -> None:
        self.row = row
        self.header = header
        self.ledger = ledger
        self.bad = False

    def text(self, key: str) -> str:
        """Cell of a column, stripped; empty when blank, a lone dash, or no such column."""
        column = self.header.columns.get(key)
        if column is None or column.index >= len(self.row.cells):
            return ""
        text = unguard(self.row.cells[column.index].strip())
        return "" if text in DASHES and not key.startswith(_DASH_MEANS) else text

    def read(self, key: str, reader: Callable[[str], T]) -> T | None:
        """Value of a cell; None when it is blank or, with a problem written down, unreadable."""
        text = self.text(key)
        if not text:
            return None
        try:
            return reader(text)
        except CellError as exc:
            hint = _WORK_OUT if text == WITHOUT_VALUE else exc.hint
            self.complain(key, text, exc.allowed, hint, exc.what)
            return None

    def complain(
        self, key: str | None, value: str, allowed: str, hint: str, what: str = ""
    ) -> None:
        """Write down a problem of this row."""
        self.bad = True
        column = None if key is None else self.header.written(key)
        self.ledger.add(self.row.number, column, value, allowed, hint, what=what)


def clean_text(text: str) -> str:
    """Name with spaces collapsed, composed (NFC), without what controls a screen.

    Raises
    ------
    CellError
        Longer than 200 characters.
    """
    kept = clean(text)
    if len(kept) > MAX_NAME:
        raise CellError(
            f"a name of at most {MAX_NAME} characters",
            "Shorten it.",
            f"'{kept[:30]}...' has {len(kept)} characters",
        )
    return kept


def hole_number(text: str) -> int:
    """Hole, 1 to 18, and 19 and up for a play-off."""
    allowed = f"a hole number: 1 to 18, 19 to {LAST_HOLE} for a play-off"
    return _whole(text, 1, LAST_HOLE, allowed, "Write 1 to 18.", after=("h", "hole", "no", "#"))


def putt_number(text: str) -> int:
    """Read the number of a putt within its hole; 0 for a hole without a putt."""
    hint = "Count the putts of a hole 1, 2, 3; write 0 for a hole without a putt."
    return _whole(
        text, 0, MAX_PUTTS, f"the number of a putt, 0 to {MAX_PUTTS}", hint, after=("p", "putt")
    )


def putt_count(text: str) -> int:
    """Putts taken on a hole."""
    hint = "Write how many putts the hole took; 0 when it was chipped in."
    return _whole(text, 0, MAX_PUTTS, f"a number of putts, 0 to {MAX_PUTTS}", hint)


def par_of(text: str) -> int:
    """Par of a hole."""
    hint = "Write 3, 4, 5 or 6, or leave it blank."
    return _whole(text, 3, 6, "a par: 3, 4, 5, 6 or blank", hint, after=("par", "p"))


def round_number(text: str) -> int:
    """Round of the day or of the event."""
    hint = "Write 1, or 2 for the second round of a day."
    return _whole(text, 1, 99, "a round number, 1 to 99", hint, after=("r", "rd", "round"))


def _whole(
    text: str, low: int, high: int, allowed: str, hint: str, *, after: tuple[str, ...] = ()
) -> int:
    match = _WHOLE.fullmatch(" ".join(text.casefold().split()))
    if match is None or (match[1] and match[1].rstrip(".") not in after):
        raise CellError(allowed, hint)
    number = int(match[2])
    if not low <= number <= high:
        raise CellError(allowed, hint)
    return number


def putt_length(text: str, unit: str, pace_ft: float) -> float:
    """Length of a putt in feet, more than 0 and at most 100."""
    feet = _length(text, unit, pace_ft)
    if feet > LONGEST_FT:
        hint = f"Putts of up to {LONGEST_FT:.0f} ft are read."
        if _BARE.fullmatch(text):
            hint += (
                f" If this is in another unit write it so ({text} in, {text} cm) or give it for"
                " the whole file with --unit."
            )
        what = f"'{text}' is longer than {LONGEST_FT:.0f} ft"
        raise CellError(f"a length of at most {LONGEST_FT:.0f} ft", hint, what)
    return feet


def leave_length(text: str, unit: str, pace_ft: float) -> float:
    """Read what is left after a putt, in feet; 0 when holed."""
    return (
        0.0
        if re.fullmatch(r"0+(?:[.,]0+)?(?: ?[a-z']+)?", text)
        else putt_length(text, unit, pace_ft)
    )


def stimp_length(text: str, unit: str) -> float:
    """Green speed in feet."""
    feet = _length(text, unit, 3.0)
    low, high = STIMP_FT
    if not low <= feet <= high:
        raise CellError(
            f"a green speed of {low:.0f} to {high:.0f} ft",
            "Write the stimp in feet (10.5), or in metres with the unit (3.2 m).",
        )
    return feet


def grade_of(text: str) -> float:
    """Rise over run as a fraction: ``2.5%``, ``2.5`` and ``0.025`` are the same."""
    allowed = "a grade of 0 to 15 %"
    hint = "Write percent (2.5%); up or down goes into the column 'slope'."
    match = _GRADE.fullmatch(text.casefold())
    if match is None:
        raise CellError(allowed, hint)
    value = float(match[1].replace(",", "."))
    grade = value / 100 if match[2] or value >= 0.2 else value
    if grade > STEEPEST:
        raise CellError(allowed, hint)
    return grade


def _length(text: str, unit: str, pace_ft: float) -> float:
    try:
        return parse_length(text, unit, pace_ft)
    except LengthError as exc:
        hint = exc.hint
        if _ISO_DATE.fullmatch(text):
            hint += " A spreadsheet made a date of what was typed: format the cell as text."
        raise CellError("a length", hint, exc.what.replace(text, shown(text))) from exc
