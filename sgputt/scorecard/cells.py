"""What a card says of one hole or one putt, cell by cell, and lengths and names to values."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import NamedTuple, TypeVar

from sgputt.errors import LengthError
from sgputt.putts.columns import BY_KEY, LONGEST_FT, STIMP_FT
from sgputt.putts.units import parse_length
from sgputt.putts.values import DASHES, CellError
from sgputt.safe_text import MAX_NAME, clean, shown, unguard
from sgputt.scorecard.files import WITHOUT_VALUE, Row
from sgputt.scorecard.headers import Header
from sgputt.scorecard.problem import Ledger, Place

T = TypeVar("T")

# A dash in these columns is a word of its own.
_DASH_MEANS = re.compile(r"(?:slope|break)[0-9]*")
_BARE = re.compile(r"~?[0-9.,]+")
_BARE_QUANTITY = re.compile(r"[~≈]? ?[0-9.,/½¼¾ ]+")
_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NOTHING = re.compile(r"0+(?:[.,]0+)?(?: ?[a-z'\"]+)?")
_WORK_OUT = (
    "Open the workbook in a spreadsheet program and save it again, so that its formulas are worked "
    "out, or type the value."
)
# In the place of a length: a putt whose length was not measured, and how it ended.
_TAP_INS = frozenset({"tap", "tapin", "tap in", "tap-in", "tapped in", "kick in", "kick-in"})
_CHIPPED = frozenset({"chip in", "chip-in", "chipped in", "chipin", "chipped", "holed out"})
_GIVEN = frozenset({"gimme", "given", "conceded", "gimmie", "conc"})


class Length(NamedTuple):
    """A length in feet as written; ``bare``: without a unit of its own or of its column.

    ``word`` says what stood there in place of a length: ``short``, ``conceded``, ``chipped in``.
    """

    feet: float | None = None
    bare: bool = False
    word: str = ""
    text: str = ""


class Line:
    """One line of a card: a row, or in a card with holes across the top a column.

    Parameters
    ----------
    rows : tuple of Row
        The rows of the file that it stands in.
    header : Header
        Names of its cells.
    texts : mapping of str to str
        What stands under each name.
    ledger : Ledger
    place : callable, optional
        Row and column at which a cell is found; otherwise its row and header.

    Attributes
    ----------
    bad : bool
        True once a problem or question was written down for it.
    """

    def __init__(
        self,
        rows: tuple[Row, ...],
        header: Header,
        texts: Mapping[str, str],
        ledger: Ledger,
        place: Callable[[str | None], tuple[int, str | None]] | None = None,
    ) -> None:
        self.rows = rows
        self.header = header
        self.ledger = ledger
        self.bad = False
        self._texts = texts
        self._place = place

    @property
    def row(self) -> Row:
        """The row that it is counted by."""
        return self.rows[0]

    def text(self, key: str) -> str:
        """Cell of a column, stripped; empty when blank, a lone dash, or no such column."""
        text = self._texts.get(key, "")
        if len(text) != 1 or text not in DASHES:
            return text
        return text if _DASH_MEANS.fullmatch(key) else ""

    def any_text(self) -> bool:
        """Whether anything stands here beside the hole's number and what is written once a card."""
        return any(
            self.text(key)
            for key in self._texts
            if key not in ("hole", "par") and not (key in BY_KEY and BY_KEY[key].per == "round")
        )

    def read(self, key: str, reader: Callable[[str], T]) -> T | None:
        """Value of a cell; None when it is blank or, with a problem written down, unreadable."""
        text = self.text(key)
        if not text:
            return None
        try:
            return reader(text)
        except CellError as exc:
            self.refuse(key, text, exc)
            return None

    def refuse(self, key: str, text: str, why: CellError) -> None:
        """Write down that a cell cannot be read."""
        hint = _WORK_OUT if text == WITHOUT_VALUE else why.hint
        self.complain(key, text, why.allowed, hint, why.what)

    def read_column(self, name: str, slot: str = "") -> str | int | float | None:
        """Value of a cell by the declaration of its column; as :meth:`read`."""
        key = f"{name}{slot}"
        at = self.header.columns.get(key)
        unit = at.unit if at else None
        return self.read(key, lambda text: _value_of(name, text, unit))

    def place(self, key: str | None, value: str | None = None) -> Place:
        """Where a cell stands, and what stands there."""
        said = self.text(key) if value is None and key else value or ""
        if self._place is not None:
            row, column = self._place(key)
            return Place(row, column, said, self.row.sheet)
        column = None if key is None else self.header.written(key)
        return Place(self.row.number, column, said, self.row.sheet)

    def complain(
        self, key: str | None, value: str, allowed: str, hint: str, what: str = ""
    ) -> None:
        """Write down a problem of this line."""
        self.bad = True
        self.ledger.add(self.place(key, value), allowed, hint, what)


# The cells of a season repeat.
@lru_cache(maxsize=4096)
def _value_of(name: str, text: str, unit: str | None) -> str | int | float | None:
    return BY_KEY[name].read(text, unit)


def texts_of(row: Row, header: Header) -> dict[str, str]:
    """Cells of a row by the keys of its header."""
    cells, width = row.cells, len(row.cells)
    return {
        key: unguard(cells[at.index].strip())
        for key, at in header.columns.items()
        if at.index < width
    }


def clean_text(text: str) -> str:
    """Name with spaces collapsed, composed (NFC), without what controls a screen.

    Raises
    ------
    CellError
        Longer than 200 characters.
    """
    # Composing takes the square of the length: what is far too long is not composed at all.
    kept = clean(text) if len(text) <= 10 * MAX_NAME else text
    if len(kept) > MAX_NAME:
        raise CellError(
            f"a name of at most {MAX_NAME} characters",
            "Shorten it.",
            f"'{kept[:30]}...' has {len(kept)} characters",
        )
    return kept


def putt_length(text: str, unit: str, pace_ft: float) -> float:
    """Length of a putt in feet, more than 0 and at most 100.

    Raises
    ------
    CellError
        Anything else.
    """
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
    """Read what is left after a putt, in feet; 0 when holed; raises as :func:`putt_length`."""
    return 0.0 if _NOTHING.fullmatch(text) else putt_length(text, unit, pace_ft)


def is_nothing(text: str) -> bool:
    """Whether a cell says a length of 0."""
    return bool(_NOTHING.fullmatch(text))


def stimp_length(text: str, unit: str) -> float:
    """Green speed in feet.

    Raises
    ------
    CellError
        No length, or not the speed of a green.
    """
    feet = _length(text, unit, 3.0)
    low, high = STIMP_FT
    if not low <= feet <= high:
        raise CellError(BY_KEY["stimp"].allowed, BY_KEY["stimp"].hint)
    return feet


def word_for_length(text: str) -> str:
    """What a word says that stands in the place of a length; empty for anything else."""
    plain = " ".join(text.casefold().replace("_", " ").split()).rstrip(".!")
    if plain in _TAP_INS:
        return "short"
    if plain in _CHIPPED:
        return "chipped in"
    return "conceded" if plain in _GIVEN else ""


def is_bare(text: str) -> bool:
    """Whether a length is written without a unit."""
    return bool(_BARE_QUANTITY.fullmatch(text))


@lru_cache(maxsize=4096)
def _length(text: str, unit: str, pace_ft: float) -> float:
    try:
        return parse_length(text, unit, pace_ft)
    except LengthError as exc:
        hint = exc.hint
        if _ISO_DATE.fullmatch(text):
            hint += " A spreadsheet made a date of what was typed: format the cell as text."
        raise CellError("a length", hint, exc.what.replace(text, shown(text))) from exc
