"""Figures and standing sentences in words, the same at the terminal, on pages and in exports."""

from __future__ import annotations

import math
import re
from datetime import date
from typing import Protocol

MINUS = "\N{MINUS SIGN}"
UNKNOWN = "-"
# A 90 % interval reaches about this many standard errors to either side.
_ERRORS_IN_AN_INTERVAL = 1.645
_MOST_DIGITS = 2
# Resampled from fewer rounds, an interval leaves out the truth too often.
ROUNDS_TO_TRUST_AN_INTERVAL = 5
# Fewer strokes are shown as 0.00: a word beside them would say more than the figure.
LEAST_SHOWN = 0.005
NONE = "\N{EN DASH}"
RULE = "For use before or after the round, not during it (Rule 4.3a and local rules)."
NOTHING_COUNTS = (
    "No putt here counts for strokes gained, so nothing can be told of your putting yet: a hole"
    " chipped in has no putt, and a putt conceded or a ball picked up was not holed. Play on, and"
    " write the length of every first putt."
)


class Interval(Protocol):
    """A figure with the ends of its interval, None where there is none."""

    @property
    def value(self) -> float: ...

    @property
    def low(self) -> float | None: ...

    @property
    def high(self) -> float | None: ...


def number(value: float, digits: int = 1) -> str:
    """A number with a true minus sign and thousands set off.

    Examples
    --------
    >>> number(1266, 0), number(32.19), number(-0.01)
    ('1,266', '32.2', '0.0')
    """
    shown = f"{value:,.{digits}f}"
    if not shown.strip("-0.,"):
        shown = shown.lstrip("-")
    return shown.replace("-", MINUS)


def signed(value: float | None, digits: int = 2) -> str:
    """A gain or loss with its sign, zero without one; a dash where nothing is known.

    Examples
    --------
    >>> signed(0.312), signed(-0.001), signed(None)
    ('+0.31', '0.00', '-')
    """
    if value is None:
        return UNKNOWN
    shown = number(value, digits)
    return f"+{shown}" if value > 0 and shown.strip("0.,") else shown


def interval(low: float | None, high: float | None, digits: int = 2) -> str:
    """An interval in words; a dash where it is not known.

    Examples
    --------
    >>> interval(-1.37, 0.0)
    '−1.37 to 0.00'
    """
    if low is None or high is None:
        return UNKNOWN
    return f"{signed(low, digits)} to {signed(high, digits)}"


def plural(count: int, word: str, words: str = "") -> str:
    """A count with its word.

    Examples
    --------
    >>> plural(1, "round"), plural(1266, "putt"), plural(2, "loss", "losses")
    ('1 round', '1,266 putts', '2 losses')
    """
    return f"{count:,} {word if count == 1 else words or word + 's'}"


def chances(share: float) -> str:
    """A probability as chances in a hundred, never certain.

    Examples
    --------
    >>> chances(0.968), chances(0.9996), chances(0.0)
    ('97 in 100', '99 in 100', '1 in 100')
    """
    return f"{min(max(round(100 * share), 1), 99)} in 100"


def stroke_size(value: float, unit: str) -> str:
    """A spread or a habit of the stroke in its unit: degrees, or a share as per cent.

    Examples
    --------
    >>> stroke_size(1.163, "degrees"), stroke_size(0.2505, "share of the break")
    ('1.16°', '25 %')
    """
    if unit == "degrees":
        return f"{value:.2f}\N{DEGREE SIGN}"
    digits = 1 if unit == "share of the roll" else 0
    return f"{100 * value:.{digits}f} %"


def worth_shown(strokes: float) -> str:
    """What something is worth, in strokes; next to nothing is said to be.

    Examples
    --------
    >>> worth_shown(0.128), worth_shown(0.001)
    ('about 0.13', 'under 0.01')
    """
    return f"about {strokes:.2f}" if strokes >= LEAST_SHOWN else "under 0.01"


def digits_for(low: float | None, high: float | None) -> int:
    """Decimals worth showing: down to the first digit of the standard error, one or two.

    Examples
    --------
    >>> digits_for(-1.37, -0.66), digits_for(-0.29, -0.09), digits_for(None, None)
    (1, 2, 1)
    """
    if low is None or high is None or high <= low:
        return 1
    error = (high - low) / 2 / _ERRORS_IN_AN_INTERVAL
    return min(max(1, -math.floor(math.log10(error))), _MOST_DIGITS)


def estimate(value: Interval) -> str:
    """Signed value with as many digits as its interval bears."""
    return signed(value.value, digits_for(value.low, value.high))


def reached(low: float | None, high: float | None, digits: int | None = None) -> str:
    """An interval in words, with as many digits as it bears; empty where there is none.

    Examples
    --------
    >>> reached(-1.37, -0.66)
    '−1.4 to −0.7'
    """
    if low is None or high is None:
        return ""
    shown = digits_for(low, high) if digits is None else digits
    return f"{signed(low, shown)} to {signed(high, shown)}"


def percent(level: float) -> str:
    """Share as a whole percentage.

    Examples
    --------
    >>> percent(0.9).split()
    ['90', '%']
    """
    return f"{level * 100:.0f}\u00a0%"


def tidy(text: str) -> str:
    """Text with a dash between figures, and no line's end between a figure and its unit.

    Examples
    --------
    >>> tidy("5-7 feet")
    '5–7 feet'
    >>> tidy("2.5%").split()
    ['2.5', '%']
    """
    dashed = re.sub(r"(?<=\d)-(?=\d)", NONE, text)
    spaced = re.sub(r"(?<=\d) ?%", "\u00a0%", dashed)
    return re.sub(r"(?<=[\d+]) (?=(ft|in|m|cm)\b)", "\u00a0", spaced)


def first_up(text: str) -> str:
    """Text with its first letter large and the others as they are."""
    return text[:1].upper() + text[1:]


def day(when: date, with_year: bool = True) -> str:
    """Date as 2 Apr 2026, or 2 Apr where the year is said elsewhere."""
    short = f"{when.day}\u00a0{when:%b}"
    return f"{short}\u00a0{when.year}" if with_year else short


def few_rounds(rounds: int | None) -> str:
    """Warn of intervals from few rounds; empty when there are enough, or none to have any.

    Examples
    --------
    >>> few_rounds(3)
    'From only 3 rounds these intervals are too narrow to trust.'
    """
    if rounds is None or not 1 < rounds < ROUNDS_TO_TRUST_AN_INTERVAL:
        return ""
    return f"From only {rounds} rounds these intervals are too narrow to trust."
