"""Column names as people write them, and the layout they make."""

from __future__ import annotations

import difflib
import re
import statistics
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from sgputt.putts.columns import COLUMNS, MAX_PUTTS, Layout
from sgputt.putts.units import unit_of
from sgputt.safe_text import shown
from sgputt.scorecard.problem import Ledger, Place

if TYPE_CHECKING:
    from sgputt.scorecard.files import Row

LEAST = (
    "Least headers, a row a hole: hole,putts,putt1. "
    "Least headers, a row a putt: hole,putt,distance_ft."
)
ROWS_LOOKED_AT = 20
# Columns of a card of a row a hole that may stand there once for each putt.
SLOTTED = frozenset(
    column.on_card
    for column in COLUMNS
    if column.per == "putt" and column.name not in ("putt", "result")
)
_LENGTHS = tuple(column.on_card for column in COLUMNS if column.is_length)
_NAME_OF = {
    header.strip(): column.on_card
    for column in COLUMNS
    for header in column.headers.split(",")
    if header.strip()
}
# A bare left or right in such a column says where the ball turns to, or comes from.
_TURNS = {
    **dict.fromkeys(("break to", "breaks to", "turns to", "moves to", "breaking to"), "to"),
    **dict.fromkeys(("break from", "breaks from", "turns from", "comes from"), "from"),
}
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}
_COUNTS = {"one": 1, "two": 2, "three": 3, "four": 4}
# A unit as the whole header; the shorter ones (m, in, p) may mean something else.
_LENGTH_UNITS = ("ft", "feet", "metres", "meters", "cm", "yards", "paces", "inches")
# The length of a hole beside its putts: in whatever unit it is over this, and a putt is not.
_LENGTH_OF_A_HOLE = 60
_LONGEST_HEADER = 100
_ORDINAL = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?")
_WORD_THEN_DIGIT = re.compile(r"(?<=[a-z])(?=[0-9])")
_DIGIT_THEN_WORD = re.compile(r"(?<=[0-9])(?!st|nd|rd|th)(?=[a-z])")
_TICKED = re.compile(r"([1-9]|one|two|three|four)[ -]?putts?(?: hole)?s?\??")
TICKS = frozenset(("x", "✓", "✔", "y", "yes", "true", "1", "*"))
NO_TICKS = frozenset(("", "n", "no", "false", "0", "-", "–", "—"))
_FILLERS = ("putt", "putts", "the", "of", "to", "at")
# Words of other columns of a scorecard, however like one of ours they look.
_OTHERS = frozenset(
    (
        *("score", "scores", "strokes", "stroke", "gross", "net", "points", "stableford", "total"),
        *("fairway", "fairways", "fir", "gir", "green", "greens", "index", "si", "hcp", "handicap"),
        *("penalty", "penalties", "drive", "driver", "tee", "tees", "club", "sand", "bunker"),
        *("note", "notes", "comment", "comments", "remark", "remarks", "weather", "wind", "time"),
        *("temperature", "chip", "chips", "approach", "yardage", "white", "yellow", "red", "blue"),
        # Of exported putts: where each was written.
        "source",
    )
)


class Name(NamedTuple):
    """What a header means: column, number of the putt (None: not said) and unit."""

    name: str
    slot: int | None
    unit: str | None


@dataclass(frozen=True)
class ColumnAt:
    """Where a column stands, its header as written, and its unit if anything says one."""

    index: int
    written: str
    unit: str | None


@dataclass
class Header:
    """Columns of a card by key: ``hole``, ``putts``; ``distance1``, ``slope2`` with a number.

    ``ticks`` are columns that say by a tick how many putts a hole took, by that number.
    """

    row: Row
    layout: Layout
    columns: dict[str, ColumnAt]
    last_slot: int
    ticks: dict[int, ColumnAt] = field(default_factory=dict)

    def written(self, key: str) -> str | None:
        """Header of a column as it stands in the file; None if there is no such column."""
        return self.columns[key].written if key in self.columns else None


