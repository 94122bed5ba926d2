"""What a card says in a cell: dates, lengths, names; and the cells of one line."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import Literal, NamedTuple, TypeVar

from sgputt.errors import LengthError
from sgputt.putts.columns import BY_KEY, LONGEST_FT, STIMP_FT
from sgputt.putts.rules import EARLIEST_YEAR
from sgputt.putts.units import parse_length
from sgputt.putts.values import DASHES, CellError
from sgputt.safe_text import MAX_NAME, clean, shown, unguard
from sgputt.scorecard.files import WITHOUT_VALUE, Row
from sgputt.scorecard.headers import Header
from sgputt.scorecard.problem import Ledger, Place

DateOrder = Literal["dmy", "mdy"]

ALLOWED = "a date"
_HINT = "Write year-month-day (2026-05-03) or 3 May 2026."
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FULL_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_MONTH_OF = {
    **{name: number for number, name in enumerate(_MONTHS, 1)},
    **{name: number for number, name in enumerate(_FULL_MONTHS, 1)},
    "sept": 9,
}
# Compiled when first used: a card mostly has dates of one form.
_ISO = r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})(?:[ t]0?0:00(?::00)?(?:\.0+)?)?"
_DOTTED = r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4})"
_NUMERIC = r"([0-9]{1,2})([/-])([0-9]{1,2})\2([0-9]{4})"
_SHORT_YEAR = r"([0-9]{1,2})([/.-])([0-9]{1,2})\2 ?'?([0-9]{2})"
# A year of two digits beside the name of a month stands where a year of four would.
_DAY_MONTH = r"([0-9]{1,2})(?:st|nd|rd|th)? (?:of )?([a-z]+) '?([0-9]{4}|[0-9]{2})"
_MONTH_DAY = r"([a-z]+) ([0-9]{1,2})(?:st|nd|rd|th)? '?([0-9]{4}|[0-9]{2})"
_WEEKDAY = r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[ ,]+"


class DateReader:
    """Reads the dates of one file.

    Parameters
    ----------
    written : iterable of str
        All dates of the file; one with a part over 12 settles the order of the others.
    order : {'dmy', 'mdy'} or None
        Order of day and month as the user gave it.
    today : datetime.date
        Dates later than the day after are refused.
    """

    def __init__(self, written: Iterable[str], order: DateOrder | None, today: dt.date) -> None:
        self._said = order
        orders = {
            _order_of(int(match[1]), int(match[3]))
            for text in written
            if (match := re.fullmatch(_NUMERIC, _plain(text)))
        } - {None}
        # Where some dates show one order and some another, none is told.
        self._order = order or (orders.pop() if len(orders) == 1 else None)
        self._today = today
        self._latest = today + dt.timedelta(days=1)

    def read(self, text: str) -> dt.date:
        """Date of a cell.

        Raises
        ------
        CellError
            No date, no such date, day and month could be swapped, or out of range.
        """
        date = self._date(_plain(text))
        if date > self._latest:
            hint = f"Check the year, and the clock of this computer: it says {self._today}."
            raise CellError(ALLOWED, hint, f"'{text}' lies in the future")
        if date.year < EARLIEST_YEAR:
            raise CellError(ALLOWED, "Check the year.", f"'{text}' is before {EARLIEST_YEAR}")
        return date

    def _date(self, plain: str) -> dt.date:
        if match := re.fullmatch(_ISO, plain):
            return _make(plain, match[1], match[3], match[4])
        if match := re.fullmatch(_DOTTED, plain):
            return _make(plain, match[3], match[2], match[1])
        if match := re.fullmatch(_NUMERIC, plain):
            return self._numeric(plain, match[1], match[3], match[4])
        if (match := re.fullmatch(_SHORT_YEAR, plain)) and self._said:
            # Which of the three is the year is plain once the order of the others was said.
            return self._numeric(plain, match[1], match[3], f"20{match[4]}")
        return _named_month(plain)

    def _numeric(self, plain: str, first: str, second: str, year: str) -> dt.date:
        order = self._order
        if order is None and first != second:
            order = _order_of(int(first), int(second))
        if order is None and int(first) != int(second):
            raise CellError(
                ALLOWED,
                "Say which with --date-order dmy or --date-order mdy, or write 2026-05-03.",
                f"'{plain}' may be day first or month first",
            )
        day, month = (second, first) if order == "mdy" else (first, second)
        return _make(plain, year, month, day)


def looks_like_a_date(text: str) -> bool:
    """Whether a text is a date, in whatever order."""
    plain = _plain(text) if len(text) < 60 else ""
    if any(re.fullmatch(form, plain) for form in (_ISO, _DOTTED, _NUMERIC)):
        return True
    match = re.fullmatch(_DAY_MONTH, plain) or re.fullmatch(_MONTH_DAY, plain)
    return match is not None and (match[1] in _MONTH_OF or match[2] in _MONTH_OF)


def _plain(text: str) -> str:
    plain = " ".join(text.casefold().split())
    plain = re.sub(_WEEKDAY, "", plain)
    if re.search(r"[a-z]{3}", plain):
        plain = " ".join(re.sub(r"[,./-]", " ", plain).split())
    return plain


def _order_of(first: int, second: int) -> DateOrder | None:
    if first > 12 >= second:
        return "dmy"
    return "mdy" if second > 12 >= first else None


def _named_month(plain: str) -> dt.date:
    if match := re.fullmatch(_DAY_MONTH, plain):
        day, month, year = match[1], match[2], match[3]
    elif match := re.fullmatch(_MONTH_DAY, plain):
        day, month, year = match[2], match[1], match[3]
    elif re.fullmatch(_SHORT_YEAR, plain):
        what = f"'{plain}' has a year of two digits"
        hint = "Write the year with four digits (2026-05-03), or say the order with --date-order."
        raise CellError(ALLOWED, hint, what)
    else:
        raise CellError(ALLOWED, _HINT)
    if month not in _MONTH_OF:
        raise CellError(ALLOWED, _HINT)
    return _make(plain, year if len(year) == 4 else f"20{year}", str(_MONTH_OF[month]), day)


def _make(plain: str, year: str, month: str, day: str) -> dt.date:
    try:
        return dt.date(int(year), int(month), int(day))
    except ValueError as exc:
        hint = f"{_HINT} Which of day and month comes first is set by --date-order dmy or mdy."
        raise CellError(ALLOWED, hint, f"there is no such date as '{plain}'") from exc


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

    ``unit`` is that of its column, or what the card says of all its lengths.
    ``word`` says what stood there in place of a length: ``short``, ``conceded``, ``chipped in``.
    """

    feet: float | None = None
    bare: bool = False
    word: str = ""
    text: str = ""
    unit: str | None = None


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
        self._texts: dict[str, str] = {}
        self.take(texts)
        self._place = place

    @property
    def row(self) -> Row:
        """The row that it is counted by."""
        return self.rows[0]

    def take(self, texts: Mapping[str, str]) -> None:
        """Take these as what stands here; blank cells and lone dashes are nothing."""
        self._texts = {
            key: text
            for key, text in texts.items()
            if text and (len(text) > 1 or text not in DASHES or _DASH_MEANS.fullmatch(key))
        }

    def text(self, key: str) -> str:
        """Cell of a column, stripped; empty when blank, a lone dash, or no such column."""
        return self._texts.get(key, "")

    def any_text(self) -> bool:
        """Whether anything stands here beside the hole's number and what is written once a card."""
        return any(
            True
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
        key = name + slot
        if key not in self._texts:
            return None
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
