"""The text of a cell to the value of a column: words, whole numbers, grades, points aimed at."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

# Across a hole and a ball, in inches: Rules of Golf (hole 4 1/4 in; Equipment Rules, ball 1.68 in).
HOLE_IN = 4.25
BALL_IN = 1.68
INCHES_PER_CM = 1 / 2.54
STEEPEST = 0.15
# Between them a bare number may be rise over run (6 % is steep) or percent (0.5 % is level).
_SHARE_UP_TO, _PERCENT_FROM = 0.08, 0.5
# Farther outside the hole than the steepest green that a ball stops on makes anybody aim.
WIDEST_AIM_IN = 240.0

DASHES = ("-", "–", "—", "−")
# Say how much, which no column keeps.
_HOW_MUCH = re.compile(
    r"^(?:just |only |very |quite |slight(?:ly)? |a (?:bit|little|touch) |mostly |gent(?:ly|le) "
    r"|slow(?:ly)? |mainly |steep(?:ly)? |big |small |hard |severe(?:ly)? )+"
    r"| (?:slightly|a (?:bit|little|touch|lot))$"
)
_WHOLE = re.compile(r"([a-z#.]*) ?([0-9]{1,6})(?:[.,]0+)?(?:st|nd|rd|th)?")
_GRADE = re.compile(r"([0-9]{1,6}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12}) ?(%|percent|pct)?")
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
_NUMBERS = {"a": "1", "an": "1", "one": "1", "two": "2", "three": "3", "half": "1/2"}
_AIM_UNITS = {
    **dict.fromkeys(("in", "ins", "inch", "inches", '"'), 1.0),
    **dict.fromkeys(("ft", "feet", "foot", "'"), 12.0),
    "cm": INCHES_PER_CM,
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 100 * INCHES_PER_CM),
    **dict.fromkeys(("cup", "cups", "hole", "holes"), HOLE_IN),
    **dict.fromkeys(("ball", "balls"), BALL_IN),
}
_AIM_SIDES = {"left": 1.0, "l": 1.0, "right": -1.0, "r": -1.0}
_CENTRES = ("centre", "center", "middle", "straight", "dead centre", "dead center", "c", "0")
_AIM = re.compile(
    r"(?:([0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]*[.,]?[0-9]+) ?)?"
    r"([a-z]+|['\"])? ?(outside |out |off )?(?:of )?(?:the )?(left|right|l|r)( edge| lip)?"
)


class CellError(Exception):
    """A cell that cannot be read.

    Parameters
    ----------
    allowed : str
        What may stand there.
    hint : str
        What to type.
    what : str
        The fault in words; empty: what stood there is not what is allowed.
    """

    def __init__(self, allowed: str, hint: str, what: str = "") -> None:
        super().__init__(what or allowed)
        self.allowed = allowed
        self.hint = hint
        self.what = what


def read_word(text: str, words: Mapping[str, str], allowed: str, hint: str) -> str:
    """What a word stands for; how much (``slightly down``) is left out.

    Raises
    ------
    CellError
        None of the words.
    """
    plain = " ".join(text.casefold().replace("_", " ").split()).rstrip(".!")
    for dash in DASHES:
        plain = plain.replace(dash, "-")
    for written in (plain, _HOW_MUCH.sub("", plain)):
        for spelling in (
            written,
            written.replace(" ", ""),
            written.replace("-", " "),
            written.strip("()"),
        ):
            if spelling in words:
                return words[spelling]
    raise CellError(allowed, hint)


def read_whole(
    text: str, least: int, most: int, allowed: str, hint: str, before: tuple[str, ...] = ()
) -> int:
    """A whole number, such as ``7``, ``7th``, or with one of some words before it (``hole 7``).

    Raises
    ------
    CellError
        No number, or outside ``least`` to ``most``.
    """
    match = _WHOLE.fullmatch(" ".join(text.casefold().split()))
    if match is None or (match[1] and match[1].rstrip(".") not in before):
        raise CellError(allowed, hint)
    number = int(match[2])
    if not least <= number <= most:
        raise CellError(allowed, hint)
    return number


def read_grade(text: str, allowed: str, hint: str, unit: str | None = None) -> float:
    """Rise over run as a fraction: ``2.5%``, ``2.5`` and ``0.025`` are the same.

    Parameters
    ----------
    text, allowed, hint : str
    unit : str, optional
        ``percent`` where the header says that the numbers are percent.

    Raises
    ------
    CellError
        No number, steeper than 15 %, or a bare number that may be either.
    """
    match = _GRADE.fullmatch(text.casefold())
    if match is None:
        raise CellError(allowed, hint)
    value = float(match[1].replace(",", "."))
    percent = bool(match[2]) or unit == "percent"
    doubtful = 0 < value < _SHARE_UP_TO if percent else _SHARE_UP_TO < value < _PERCENT_FROM
    if doubtful and not match[2]:
        what = f"'{text}' may be a share (rise over run) or percent"
        which = f"Write {match[1]}% if it is percent, {100 * value:g}% if it is a share."
        raise CellError(allowed, which, what)
    grade = value / 100 if percent or value >= _PERCENT_FROM else value
    if grade > STEEPEST:
        raise CellError(allowed, hint)
    return grade


def read_aim(text: str, allowed: str, hint: str, unit: str | None = None) -> float:
    """How far outside the centre of the hole the player aimed, in inches, positive left.

    ``6 in left``, ``2 cups right`` (hole widths from the centre), ``1 ball left``, ``left edge``,
    ``1 cup outside left`` (from the edge), ``centre``.

    Raises
    ------
    CellError
        Anything else, or farther than 20 ft.
    """
    plain = " ".join(
        text.casefold().replace("''", '"').translate(str.maketrans("’”", "'\"")).split()
    )
    for sign, fraction in _FRACTIONS.items():
        plain = " ".join(plain.replace(sign, f" {fraction}").split())
    plain = re.sub(r"^(edge|lip) (left|right|l|r)$", r"\2 \1", plain)
    plain = plain.rstrip(".!").removeprefix("aimed ").removeprefix("at ").removeprefix("the ")
    if plain in _CENTRES:
        return 0.0
    words = [_NUMBERS.get(word, word) for word in plain.split() if word != "of"]
    # "half a cup" is half of one, "two and a half cups" two and a half.
    plain = " ".join(words).replace("1/2 1 ", "1/2 ").replace(" and 1 1/2", " 1/2")
    inches = _aim_inches(plain, unit)
    if inches is None or abs(inches) > WIDEST_AIM_IN:
        raise CellError(allowed, hint)
    return inches


def _aim_inches(plain: str, unit: str | None) -> float | None:
    match = _AIM.fullmatch(plain)
    if match is None:
        return None
    number, word, outside, side, edge = match.groups()
    sign = _AIM_SIDES[side]
    if number is None:
        # A whole "left" says no more than the side.
        return sign * HOLE_IN / 2 if edge and word is None and outside is None else None
    size = _AIM_UNITS.get(word or {"in": "in", "cm": "cm", "ft": "ft"}.get(unit or "", ""))
    if size is None:
        return None
    whole, _, part = number.replace(",", ".").rpartition(" ")
    try:
        amount = float(Fraction(part)) + float(whole or 0)
    except (ValueError, ZeroDivisionError):
        return None
    from_centre = HOLE_IN / 2 if outside or edge else 0.0
    return sign * (amount * size + from_centre)
