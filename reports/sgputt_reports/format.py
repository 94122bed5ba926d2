"""Numbers, lengths, chances and names as a page shows them."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from sgputt.putts.units import format_length, metres_said
from sgputt.safe_text import on_a_page
from sgputt.season.summary import Estimate

METRES_A_FOOT = 0.3048
MINUS = "\u2212"
NONE = "\u2013"
# A 90 % interval reaches about this many standard errors to either side.
_ERRORS_IN_AN_INTERVAL = 1.645
_MOST_DIGITS = 2
# Resampled from fewer rounds, an interval leaves out the truth too often.
FEWEST_ROUNDS = 5


def clean(text: str) -> str:
    r"""Text without control characters and without marks that turn the reading direction.

    Examples
    --------
    >>> clean("Ann\u202e\tLee")
    'Ann Lee'
    """
    return on_a_page(text)


def number(value: float, digits: int = 1) -> str:
    """Number with a true minus sign and thousands set off.

    Examples
    --------
    >>> number(1266, 0), number(32.19)
    ('1,266', '32.2')
    """
    shown = f"{value:,.{digits}f}"
    if not shown.strip("-0.,"):
        shown = shown.lstrip("-")
    return shown.replace("-", MINUS)


def signed(value: float | None, digits: int = 2) -> str:
    """Number with its sign; zero has none, and a dash stands for nothing known.

    Examples
    --------
    >>> signed(0.312), signed(-0.001), signed(None)
    ('+0.31', '0.00', '–')
    """
    if value is None:
        return NONE
    shown = number(value, digits)
    return f"+{shown}" if value > 0 and shown.strip("0.,") else shown


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


def estimate(value: Estimate) -> str:
    """Signed value with as many digits as its interval bears."""
    return signed(value.value, digits_for(value.low, value.high))


def interval(low: float | None, high: float | None, digits: int | None = None) -> str:
    """Interval in words; empty when there is none.

    Examples
    --------
    >>> interval(-1.37, -0.66)
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


def chance(share: float) -> str:
    """Chance as so many in a hundred, to be followed by what it is a chance of.

    Examples
    --------
    >>> chance(0.968), chance(0.9996), chance(0.001)
    ('97 in 100', 'more than 99 in 100', 'fewer than 1 in 100')
    """
    if share > 0.995:
        return "more than 99 in 100"
    if share < 0.005:
        return "fewer than 1 in 100"
    return f"{share * 100:.0f} in 100"


def length(feet: float | None) -> str:
    """Length in feet, or a dash."""
    return NONE if feet is None else format_length(feet).replace(" ", "\u00a0")


def lengths(feet: list[float | None]) -> str:
    """Several lengths with the unit said once.

    Examples
    --------
    >>> lengths([24.0, 3.5, None]).split()
    ['24,', '3.5,', '–', 'ft']
    """
    shown = [NONE if one is None else format_length(one).removesuffix(" ft") for one in feet]
    return f"{', '.join(shown)}\u00a0ft" if shown else NONE


def unit_of(shown_in: str) -> tuple[float, str]:
    """How many of the unit make a foot, and its sign, of ``feet`` or ``metres``."""
    return (METRES_A_FOOT, "m") if shown_in == "metres" else (1.0, "ft")


def lengths_said(feet: Sequence[float], shown_in: str = "feet") -> str:
    """Lengths in the player's unit, the unit said once at the end.

    Examples
    --------
    >>> lengths_said([3.0, 4.5]).split(), lengths_said([10.0], "metres").split()
    (['3', 'and', '4.5', 'ft'], ['3', 'm'])
    """
    if shown_in == "metres":
        shown, unit = [metres_said(each) for each in feet], "m"
    else:
        shown, unit = [f"{each:.2f}".rstrip("0").rstrip(".") for each in feet], "ft"
    *most, last = shown
    return f"{', '.join(most)}{' and ' if most else ''}{last}\u00a0{unit}"


def inches_said(inches: float, shown_in: str = "feet") -> str:
    """A width in inches to the sixteenth, or in millimetres.

    Examples
    --------
    >>> inches_said(2.1875).split(), inches_said(2.5, "metres").split()
    (['2', '3/16', 'in'], ['64', 'mm'])
    """
    if shown_in == "metres":
        return f"{1000 * METRES_A_FOOT * inches / 12:.0f}\u00a0mm"
    whole, rest = divmod(round(16 * inches), 16)
    part = f"{Fraction(rest, 16)}" if rest else ""
    return "\u00a0".join(each for each in (f"{whole}" if whole else "", part, "in") if each)


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


def count(many: int, one: str, more: str = "") -> str:
    """Number with its noun.

    Examples
    --------
    >>> count(1, "round"), count(1266, "putt")
    ('1 round', '1,266 putts')
    """
    return f"{many:,} {one if many == 1 else more or one + 's'}"


def few_rounds(rounds: int | None) -> str:
    """Warn of intervals from few rounds; empty when there are enough, or none to have any.

    Examples
    --------
    >>> few_rounds(3)
    'From only 3 rounds these intervals are too narrow to trust.'
    """
    if rounds is None or not 1 < rounds < FEWEST_ROUNDS:
        return ""
    return f"From only {rounds} rounds these intervals are too narrow to trust."