# Cells of a card repeat, and each is looked at for every delimiter.
@lru_cache(maxsize=1024)
def recognise(text: str) -> Name | None:
    """Meaning of one header, or None when it is not about putting."""
    if len(text) > _LONGEST_HEADER:
        return None
    tokens = _tokens(text)
    unit = unit_of(tokens[-1]) if len(tokens) > 1 else None
    bare = _split_number(tokens[:-1] if unit else tokens)
    if unit and bare and bare.name in _LENGTHS:
        return bare._replace(unit=unit)
    if alone := _unit_alone(tokens):
        return alone
    words = [token for token in tokens if not _number(token)]
    if (way := _TURNS.get(" ".join(words))) and (found := _split_number(["break", *tokens[2:]])):
        return found._replace(unit=way)
    found = _split_number(tokens)
    if found and found.name == "grade" and {"percent", "pct"} & set(tokens):
        return found._replace(unit="percent")
    return found


def recognised(cells: Iterable[str]) -> int:
    """How many of these cells read as headers."""
    return sum(recognise(cell) is not None for cell in cells)


def is_header(cells: Sequence[str]) -> bool:
    """Whether a row names a hole and something else."""
    found = [name for cell in cells if (name := recognise(cell))]
    named = len(found) >= 2 or sum(_behind_a_name(cell) is not None for cell in cells) >= 2
    return named and any(name.name == "hole" for name in found)


def _behind_a_name(text: str) -> Name | None:
    """What a header means without its first word, which may be a player's name."""
    words = text.split()
    return recognise(" ".join(words[1:])) if len(words) > 1 and recognise(text) is None else None


def makes_a_card(cells: Sequence[str]) -> bool:
    """Whether a row names all that a card needs."""
    known = {(n.name, n.slot) for cell in cells if (n := recognise(cell))}
    return is_header(cells) and layout_of(known) is not None


def best_of_the_top(rows: Sequence[Row]) -> Row | None:
    """The row of the first ones that is most like a header; None where none is."""
    top = rows[:ROWS_LOOKED_AT]
    best = max(top, key=lambda row: recognised(row.cells), default=None)
    return best if best is not None and recognised(best.cells) >= 2 else None


def layout_of(known: set[tuple[str, int | None]], ticks: int = 0) -> Layout | None:
    """The layout that these columns make, or None."""
    if {("putt", None), ("distance", None)} <= known:
        return "putts"
    first = ("distance", 1) in known or ("distance", None) in known
    counted = ("putts", None) in known or ("distance", 2) in known or ticks > 1
    return "holes" if first and counted else None


def read_header(row: Row, below: Sequence[Row], ledger: Ledger) -> Header | None:
    """Columns and layout of a header row; None, with a problem written down, if it makes none.

    Parameters
    ----------
    row : Row
    below : sequence of Row
        The rows under it, which tell the length of a hole from that of a putt, and a tick from a
        length.
    ledger : Ledger
    """
    data = [other for other in below if other.cells != row.cells]
    cells = [
        _Cell(
            ColumnAt(index, text.strip(), None),
            recognise(text),
            [r.cells[index].strip() for r in data if index < len(r.cells)],
        )
        for index, text in enumerate(row.cells)
    ]
    ticks: dict[int, ColumnAt] = {}
    named: list[_Cell] = []
    # Beside lengths under "1 putt" and "2 putt" those under "3 putt" are lengths too.
    counts = [cell for cell in cells if _count_of(cell.at.written) and any(cell.values)]
    may_tick = all(_ticked(cell.at.written, cell.values) is not None for cell in counts)
    for cell in cells:
        count = _ticked(cell.at.written, cell.values) if may_tick else None
        if count is not None:
            ticks[count] = cell.at
        elif cell.is_("distance", None) and _are_holes(cell, cells):
            what = f"column '{shown(cell.at.written)}': taken as the length of the holes, left out"
            ledger.note(what)
        else:
            named.append(cell)
    known = {(cell.found.name, cell.found.slot) for cell in named if cell.found}
    layout = layout_of(known, len(ticks))
    if _side_by_side(row, named, layout or "holes", ledger):
        return None
    if layout is None or ("hole", None) not in known:
        _complain(row, known, ledger)
        return None
    last_slot = max((slot or 1 for _, slot in known), default=1)
    if last_slot > MAX_PUTTS:
        what = f"there are columns for {last_slot} putts of a hole"
        hint = "Take out the columns that no hole needs."
        place = Place(row.number, None, "", row.sheet)
        ledger.add(place, f"columns for at most {MAX_PUTTS} putts", hint, what)
        return None
    columns = _columns(row, named, layout, ledger)
    return None if columns is None else Header(row, layout, columns, last_slot, ticks)


