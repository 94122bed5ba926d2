"""Figures and standing sentences in words, the same at the terminal, on pages and in exports."""

from __future__ import annotations

MINUS = "\N{MINUS SIGN}"
UNKNOWN = "-"
RULE = "For use before or after the round, not during it (Rule 4.3a and local rules)."
NOTHING_COUNTS = (
    "No putt here counts for strokes gained, so nothing can be told of your putting yet: a hole"
    " chipped in has no putt, and a putt conceded or a ball picked up was not holed. Play on, and"
    " write the length of every first putt."
)


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
