"""Dates as people write them; never a guess between day and month."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from typing import Literal

from sgputt.putts.rules import EARLIEST_YEAR
from sgputt.putts.values import CellError

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
        self._order = order or _order_shown(written)
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


def _order_shown(written: Iterable[str]) -> DateOrder | None:
    orders = set()
    for text in written:
        if match := re.fullmatch(_NUMERIC, _plain(text)):
            orders.add(_order_of(int(match[1]), int(match[3])))
    orders.discard(None)
    return orders.pop() if len(orders) == 1 else None


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