@dataclass
class _Cell:
    """A cell of a header, what it means, and what stands under it."""

    at: ColumnAt
    found: Name | None
    values: list[str]

    def is_(self, name: str, slot: int | None) -> bool:
        """Whether it means this column."""
        return self.found is not None and self.found[:2] == (name, slot)


def _columns(
    row: Row, named: Sequence[_Cell], layout: Layout, ledger: Ledger
) -> dict[str, ColumnAt] | None:
    """Columns by their keys; None, with a problem written down, where one is not clear."""
    columns: dict[str, ColumnAt] = {}
    clean = True
    for cell in named:
        key = _key(cell.found, layout)
        unit = cell.found.unit if cell.found else None
        at = ColumnAt(cell.at.index, cell.at.written, unit)
        if key is None and (feet := _feet_on_the_left(at, columns)):
            columns[feet.replace("distance", "inches")] = at
        elif key is None:
            clean &= _left_out(row, cell, layout, ledger)
        elif key not in columns:
            columns[key] = at
        elif (columns[key].unit, unit) == ("ft", "in"):
            columns[key.replace("distance", "inches")] = at
        else:
            clean = False
            ledger.add(
                Place(row.number, at.written.strip(), at.written.strip(), row.sheet),
                "each column once",
                "Delete or rename one of the two.",
                f"'{shown(at.written)}' means the same as column '{shown(columns[key].written)}'",
            )
    return columns if clean else None


def _count_of(text: str) -> int | None:
    """The number in a header such as ``3-putt``, which is no length by itself."""
    match = _TICKED.fullmatch(" ".join(text.casefold().split()))
    return int(_COUNTS.get(match[1], match[1])) if match else None


def _ticked(text: str, values: Sequence[str]) -> int | None:
    """Number of putts that a column says by a tick; None for any other column."""
    if not any(values) or any(value.casefold() not in TICKS | NO_TICKS for value in values):
        return None
    return _count_of(text)


def _are_holes(cell: _Cell, cells: Sequence[_Cell]) -> bool:
    """Whether a column of lengths holds those of the holes, beside one for the putts."""
    texts = [value.replace(",", ".") for value in cell.values]
    numbers = [float(text) for text in texts if re.fullmatch(r"\d{1,4}(?:\.\d+)?", text)]
    assert cell.found is not None
    other = any(
        each.found is not None and each.found.name == "distance" and each is not cell
        for each in cells
    )
    large = cell.found.unit in ("yd", "m")
    return (other or large) and bool(numbers) and statistics.median(numbers) > _LENGTH_OF_A_HOLE


def _feet_on_the_left(at: ColumnAt, columns: dict[str, ColumnAt]) -> str | None:
    """Key of the feet of which a column holds the inches beside them; None for another column."""
    plain = at.written.casefold().strip("().\"'")
    if plain not in ("in", "ins", "inch", "inches") and at.written not in ('"', "''"):
        return None
    return next(
        (
            key
            for key, left in columns.items()
            if left.index == at.index - 1 and key.startswith("distance") and left.unit == "ft"
        ),
        None,
    )


def _side_by_side(row: Row, named: Sequence[_Cell], layout: Layout, ledger: Ledger) -> bool:
    """Whether the columns are those of two players, which is said."""
    keys = Counter(
        _key(cell.found, layout)
        for cell in named
        if cell.found is not None and cell.found.unit != "in"
    )
    twice = [key for key, count in keys.items() if key and count > 1]
    players: dict[str, set[str]] = {}
    for cell in named:
        if name := _behind_a_name(cell.at.written):
            players.setdefault(cell.at.written.split()[0].casefold(), set()).add(name.name)
    if len(twice) < 2 and sum(len(columns) > 1 for columns in players.values()) < 2:
        return False
    hint = "Give each player a table below the other, or rows of their own with a column 'player'."
    what = "the columns of two players stand side by side"
    place = Place(row.number, None, ", ".join(row.cells), row.sheet)
    ledger.add(place, "the columns of one player", hint, what)
    return True


