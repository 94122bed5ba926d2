"""Lengths as people write them, in and out. Inside the program every length is feet."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from fractions import Fraction

from sgputt.errors import LengthError
from sgputt.wording import NONE

UNITS = ["ft", "m", "cm", "in", "yd", "paces"]
METRES_A_FOOT = 0.3048
FEET_PER_METRE = 1 / METRES_A_FOOT
PACE_FT = 3.0
LENGTH_HINT = "Write feet (12), feet and inches (12'6\"), metres (3.7 m) or paces (8 paces)."

_LONGEST_TEXT = 40
_FEET_PER_UNIT = {
    "ft": 1.0,
    "m": FEET_PER_METRE,
    "cm": FEET_PER_METRE / 100,
    "in": 1 / 12,
    "yd": 3.0,
}
_WORDS = {
    "ft": ("'", "ft", "foot", "feet"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "in": ('"', "in", "ins", "inch", "inches"),
    "yd": ("yd", "yds", "yard", "yards"),
    "paces": ("p", "pace", "paces", "step", "steps"),
}
_UNIT_OF_WORD = {word: unit for unit, words in _WORDS.items() for word in words}
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("’‘′`´", "'"),
        **dict.fromkeys("”“„″", '"'),
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⁄": "/",
    }
)
# As on a rule; 10/12 could as well be a day, or feet and inches.
_FRACTION = r"(?:1/[2348]|2/3|3/[48]|[57]/8)(?![0-9])"
_QUANTITY = rf"(?:[0-9]+ )?{_FRACTION}|[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+"
_ABOUT = r"(?:(?:~|≈|about|approx\.?|ca?\.) ?)?"
_ONE_UNIT = re.compile(rf"{_ABOUT}({_QUANTITY}) ?([a-z]+|'|\")?\.?")
_FEET_AND_INCHES = re.compile(
    rf"{_ABOUT}({_QUANTITY}) ?(?:'|ft|foot|feet)\.?,? ?({_QUANTITY}) ?(?:\"|inches|inch|ins|in)?\.?"
)

_SAID_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_BETWEEN = r"(?:\+?(?:, | and | or | to |[-\u2013])(?:an? )?)"
_FEET_SAID = re.compile(
    rf"(?P<stimp>stimp(?: of)?[ \u00a0])?(?<![\d.])(?P<numbers>\d+(?:\.\d+)?"
    rf"(?:{_BETWEEN}\d+(?:\.\d+)?)*\+?)(?P<gap>[ \u00a0-])(?P<unit>ft|feet|foot|footers?)\b"
)
_INCHES_WITH_MM = re.compile(
    r"\d+(?:\.\d+)?(?:[ \u00a0]\d+/\d+)?[ \u00a0](?:inches|inch|in) \((\d+[ \u00a0]mm)\)"
)
_SAID_INCHES = re.compile(r"\d+[ \u00a0]\d+/\d+|\d+/\d+|\d+(?:\.\d+)?")
_INCHES_SAID = re.compile(
    rf"(?<![\d.])(?P<numbers>(?:\d+[ \u00a0])?\d+/\d+|\d+(?:\.\d+)?(?:{_BETWEEN}\d+(?:\.\d+)?)*)"
    r"(?P<gap>[ \u00a0])(?:inches|inch|in"
    r"(?= (?:apart|wide|past|from|left|right|low|high)|[.,;)]|$))"
)


def parse_length(text: str, unit: str = "ft", pace_ft: float = PACE_FT) -> float:
    r"""Length in feet of what somebody typed.

    Parameters
    ----------
    text : str
        For example ``12``, ``12,5``, ``12'6"``, ``12 ft 6 in``, ``3.7 m``, ``8 paces``.
    unit : str
        Unit of a bare number, one of :data:`UNITS`.
    pace_ft : float
        Length of one pace in feet.

    Returns
    -------
    float
        Feet, more than zero and finite.

    Raises
    ------
    LengthError
        Anything else, the empty text among it.

    Examples
    --------
    >>> parse_length("12'6\"")
    12.5
    >>> round(parse_length("3.7", unit="m"), 2)
    12.14
    """
    plain = " ".join(text.translate(_PLAIN).casefold().replace("''", '"').split())
    feet = _feet(plain, unit, pace_ft) if len(plain) <= _LONGEST_TEXT else None
    if feet is None:
        raise LengthError(f"'{text}' is not a length", LENGTH_HINT)
    if not 0 < feet < math.inf:
        raise LengthError(f"'{text}' is not a length: it must be more than 0", LENGTH_HINT)
    return feet


def format_length(feet: float, unit: str = "ft", pace_ft: float = PACE_FT) -> str:
    """Length for showing, as ``12.5 ft`` or ``3.81 m``.

    Parameters
    ----------
    feet : float
        Length in feet.
    unit : str
        One of :data:`UNITS`.
    pace_ft : float
        Length of one pace in feet.

    Raises
    ------
    LengthError
        An unknown unit.

    Examples
    --------
    >>> format_length(12.5, "ft"), format_length(12.5, "m"), format_length(12.0, "ft")
    ('12.5 ft', '3.81 m', '12 ft')
    """
    value = feet / _feet_per(unit, pace_ft)
    digits = {"m": 2, "cm": 0}.get(unit, 1)
    shown = f"{value:.{digits}f}"
    return f"{shown if unit == 'm' else shown.removesuffix('.0')} {unit}"


def said_in_metres(text: str) -> str:
    """A sentence with its feet and inches said in metres and millimetres; all else stays.

    Ranges and lists before a unit are converted as a whole. Green speeds stay in feet, as the
    trade has them everywhere; a measure in millimetres that stands behind inches takes their place.

    Examples
    --------
    >>> said_in_metres("5-7 ft putts; tees at 3, 4 and 6 ft; a 10-footer on stimp 10 ft")
    '1.5-2.1 m putts; tees at 0.9, 1.2 and 1.8 m; a 3-metre putt on stimp 10 ft'
    >>> said_in_metres('a gate of 2 1/2 inches (64 mm), a tee 6 inches past')
    'a gate of 64 mm, a tee 150 mm past'
    """
    text = _INCHES_WITH_MM.sub(r"\1", text)
    text = _FEET_SAID.sub(_metres_for, text)
    return _INCHES_SAID.sub(_millimetres_for, text)


def _metres_for(match: re.Match[str]) -> str:
    if match["stimp"]:
        return match[0]
    unit = match["unit"]
    # The unit stands once for all; so it must do in metres, each with as many digits as it needs.
    converted = _SAID_NUMBER.sub(lambda each: metres_said(float(each[0])), match["numbers"])
    if unit.startswith("footer"):
        return f"{converted}-metre putt{'s' if unit.endswith('s') else ''}"
    if match["gap"] == "-":
        return f"{converted}-metre"
    return f"{converted}{match['gap']}m"


def metres_said(feet: float) -> str:
    """Feet in metres as texts and drawings say them: to 5 cm below a metre, else to 10 cm.

    Examples
    --------
    >>> metres_said(1.5), metres_said(12.0)
    ('0.45', '3.7')
    """
    metres = feet / FEET_PER_METRE
    shown = round(metres * 20) / 20 if metres < 1 else round(metres, 1)
    return f"{shown:g}"


def _millimetres_for(match: re.Match[str]) -> str:
    def millimetres(each: re.Match[str]) -> str:
        return f"{round(_number(each[0]) * 25.4 / 5) * 5:g}"

    converted = _SAID_INCHES.sub(millimetres, match["numbers"])
    return f"{converted}{match['gap']}mm"


def unit_of(word: str) -> str | None:
    """Name the unit that a word stands for (``Metres`` -> ``m``); None if it is none."""
    return _UNIT_OF_WORD.get(word.strip().casefold().removesuffix("."))


def _feet_per(unit: str, pace_ft: float) -> float:
    if unit == "paces":
        return pace_ft
    if unit not in _FEET_PER_UNIT:
        raise LengthError(f"'{unit}' is not a unit of length", f"Units: {', '.join(UNITS)}.")
    return _FEET_PER_UNIT[unit]


def _feet(plain: str, unit: str, pace_ft: float) -> float | None:
    if match := _ONE_UNIT.fullmatch(plain):
        word = match[2]
        named = unit if word is None else _UNIT_OF_WORD.get(word)
        return None if named is None else _convert(_number(match[1]), named, pace_ft)
    if match := _FEET_AND_INCHES.fullmatch(plain):
        feet, inches = _number(match[1]), _number(match[2])
        return feet + inches / 12 if inches < 12 else None
    return None


def _convert(value: float, unit: str, pace_ft: float) -> float:
    if unit == "m":
        return value / 0.3048
    if unit == "cm":
        return value / 30.48
    if unit == "in":
        return value / 12
    return value * _feet_per(unit, pace_ft)


def _number(text: str) -> float:
    if "/" not in text:
        return float(text.replace(",", "."))
    whole, _, fraction = text.rpartition(" ")
    top, bottom = fraction.split("/")
    return float(whole or 0) + int(top) / int(bottom)


def length_shown(feet: float | None) -> str:
    """Length in feet, or a dash."""
    return NONE if feet is None else format_length(feet).replace(" ", "\u00a0")


def lengths_shown(feet: list[float | None]) -> str:
    """Several lengths with the unit said once.

    Examples
    --------
    >>> lengths_shown([24.0, 3.5, None]).split()
    ['24,', '3.5,', '–', 'ft']
    """
    shown = [NONE if one is None else format_length(one).removesuffix(" ft") for one in feet]
    return f"{', '.join(shown)}\u00a0ft" if shown else NONE


def unit_shown(shown_in: str) -> tuple[float, str]:
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
