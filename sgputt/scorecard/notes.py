"""A round noted on a phone, one line a hole: ``4. 18 ft two putts, left it short``.

The number of the hole, lengths and known words only; anything else is a problem, never a guess.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from sgputt.putts.columns import LAST_HOLE, MAX_PUTTS
from sgputt.putts.values import CellError
from sgputt.safe_text import shown
from sgputt.scorecard.cells import looks_like_a_date
from sgputt.scorecard.files import Row
from sgputt.scorecard.headers import ColumnAt, Header
from sgputt.scorecard.problem import Ledger, Place

_HOLE = re.compile(
    r"(?:hole |h|#)? ?([1-9][0-9]?)(?:st|nd|rd|th)?(?: ?[.):=-]+ ?|[,;] | (?=\S))(.*)",
    re.IGNORECASE,
)
# A bare number, a dot and a number is a length or a date, not a hole and its length.
_DECIMAL = re.compile(r"[0-9]+[.,][0-9]+\b")
_WORDS = re.compile(
    r"[~≈]?[0-9]+ [0-9]/[0-9](?: ?(?:ft|feet|foot|m|in|inches|paces|yds?)\b|'|\")?"
    r"|[0-9]+ ?(?:ft|feet|foot|')\.? ?[0-9]+ ?(?:in(?:ches|s)?\b|\"|'')"
    r"|[0-9]+'[0-9]+(?![0-9])"
    r"|[~≈]?[0-9]+(?:[.,][0-9]+)?(?:[½¼¾])? ?(?:ft|feet|foot|m|metres?|meters?|cm|in|ins|inch|"
    r"inches|yds?|yards?|paces?|steps?|footer)?\b['\"”’]*"
    r"|[a-zA-Z][a-zA-Z'-]*|[^\s\w]+"
)
_NUMBER_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5}
_FILLERS = frozenset(
    (
        *("a", "an", "the", "from", "it", "for", "of", "and", "then", "to", "putt", "putts", "was"),
        *("with", "at", "on", "my", "i", "had", "remaining", "out", "away", "hole", "green"),
        *("first", "second", "third", "next"),
    )
)
_PUNCTUATION = re.compile(r"[^\w\s]+")
# Whole phrases, longest first; what each says by column. "left it short" is no side.
_PHRASES: tuple[tuple[str, dict[str, str]], ...] = (
    ("left it short", {"miss": "short"}),
    ("left it past", {"miss": "past"}),
    ("came up short", {"miss": "short"}),
    ("ran it past", {"miss": "past"}),
    ("ran it by", {"miss": "past"}),
    ("ran past", {"miss": "past"}),
    ("went past", {"miss": "past"}),
    ("missed short", {"miss": "short"}),
    ("missed long", {"miss": "past"}),
    ("missed left", {"miss": "left"}),
    ("missed right", {"miss": "right"}),
    ("missed high", {"miss": "high"}),
    ("missed low", {"miss": "low"}),
    ("high side", {"miss": "high"}),
    ("low side", {"miss": "low"}),
    ("short left", {"miss": "short left"}),
    ("short right", {"miss": "short right"}),
    ("past left", {"miss": "past left"}),
    ("past right", {"miss": "past right"}),
    ("long left", {"miss": "past left"}),
    ("long right", {"miss": "past right"}),
    ("left to right", {"break": "left to right"}),
    ("right to left", {"break": "right to left"}),
    ("no break", {"break": "straight"}),
    ("chipped in", {"result": "chipped in"}),
    ("chip in", {"result": "chipped in"}),
    ("holed out", {"result": "chipped in"}),
    ("picked up", {"result": "picked up"}),
    ("pick up", {"result": "picked up"}),
    ("tap in", {"tap": "tap in"}),
    ("tapped in", {"tap": "tap in"}),
    ("up hill", {"slope": "uphill"}),
    ("down hill", {"slope": "downhill"}),
    ("not played", {"result": "not played"}),
)
_SINGLE: dict[str, dict[str, str]] = {
    **{word: {"slope": "uphill"} for word in ("uphill", "up")},
    **{word: {"slope": "downhill"} for word in ("downhill", "down")},
    **{word: {"slope": "level"} for word in ("level", "flat")},
    **{word: {"break": "left to right"} for word in ("l-r", "lr", "ltor", "l2r")},
    **{word: {"break": "right to left"} for word in ("r-l", "rl", "rtol", "r2l")},
    **{word: {"break": "straight"} for word in ("straight",)},
    **{word: {"miss": "short"} for word in ("short",)},
    **{word: {"miss": "past"} for word in ("past", "long")},
    **{word: {"miss": "left"} for word in ("left",)},
    **{word: {"miss": "right"} for word in ("right",)},
    **{word: {"miss": "high"} for word in ("high",)},
    **{word: {"miss": "low"} for word in ("low",)},
    **{word: {"result": "holed"} for word in ("holed", "made", "sank", "drained", "in")},
    **{word: {"result": "conceded"} for word in ("conceded", "gimme", "given")},
    **{word: {"result": "chipped in"} for word in ("chip-in", "chipin", "chipped-in")},
    **{word: {"tap": "tap in"} for word in ("tap-in", "tapin")},
    **{word: {"missed": "missed"} for word in ("missed",)},
}


@dataclass
class NoteLine:
    """What a line says of its hole, by the keys of a card of a row a hole."""

    cells: dict[str, str] = field(default_factory=dict)
    bad: bool = False


def note_header(rows: Sequence[Row]) -> Header | None:
    """The header that a note stands for: None unless most of its lines begin with a hole."""
    holes = [match for row in rows if (match := _hole_of(row))]
    if not holes or 2 * len(holes) < len(rows):
        return None
    # Lines of numbers alone are the rows of a card that has lost its header.
    if not any(re.search(r"[A-Za-z'\"]", match[1]) for match in holes):
        return None
    slots = range(1, MAX_PUTTS + 1)
    keys = ("hole", "par", "putts", "result", *(f"distance{n}" for n in slots))
    keys += tuple(f"{key}{n}" for key in ("miss", "slope", "break") for n in slots)
    columns = {key: ColumnAt(0, "note", None) for key in keys}
    return Header(rows[0], "holes", columns, MAX_PUTTS)


def text_of(row: Row) -> str:
    """A line as it was written: commas in it have made cells of it."""
    return " ".join(",".join(row.cells).strip(" ,").lstrip("-*•– ").split())


def _hole_of(row: Row) -> tuple[int, str] | None:
    text = text_of(row)
    match = _HOLE.fullmatch(text)
    if match is None or _DECIMAL.match(text) or looks_like_a_date(text):
        return None
    if not 1 <= int(match[1]) <= LAST_HOLE:
        return None
    return int(match[1]), match[2]


def read_note(row: Row, ledger: Ledger) -> NoteLine | None:
    """What a line says; None where it is not of a hole. What is not understood is a problem."""
    found = _hole_of(row)
    if found is None:
        return None
    hole, text = found
    line = NoteLine({"hole": str(hole)})
    try:
        _Words(text).fill(line.cells)
    except CellError as exc:
        line.bad = True
        place = Place(row.number, None, shown(text), row.sheet)
        ledger.add(place, exc.allowed, exc.hint, exc.what)
    return line


_ALLOWED = "the hole, lengths with their unit, the number of putts, and words of a miss"
_HINT = "Write for instance: 4. 18 ft, two putts, short left, uphill."


class _Words:
    """The words of one line, read from left to right."""

    def __init__(self, text: str) -> None:
        plain = text.translate(str.maketrans("’‘”“", "''\"\"")).casefold()
        par = re.search(r"\bpar ?([3-6])\b", plain)
        self._par = par[1] if par else None
        plain = plain.replace(par[0], " ") if par else plain
        plain = re.sub(r"\b(?:no|zero) putts?\b", "0 putts", plain)
        plain = re.sub(r"(\d)[ -]?putt(s|ed|er)?\b", r"\1 putts", plain)
        plain = re.sub(r"\b(one|two|three|four|five)[ -]putt(s|ed|er)?\b", r"\1 putts", plain)
        self._words = [match[0].strip() for match in _WORDS.finditer(plain)]
        self._lengths: list[str] = []
        self._said: dict[str, str] = {}
        self._count: int | None = None

    def fill(self, cells: dict[str, str]) -> None:
        at = 0
        while at < len(self._words):
            at += self._take(at)
        if self._said.get("result") == "not played":
            return
        if self._said.pop("missed", None) and self._count is None and len(self._lengths) < 2:
            raise CellError(
                _ALLOWED,
                "Write how many putts: two putts.",
                "a putt was missed, but the number of putts is not written",
            )
        if self._par:
            cells["par"] = self._par
        for number, length in enumerate(self._lengths, start=1):
            cells[f"distance{number}"] = length
        count = self._counted()
        if count is not None:
            cells["putts"] = str(count)
        for name, word in self._said.items():
            cells[name if name == "result" else f"{name}1"] = word

    def _counted(self) -> int | None:
        result = self._said.get("result")
        least = len(self._lengths)
        if result == "chipped in":
            if least or self._count:
                raise CellError(_ALLOWED, _HINT, "it was chipped in, but a putt is written")
            return 0
        if self._count is not None:
            return self._count
        # "18 ft, made" is one putt; "18 ft, 3 ft" is two; "18 ft" does not say.
        if least > 1 or (result in ("holed", "conceded") and least == 1):
            return least
        return None

    def _take(self, at: int) -> int:
        word = self._words[at]
        for phrase, says in _PHRASES:
            parts = phrase.split()
            if self._words[at : at + len(parts)] == parts:
                self._say(says, phrase)
                return len(parts)
        if word in ("left", "ran") and (used := self._leave(at)):
            return used
        if word in _NUMBER_WORDS and self._words[at + 1 : at + 2] == ["putts"]:
            return self._take_count(_NUMBER_WORDS[word], 2)
        if re.match(r"[~≈]?[0-9]", word):
            return self._take_number(at, word)
        if word in _SINGLE:
            if word == "left" and self._words[at + 1 : at + 2] in (["short"], ["long"], ["it"]):
                what = "'left short' may be a side and a pace, or a putt that was left short"
                raise CellError(_ALLOWED, "Write short left, or: left it short.", what)
            self._say(_SINGLE[word], word)
            return 1
        if word in _FILLERS or _PUNCTUATION.fullmatch(word):
            return 1
        raise CellError(_ALLOWED, _HINT, f"'{shown(word)}' is not understood")

    def _leave(self, at: int) -> int:
        """``left it 3 ft short``, ``left 3 ft``: the next length, and how it missed."""
        here = at + 1
        while self._words[here : here + 1] and self._words[here] in ("it", "about", "a"):
            here += 1
        word = self._words[here] if here < len(self._words) else ""
        if not re.match(r"[~≈]?[0-9].*[a-z'\"½¼¾]", word):
            return 0
        self._lengths.append(word)
        return here + 1 - at

    def _take_number(self, at: int, word: str) -> int:
        following = self._words[at + 1 : at + 2]
        if word.isdecimal() and following == ["putts"]:
            return self._take_count(int(word), 2)
        if word.isdecimal() and self._lengths:
            what = f"'{word}' may be a length or the number of putts"
            raise CellError(_ALLOWED, f"Write {word} ft, or {word} putts.", what)
        self._lengths.append(re.sub(r"footer$", "ft", word))
        return 1

    def _take_count(self, count: int, used: int) -> int:
        if self._count not in (None, count):
            raise CellError(_ALLOWED, _HINT, "the number of putts is written twice")
        self._count = count
        return used

    def _say(self, says: dict[str, str], words: str) -> None:
        ((name, word),) = says.items()
        before = self._said.get(name)
        if name == "tap":
            self._lengths.append("tap in")
        elif name == "miss" and before and before != word and " " not in before:
            self._said[name] = f"{before} {word}"
        elif before not in (None, word):
            raise CellError(_ALLOWED, _HINT, f"'{words}' does not go with '{before}'")
        else:
            self._said[name] = word