def _tokens(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKC", text)
    plain = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", plain).casefold()
    plain = plain.replace("#", " no ").replace("%", " percent ")
    plain = re.sub(r"[^a-z0-9]+", " ", plain)
    plain = _DIGIT_THEN_WORD.sub(" ", _WORD_THEN_DIGIT.sub(" ", plain))
    tokens = plain.split()
    in_unit = tokens[-2:-1] == ["in"] and unit_of(tokens[-1])
    return [token for token in tokens if token != "in"] if in_unit else tokens


def _split_number(tokens: Sequence[str]) -> Name | None:
    numbers = [number for token in tokens if (number := _number(token))]
    words = [token for token in tokens if not _number(token)]
    if not numbers:
        name = _named(words)
        return Name(name, None, None) if name else None
    ordinal = len(tokens) == 1 and not tokens[0].isdigit()
    name = "distance" if ordinal or words in (["putt"], ["p"]) else _named(words)
    return Name(name, numbers[0], None) if name in SLOTTED and len(numbers) == 1 else None


def _unit_alone(tokens: Sequence[str]) -> Name | None:
    """Meaning of a header that is but a unit: ``ft``; ``ft2`` and ``in2`` of a later putt."""
    if len(tokens) == 1 and tokens[0] in _LENGTH_UNITS:
        return Name("distance", None, unit_of(tokens[0]))
    if len(tokens) == 2 and tokens[0] in (*_LENGTH_UNITS, "in") and tokens[1].isdigit():
        return Name("distance", _number(tokens[1]), unit_of(tokens[0]))
    return None


def _named(words: list[str]) -> str | None:
    few = [word for word in words if word not in _FILLERS]
    return (
        _NAME_OF.get(" ".join(words))
        or _NAME_OF.get(" ".join(words[1:] if words[:1] == ["putt"] else words))
        or (_NAME_OF.get(" ".join(few)) if few else None)
    )


def _number(token: str) -> int | None:
    match = _ORDINAL.fullmatch(token)
    return int(match[1]) if match else _ORDINALS.get(token)


def _key(found: Name | None, layout: Layout) -> str | None:
    if found is None:
        return None
    if layout == "putts":
        return found.name if found.slot is None and found.name != "putts" else None
    if found.name in SLOTTED:
        return f"{found.name}{found.slot or 1}"
    return found.name if found.name != "putt" else None


def key_of(text: str) -> tuple[str, str | None] | None:
    """Key in a card of a row a hole, and unit, of a name that stands beside holes going across."""
    found = recognise(text)
    key = _key(found, "holes") if found else None
    return (key, found.unit if found else None) if key else None


def _left_out(row: Row, cell: _Cell, layout: Layout, ledger: Ledger) -> bool:
    """Say that a column is left out; one that was probably meant for another is a problem."""
    text = cell.at.written
    if not text:
        return True
    if cell.found is not None:
        ledger.note(f"column '{shown(text)}' has no place in a card of {_said(layout)}: left out")
        return True
    meant = _perhaps(text)
    if meant is None or not any(cell.values):
        ledger.note(f"column '{shown(text)}' is not about putting: left out")
        return True
    what = f"column '{shown(text)}' is not understood; perhaps '{meant}' is meant"
    hint = f"Call it '{meant}', or take it out if it is something else."
    ledger.add(Place(row.number, text, text, row.sheet), "the name of a column", hint, what)
    return False


def _perhaps(text: str) -> str | None:
    """A header that a misspelt one was probably meant for."""
    plain = " ".join(_tokens(text))
    if len(plain) < 4 or set(plain.split()) & _OTHERS or any(map(_number, plain.split())):
        return None
    near = difflib.get_close_matches(plain, _NAME_OF, n=1, cutoff=0.8)
    if near and near[0] in _OTHERS:
        return None
    return near[0] if near else None


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
    guesses = [
        f"'{shown(cell)}' is not understood" + (f" (perhaps '{meant}')" if meant else "")
        for cell in row.cells
        if cell.strip() and recognise(cell) is None
        for meant in [_perhaps(cell)]
    ]
    if guesses:
        what += "; " + ", ".join(guesses[:5])
    place = Place(row.number, None, ", ".join(row.cells), row.sheet)
    ledger.add(place, "the headers of a scorecard", LEAST, what)
