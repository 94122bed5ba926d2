"""Column names as people write them, and the layout they make."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

from sgputt.putts.units import unit_of
from sgputt.safe_text import shown
from sgputt.scorecard.problem import Ledger
from sgputt.scorecard.row import Row

Layout = Literal["putts", "holes"]

LEAST = (
    "Least headers, a row a hole: hole,putts,putt1. "
    "Least headers, a row a putt: hole,putt,distance_ft."
)
ROWS_LOOKED_AT = 20
SLOTTED = (
    "distance",
    "slope",
    "break",
    "miss",
    "miss_pace",
    "miss_side",
    "cause",
    "surface",
    "grade",
)
_CARD_WIDE = ("date", "player", "course", "event", "round", "hole", "par", "result", "stimp")
_LENGTHS = ("distance", "leave", "stimp")

_SPELLINGS: dict[str, str] = {
    "date": "date, day, played, played on, date played, round date",
    "player": "player, name, golfer, player name, who",
    "course": "course, club, venue, course name",
    "event": "event, tournament, competition, comp, event name, tournament name",
    "round": "round, rd, rnd, round no, round number, round nr, rd no",
    "hole": "hole, no, hole no, hole number, hole num, hole nr, h",
    "par": "par, hole par, par of hole",
    "putt": "putt, putt no, putt number, putt num, putt nr",
    "putts": "putts, no putts, no of putts, number of putts, putts no, putts taken, total putts, "
    "num putts, putt count, putts total, nr of putts",
    "distance": "distance, dist, length, len, putt length, putt distance, putt dist, putt len, "
    "length of putt, distance of putt, distance before",
    "result": "result, outcome, ending, finish, holed, made, hole result, putt result",
    "leave": "leave, distance left, distance after, remaining, length left, leave distance",
    "slope": "slope, incline, up down, uphill downhill",
    "break": "break, breaks, break dir, break direction, curve",
    "miss": "miss, missed, miss dir, miss direction, how missed, missed how",
    "miss_pace": "miss pace, pace, pace miss, short past, short long, miss length",
    "miss_side": "miss side, side, side miss, left right",
    "cause": "cause, why, reason, miss cause, cause of miss, fault",
    "surface": "surface, lie, putted from",
    "stimp": "stimp, speed, green speed, greens speed, stimpmeter, stimp reading",
    "grade": "grade, grade percent, slope percent, percent slope, gradient, percent, slope pct",
}
_NAME_OF = {
    spelling.strip(): name
    for name, spellings in _SPELLINGS.items()
    for spelling in spellings.split(",")
}
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}
# A unit as the whole header; the shorter ones (m, in, p) may mean something else.
_LENGTH_UNITS = ("ft", "feet", "metres", "meters", "cm", "yards", "paces")
_ORDINAL = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?")
_WORD_THEN_DIGIT = re.compile(r"(?<=[a-z])(?=[0-9])")
_DIGIT_THEN_WORD = re.compile(r"(?<=[0-9])(?!st|nd|rd|th)(?=[a-z])")


class Name(NamedTuple):
    """What a header means: column, number of the putt (None: not said) and unit."""

    name: str
    slot: int | None
    unit: str | None


@dataclass(frozen=True)
class Column:
    """Where a column stands, its header as written, and its unit if the header says one."""

    index: int
    written: str
    unit: str | None


@dataclass(frozen=True)
class Header:
    """Columns of a card by key: ``hole``, ``putts``; ``distance1``, ``slope2`` with a number."""

    row: Row
    layout: Layout
    columns: dict[str, Column]
    last_slot: int

    def written(self, key: str) -> str | None:
        """Header of a column as it stands in the file; None if there is no such column."""
        return self.columns[key].written if key in self.columns else None


# Cells of a card repeat, and each is looked at for every delimiter.
@lru_cache(maxsize=1024)
def recognise(text: str) -> Name | None:
    """Meaning of one header, or None when it is not about putting."""
    tokens = _tokens(text)
    unit = unit_of(tokens[-1]) if len(tokens) > 1 else None
    bare = _split_number(tokens[:-1] if unit else tokens)
    if unit and bare and bare.name in _LENGTHS:
        return bare._replace(unit=unit)
    if len(tokens) == 1 and tokens[0] in _LENGTH_UNITS:
        return Name("distance", None, unit_of(tokens[0]))
    return _split_number(tokens)


def recognised(cells: Iterable[str]) -> int:
    """How many of these cells read as headers."""
    return sum(recognise(cell) is not None for cell in cells)


def find_header(rows: Sequence[Row]) -> int | None:
    """Index of the header row: the first with a hole and one more, else the best of the top."""
    top = rows[:ROWS_LOOKED_AT]
    counts = [recognised(row.cells) for row in top]
    for index, row in enumerate(top):
        if counts[index] >= 2 and any((n := recognise(c)) and n.name == "hole" for c in row.cells):
            return index
    best = max(range(len(top)), key=counts.__getitem__, default=None)
    return best if best is not None and counts[best] >= 2 else None


def read_header(row: Row, ledger: Ledger) -> Header | None:
    """Columns and layout of a header row; None, with a problem written down, if it makes none."""
    names = [(index, text, recognise(text)) for index, text in enumerate(row.cells)]
    known = {(found.name, found.slot) for _, _, found in names if found}
    layout = _layout(known)
    if layout is None or ("hole", None) not in known:
        _complain(row, known, ledger)
        return None
    columns: dict[str, Column] = {}
    clean = True
    for index, text, found in names:
        key = _key(found, layout) if found else None
        if found is None or key is None:
            _note_left_out(text, found, layout, ledger)
        elif key in columns:
            clean = False
            _complain_twice(row, text, columns[key].written, ledger)
        else:
            columns[key] = Column(index, text.strip(), found.unit)
    last_slot = max((slot or 1 for _, slot in known), default=1)
    return Header(row, layout, columns, last_slot) if clean else None


def _tokens(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKC", text)
    plain = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", plain).casefold()
    plain = plain.replace("#", " no ").replace("%", " percent ")
    plain = re.sub(r"[^a-z0-9]+", " ", plain)
    plain = _DIGIT_THEN_WORD.sub(" ", _WORD_THEN_DIGIT.sub(" ", plain))
    tokens = plain.split()
    return [token for token in tokens if token != "in"] if tokens[-2:-1] == ["in"] else tokens


def _split_number(tokens: Sequence[str]) -> Name | None:
    numbers = [number for token in tokens if (number := _number(token))]
    words = [token for token in tokens if not _number(token)]
    if not numbers:
        name = _NAME_OF.get(" ".join(words)) or _NAME_OF.get(" ".join(_without_putt(words)))
        return Name(name, None, None) if name else None
    name = (
        "distance"
        if words in (["putt"], ["p"]) or _is_ordinal(tokens)
        else _NAME_OF.get(" ".join(_without_putt(words)))
    )
    return Name(name, numbers[0], None) if name in SLOTTED and len(numbers) == 1 else None


def _without_putt(words: list[str]) -> list[str]:
    return words[1:] if words[:1] == ["putt"] and len(words) > 1 else words


def _is_ordinal(tokens: Sequence[str]) -> bool:
    return len(tokens) == 1 and not tokens[0].isdigit()


def _number(token: str) -> int | None:
    match = _ORDINAL.fullmatch(token)
    return int(match[1]) if match else _ORDINALS.get(token)


def _layout(known: set[tuple[str, int | None]]) -> Layout | None:
    if {("putt", None), ("distance", None)} <= known:
        return "putts"
    first = ("distance", 1) in known or ("distance", None) in known
    counted = ("putts", None) in known or ("distance", 2) in known
    return "holes" if first and counted else None


def _key(found: Name, layout: Layout) -> str | None:
    if layout == "putts":
        return found.name if found.slot is None and found.name != "putts" else None
    if found.name in SLOTTED:
        return f"{found.name}{found.slot or 1}"
    return found.name if found.name in (*_CARD_WIDE, "putts") else None


def _note_left_out(text: str, found: Name | None, layout: Layout, ledger: Ledger) -> None:
    if not text.strip():
        return
    if found is None:
        ledger.note(f"column '{shown(text)}' is not about putting: left out")
    else:
        ledger.note(f"column '{shown(text)}' has no place in a card of {_said(layout)}: left out")


def _said(layout: Layout) -> str:
    return "a row a putt" if layout == "putts" else "a row a hole"


def _complain(row: Row, known: set[tuple[str, int | None]], ledger: Ledger) -> None:
    if ("hole", None) not in known:
        what = "there is no column 'hole'"
    elif ("putt", None) in known:
        what = "there is no column with the length of the putt"
    elif ("putts", None) in known:
        what = "there is no column with the length of the first putt"
    else:
        what = "there is no column with the number of putts"
    ledger.add(
        row.number, None, ", ".join(row.cells), "the headers of a scorecard", LEAST, what=what
    )


def _complain_twice(row: Row, text: str, first: str, ledger: Ledger) -> None:
    ledger.add(
        row.number,
        text.strip(),
        text.strip(),
        "each column once",
        "Delete or rename one of the two.",
        what=f"'{shown(text)}' means the same as column '{shown(first)}'",
    )
