"""The words of a scorecard: slope, break, miss, cause, result, surface."""

from __future__ import annotations

import re

from sgputt.scorecard.problem import CellError

DASHES = ("-", "–", "—", "−")

_SLOPES = {
    "uphill": "uphill up u + ↑ ⬆ upslope",
    "downhill": "downhill down d - ↓ ⬇ downslope dn",
    "level": "level flat l 0 = even",
    "unknown": "unknown ?",
}
_BREAKS = {
    "left to right": "l-r lr l2r l>r l→r l->r left-right left>right left/right l/r ltr → -> >",
    "right to left": "r-l rl r2l r>l r→l r->l right-left right>left right/left r/l rtl ← <- <",
    "straight": "straight none s 0 - no str flat",
    "unknown": "unknown ?",
}
_PACES = {
    "short": "short s",
    "past": "past long thru through p over",
    "unknown": "unknown ?",
    "": "none ok good fine",
}
_SIDES = {
    "left": "left l",
    "right": "right r",
    "none": "none straight online centre center middle no",
    "high": "high hi above",
    "low": "low lo below",
    "unknown": "unknown ?",
}
_CAUSES = {
    "read": "read misread reading",
    "aim": "aim alignment aiming",
    "stroke": "stroke strike",
    "pace": "pace speed",
    "": "none unknown ?",
}
_SURFACES = {
    "green": "green g on",
    "off green": "off fringe fairway apron collar rough",
}
_RESULTS = {
    "holed": "holed hole h made make in yes y 1 true sunk ✓ ✔",
    "missed": "missed miss m no n 0 false",
    "conceded": "conceded concede conc gimme given",
    "picked up": "pickup pu picked lifted",
    "chipped in": "chipin chipped chip",
}
_PHRASES: dict[str, dict[str, str]] = {
    "slope": {"not known": "unknown", "up hill": "uphill", "down hill": "downhill"},
    "break": {
        "left to right": "left to right",
        "l to r": "left to right",
        "left → right": "left to right",
        "right to left": "right to left",
        "r to l": "right to left",
        "right → left": "right to left",
        "no break": "straight",
    },
    "side": {"high side": "high", "low side": "low", "on line": "none"},
    "cause": {"start line": "stroke", "green reading": "read", "bad read": "read"},
    "surface": {"off green": "off green", "off the green": "off green", "on green": "green"},
    "result": {
        "picked up": "picked up",
        "pick up": "picked up",
        "chipped in": "chipped in",
        "chip in": "chipped in",
        "holed out from off": "chipped in",
        "holed out from off the green": "chipped in",
        "holed from off": "chipped in",
        "holed from off the green": "chipped in",
    },
}


def _table(kind: str, words: dict[str, str]) -> dict[str, str]:
    single = {word: name for name, spelled in words.items() for word in spelled.split()}
    return {**single, **_PHRASES.get(kind, {})}


_SLOPE_OF = _table("slope", _SLOPES)
_BREAK_OF = _table("break", _BREAKS)
_PACE_OF = _table("pace", _PACES)
_SIDE_OF = _table("side", _SIDES)
_CAUSE_OF = _table("cause", _CAUSES)
_SURFACE_OF = _table("surface", _SURFACES)
_RESULT_OF = _table("result", _RESULTS)

_PACE_ALLOWED = "a pace of miss: short, past or unknown"
_SIDE_ALLOWED = "a side of miss: left, right, none, high, low or unknown"
_MISS_ALLOWED = "a miss: short or past, left, right, high or low, or two of them (short left)"
_HANDED = "Push and pull depend on the hand: write left or right."
_HIGH_SIDE = {"left to right": "left", "right to left": "right"}
_LOW_SIDE = {"left to right": "right", "right to left": "left"}


def read_slope(text: str) -> str:
    """Slope along the line; ``-`` is downhill."""
    hint = "Write uphill, level, downhill or leave it blank."
    return _look_up(text, _SLOPE_OF, "a slope: uphill, level, downhill or unknown", hint)


def read_break(text: str) -> str:
    """Way the ball turns; ``-`` is straight. A bare left or right could mean either: refused."""
    allowed = "a break: left to right, straight, right to left or unknown"
    hint = "Write left to right (L-R), right to left (R-L), straight, or leave it blank."
    return _look_up(text, _BREAK_OF, allowed, hint)


def read_pace(text: str) -> str | None:
    """Pace of a miss; None where the word says that there was no fault in it."""
    return _look_up(text, _PACE_OF, _PACE_ALLOWED, "Write short or past.") or None


def read_side(text: str, breaking: str) -> str:
    """Side of a miss; high and low are resolved with the break of the same putt."""
    hint = _HANDED if _is_handed(text) else "Write left, right, high, low or none."
    side = _look_up(text, _SIDE_OF, _SIDE_ALLOWED, hint)
    return _resolved(side, breaking)


def read_miss(text: str, breaking: str) -> tuple[str | None, str | None]:
    """Pace and side of a miss written in one cell, such as ``short left``."""
    hint = _HANDED if _is_handed(text) else "Write for instance: short left, past, high."
    pace: str | None = None
    side: str | None = None
    words = _miss_words(text)
    if not words:
        raise CellError(_MISS_ALLOWED, hint)
    for word in words:
        if word in _SIDE_OF and side is None:
            side = _SIDE_OF[word]
        elif word in _PACE_OF and pace is None:
            pace = _PACE_OF[word] or None
        else:
            raise CellError(_MISS_ALLOWED, hint)
    return pace, None if side is None else _resolved(side, breaking)


def read_cause(text: str) -> str | None:
    """Cause of a miss in the player's own word; None where it says that none is known."""
    hint = "Write read, aim, stroke or pace, or leave it blank."
    return _look_up(text, _CAUSE_OF, "a cause: read, aim, stroke or pace", hint) or None


def read_surface(text: str) -> str:
    """Where the putt was struck from."""
    return _look_up(text, _SURFACE_OF, "a surface: green or off green", "Write green or off green.")


def read_result(text: str) -> str:
    """How a putt or a hole ended."""
    allowed = "a result: holed, missed, conceded, picked up or chipped in"
    hint = "Write holed, missed, conceded, picked up or chipped in."
    return _look_up(text, _RESULT_OF, allowed, hint)


def _look_up(text: str, words: dict[str, str], allowed: str, hint: str) -> str:
    plain = " ".join(text.casefold().replace("_", " ").split()).rstrip(".!")
    for dash in DASHES:
        plain = plain.replace(dash, "-")
    for spelling in (plain, plain.replace(" ", ""), plain.replace("-", " "), plain.strip("()")):
        if spelling in words:
            return words[spelling]
    raise CellError(allowed, hint)


def _miss_words(text: str) -> list[str]:
    plain = text.casefold()
    for phrase, word in (("side", " "), ("on line", "online"), ("on-line", "online")):
        plain = plain.replace(phrase, word)
    return [
        word for word in re.split(r"[\s,;/&+_.–—-]+", plain) if word not in ("", "and", "missed")
    ]


def _is_handed(text: str) -> bool:
    return bool(re.search(r"push|pull", text.casefold()))


def _resolved(side: str, breaking: str) -> str:
    if side not in ("high", "low"):
        return side
    sides = _HIGH_SIDE if side == "high" else _LOW_SIDE
    if breaking not in sides:
        raise CellError(
            _SIDE_ALLOWED,
            "Write the break (L-R or R-L), or left or right in place of high or low.",
            f"'{side}' needs a break to say which side it was, and here the break is {breaking}",
        )
    return sides[breaking]
