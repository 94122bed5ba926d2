"""The ways in which a sheet is laid out: a row a hole, a row a putt, holes across the top, a note.

Whatever the layout, what comes out is the same: titles (player, date ...) and lines, in the order
in which they stand.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from sgputt.putts.columns import BY_KEY, MAX_PUTTS
from sgputt.putts.units import unit_of
from sgputt.putts.values import CellError
from sgputt.safe_text import shown
from sgputt.scorecard.cells import Line, looks_like_a_date, texts_of
from sgputt.scorecard.files import Row
from sgputt.scorecard.headers import (
    LEAST,
    TICKS,
    ColumnAt,
    Header,
    best_of_the_top,
    is_header,
    key_of,
    layout_of,
    makes_a_card,
    read_header,
    recognise,
)
from sgputt.scorecard.notes import note_header, read_note, text_of
from sgputt.scorecard.problem import Ledger, Place, numbered

TOTALS = (
    *("out", "in", "total", "totals", "tot", "sum", "front", "back", "f9", "b9", "overall"),
    *("front 9", "back 9", "front nine", "back nine", "total out", "total in", "subtotal"),
    *(
        "average",
        "avg",
        "mean",
        "averages",
        "average per hole",
        "per hole",
        "out total",
        "in total",
    ),
)
# Headers of a file, of a table with holes across the top too: two a round at most.
MAX_TABLES = 4_000
# Letters of a line typed as a note.
_LONGEST_NOTE = 1_000
# Letters that are said of a row left out.
_SAID_OF_A_ROW = 40
_TITLED = ("player", "course", "event", "date", "round", "stimp")
_TITLES = {
    **dict.fromkeys(("unit", "units", "lengths in", "distances in", "putts in"), "unit"),
    **dict.fromkeys(("as written", "as_written"), "as_written"),
    **dict.fromkeys(("missing holes", "missing", "holes without a row"), "missing"),
}
_ROUND = re.compile(r"(?:round|rd) ?#?([0-9]{1,2})", re.IGNORECASE)
_ALL_IN = re.compile(
    r"\(?(?:all |putt(?:s|ing)? )?(?:lengths?|distances?|putts?)?(?: are)? ?in ([a-z]+)\)?",
    re.IGNORECASE,
)
_LENGTH_AND_COUNT = re.compile(
    r"(.*?)[,;/ –-]* ?\b(one|two|three|four|[0-9])[ -]?putts?", re.IGNORECASE
)
_COUNTS = {"one": "1", "two": "2", "three": "3", "four": "4"}
# Fewer numbers in a row are no holes across the top.
_HOLES_ACROSS = 3
_WITHOUT_A_NAME = 6
_MOST_TITLES = 16


@dataclass
class Titles:
    """What a row says of the card or of the lines under it: names and values."""

    row: Row
    pairs: list[tuple[str, str]]


@dataclass
class Sheetful:
    """What was found on a sheet.

    Attributes
    ----------
    items : list
        Titles and lines in their order.
    skipped : list of Row
        Rows that are done with: headers, titles, totals.
    lost : list of Row
        Rows under a header that makes no card.
    headers : list of Header
    """

    items: list[Titles | Line] = field(default_factory=list)
    skipped: list[Row] = field(default_factory=list)
    lost: list[Row] = field(default_factory=list)
    headers: list[Header] = field(default_factory=list)


def has_a_card(rows: Sequence[Row]) -> bool:
    """Whether a sheet holds anything that reads as a card."""
    return any(makes_a_card(row.cells) or _across(row) for row in rows) or bool(note_header(rows))


def lay_out(rows: Sequence[Row], ledger: Ledger, name: str | None = None) -> Sheetful:
    """Titles and lines of a sheet; what cannot be read becomes a problem.

    Parameters
    ----------
    rows : sequence of Row
    ledger : Ledger
    name : str, optional
        Name of the sheet where several are cards; it may say the round or the day.
    """
    found = _Reader(rows, ledger).read()
    if name and rows:
        if match := _ROUND.fullmatch(name.strip()):
            found.items.insert(0, Titles(rows[0], [("round", match[1])]))
        elif looks_like_a_date(name):
            found.items.insert(0, Titles(rows[0], [("date", name)]))
    return found


class _Reader:
    def __init__(self, rows: Sequence[Row], ledger: Ledger) -> None:
        self._rows = rows
        self._ledger = ledger
        self._found = Sheetful()
        self._header: Header | None = None
        self._lost = False
        self._left_out: dict[str, set[int]] = {}

    def read(self) -> Sheetful:
        starts = self._starts()
        if not starts:
            return self._without_header()
        begins = set(starts)
        at = 0
        while at < len(self._rows):
            if at in begins and len(self._found.headers) >= MAX_TABLES:
                self._refuse_the_rest(at)
                break
            until = self._next_start(starts, at)
            if at in begins and _across(self._rows[at]):
                at = self._read_across(at, until)
                continue
            if at in begins:
                self._start(at, until, starts)
            else:
                at += self._read_row(at)
            at += 1
        for why, numbers in self._left_out.items():
            self._ledger.note(f"{numbered(numbers, 'row')}: {why}, left out")
        return self._found

    def _next_start(self, starts: Sequence[int], at: int) -> int:
        following = bisect_right(starts, at)
        return starts[following] if following < len(starts) else len(self._rows)

    def _refuse_the_rest(self, at: int) -> None:
        row = self._rows[at]
        self._ledger.add(
            Place(row.number, None, "", row.sheet),
            f"at most {MAX_TABLES:,} tables in a file",
            "Split it into several files, one a season for instance.",
            f"more than {MAX_TABLES:,} headers stand above this row",
        )
        self._found.lost += self._rows[at:]

    def _starts(self) -> list[int]:
        """Indices of the rows that begin a table: the first header, and each that makes a card."""
        starts: list[int] = []
        for at, row in enumerate(self._rows):
            if _across(row) or (
                makes_a_card(row.cells)
                if starts
                else is_header(row.cells) and (at < 20 or makes_a_card(row.cells))
            ):
                starts.append(at)
        return starts

    def _without_header(self) -> Sheetful:
        header = note_header(self._rows)
        if header is not None:
            self._header = header
            for row in self._rows:
                self._read_note(row, header)
            return self._found
        best = best_of_the_top(self._rows)
        if best is None:
            what = "no row reads as the header of a scorecard"
            sheet = self._rows[0].sheet if self._rows else None
            self._ledger.add(Place(None, None, "", sheet), "a scorecard", LEAST, what)
        else:
            read_header(best, (), self._ledger)
        self._found.lost += self._rows
        return self._found

    def _read_note(self, row: Row, header: Header) -> None:
        if len(text_of(row)) > _LONGEST_NOTE:
            allowed = f"a line of at most {_LONGEST_NOTE:,} letters"
            place = Place(row.number, None, shown(text_of(row), 60), row.sheet)
            self._ledger.add(place, allowed, "Write one line a hole.", "the line is too long")
            self._found.lost.append(row)
            return
        texts = read_note(row, self._ledger)
        titles = None if texts is not None else titles_of(row.cells)
        if texts is not None:
            line = Line((row,), header, texts.cells, self._ledger)
            line.bad = texts.bad
            self._found.items.append(line)
        elif titles:
            self._title(row, titles)
        elif re.search(r"[0-9]", text_of(row)):
            what = "the hole of this line cannot be told"
            hint = "Begin with the number of the hole and a space: 4. 18 ft, two putts."
            place = Place(row.number, None, shown(text_of(row)), row.sheet)
            self._ledger.add(place, "a line that begins with its hole", hint, what)
            self._found.lost.append(row)
        else:
            self._ledger.note(f"row {row.number}: says nothing of a hole, left out")
            self._found.skipped.append(row)

    def _start(self, at: int, until: int, starts: Sequence[int]) -> None:
        row = self._rows[at]
        if self._header is not None and row.cells == self._header.row.cells:
            self._leave_out(row, "totals or a header, not a hole")
            return
        while until < len(self._rows) and self._rows[until].cells == row.cells:
            # The same header again, on the next page perhaps.
            until = self._next_start(starts, until)
        header = read_header(row, self._rows[at + 1 : until], self._ledger)
        self._header = header
        self._lost = header is None
        if header is None:
            self._found.lost.append(row)
            return
        self._found.headers.append(header)
        self._found.skipped.append(row)
        self._note_unnamed(header, self._rows[at + 1 : until])

    def _read_row(self, at: int) -> int:
        """Read one row under (or above) a header; says how many more rows went with it."""
        row = self._rows[at]
        if self._lost:
            self._found.lost.append(row)
            return 0
        header = self._header
        if header is not None and _is_of_a_hole(row, header):
            self._add_line(row, header)
            return 0
        if (titles := titles_of(row.cells)) is not None:
            self._title(row, titles)
            return 0
        below = self._rows[at + 1] if at + 1 < len(self._rows) else None
        if below is not None and (titles := _titles_over_values(row, below)) is not None:
            self._title(row, titles)
            self._found.skipped.append(below)
            return 1
        if header is not None and not _says_more(row, header):
            self._leave_out(row, "nothing about putting")
        elif header is None and _names_values(row):
            what = "these values stand under no row of hole numbers"
            hint = "Write the numbers of the holes above them: Hole, 1, 2, 3."
            place = Place(row.number, None, _label(row), row.sheet)
            self._ledger.add(place, "a row under the numbers of its holes", hint, what)
            self._found.lost.append(row)
        elif header is None:
            said = shown(", ".join(filter(None, map(str.strip, row.cells))), _SAID_OF_A_ROW)
            self._ledger.note(f"row {row.number} ('{said}'): stands above the header, left out")
            self._found.skipped.append(row)
        elif _is_total(row, header):
            self._leave_out(row, "totals or a header, not a hole")
        elif not self._takes_units(row, header):
            self._add_line(row, header)
        return 0

    def _add_line(self, row: Row, header: Header) -> None:
        texts = texts_of(row, header)
        line = Line((row,), header, texts, self._ledger)
        _normalise(line, texts)
        self._found.items.append(line)

    def _takes_units(self, row: Row, header: Header) -> bool:
        """Whether a row holds nothing but the units of its columns, which they then have."""
        cells = {at: cell.strip() for at, cell in enumerate(row.cells) if cell.strip()}
        units = {at: unit_of(cell.strip("()[] ")) for at, cell in cells.items()}
        if not cells or not any(units.values()):
            return False
        if any(
            unit is None and cells[at].casefold() not in ("no", "no.", "#", "nr", "-", "")
            for at, unit in units.items()
        ):
            return False
        for key, at in header.columns.items():
            if units.get(at.index):
                header.columns[key] = ColumnAt(at.index, at.written, units[at.index])
        self._leave_out(row, "units, not a hole")
        return True

    def _title(self, row: Row, pairs: list[tuple[str, str]]) -> None:
        self._found.items.append(Titles(row, pairs))
        self._found.skipped.append(row)

    def _leave_out(self, row: Row, why: str) -> None:
        self._found.skipped.append(row)
        self._left_out.setdefault(why, set()).add(row.number)

    def _note_unnamed(self, header: Header, below: Sequence[Row]) -> None:
        known = [at.index for at in header.columns.values()]
        for index, text in enumerate(header.row.cells):
            values = [r.cells[index].strip() for r in below if index < len(r.cells)]
            values = [value for value in values if value]
            if text.strip() or not values:
                continue
            numbers = sum(value[0].isdigit() for value in values)
            if min(known) < index < max(known) and 2 * numbers > len(values):
                what = f"column {index + 1} has no name, but numbers in it"
                hint = "Name it (putts, putt1, putt2), or clear it."
                place = Place(header.row.number, None, values[0], header.row.sheet)
                self._ledger.add(place, "a name above every column", hint, what)
            else:
                self._ledger.note(f"column {index + 1} has no name: left out")

    def _read_across(self, at: int, until: int) -> int:
        """Read a table with holes across the top; says where the rest of the sheet begins."""
        top = self._rows[at]
        holes = _across(top)
        assert holes is not None
        columns: dict[str, ColumnAt] = {"hole": ColumnAt(0, top.cells[0].strip() or "hole", None)}
        rows: dict[str, Row] = {"hole": top}
        first = min(holes)
        clean = True
        end = at + 1
        while end < until:
            row = self._rows[end]
            label = next((cell.strip() for cell in row.cells[:first] if cell.strip()), "")
            titles = titles_of(row.cells)
            if titles is not None and sum(map(bool, map(str.strip, row.cells))) <= 2:
                break
            found = key_of(label)
            if found and found[0].startswith("distance") and _of_holes(row, holes):
                found = None
            if found is None or found[0] == "hole" or label.casefold().startswith("total"):
                self._ledger.note(
                    f"row {row.number} ('{shown(label)}') is not about putting: left out"
                )
                self._found.skipped.append(row)
            elif found[0] in rows:
                clean = False
                self._complain_two_players(row, label, rows[found[0]])
            else:
                rows[found[0]] = row
                columns[found[0]] = ColumnAt(end, label, found[1])
                clean &= self._all_under_a_hole(row, top, holes)
            end += 1
        self._header = None
        if not clean or not self._makes_card(top, columns):
            self._found.lost += self._rows[at:end]
            self._found.lost = [r for r in self._found.lost if r not in self._found.skipped]
            return end
        last = max([int(k[8:]) for k in columns if re.fullmatch(r"distance\d+", k)], default=1)
        header = Header(top, "holes", columns, min(last, MAX_PUTTS))
        self._found.headers.append(header)
        self._found.skipped.append(top)
        used = tuple(row for key, row in rows.items() if key != "hole")
        for index in holes:
            texts = {
                key: row.cells[index].strip() if index < len(row.cells) else ""
                for key, row in rows.items()
            }
            place = _place_in(top, rows, top.cells[index].strip())
            line = Line(used, header, texts, self._ledger, place)
            _normalise(line, texts)
            self._found.items.append(line)
        return end

    def _all_under_a_hole(self, row: Row, top: Row, holes: Sequence[int]) -> bool:
        """Whether every value stands under a hole or a total; one that does not is a problem."""
        label = next((at for at, cell in enumerate(row.cells) if cell.strip()), 0)
        for at in range(min(label + 1, *holes), len(row.cells)):
            over = top.cells[at].strip() if at < len(top.cells) else ""
            text = row.cells[at].strip()
            if not over and (re.search(r"[0-9]", text) if at < min(holes) else text):
                what = f"'{shown(row.cells[at].strip())}' stands under no hole"
                hint = "Write the number of the hole above it, or move the row by a cell."
                place = Place(row.number, None, row.cells[at].strip(), row.sheet)
                self._ledger.add(place, "values under the numbers of holes", hint, what)
                return False
        return True

    def _makes_card(self, top: Row, columns: dict[str, ColumnAt]) -> bool:
        known: set[tuple[str, int | None]] = {("hole", None)}
        for key in columns:
            match = re.fullmatch(r"(\D+?)(\d*)", key)
            if match:
                known.add((match[1], int(match[2]) if match[2] else None))
        if layout_of(known) is not None:
            return True
        first = ("distance", 1) in known
        lacks = "number of putts" if first else "length of the first putt"
        what = f"there is no row with the {lacks} beside the holes"
        hint = "Least rows under the holes: Putts and 1st putt."
        self._ledger.add(Place(top.number, None, "", top.sheet), "a scorecard", hint, what)
        return False

    def _complain_two_players(self, row: Row, label: str, first: Row) -> None:
        what = f"'{shown(label)}' stands in row {first.number} too"
        hint = (
            "If these are two players, give each a row of hole numbers of their own, with the "
            "name above it (Player: ...)."
        )
        self._ledger.add(Place(row.number, None, label, row.sheet), "each row once", hint, what)


def _place_in(
    top: Row, rows: dict[str, Row], hole: str
) -> Callable[[str | None], tuple[int, str | None]]:
    def place(key: str | None) -> tuple[int, str | None]:
        return (rows[key].number if key in rows else top.number), hole

    return place


def _across(row: Row) -> list[int] | None:
    """Columns that hold hole numbers, of a row of holes across the top; None for any other row."""
    cells = row.cells
    label = next((at for at, cell in enumerate(cells) if cell.strip()), None)
    if label is None:
        return None
    found = recognise(cells[label])
    named = found is not None and found.name == "hole"
    holes: dict[int, int] = {}
    for at in range(label + 1 if named else label, len(cells)):
        text = cells[at].strip()
        try:
            # "1st, 2nd, 3rd" are putts.
            plain = not text or re.fullmatch(r"(?:h|hole|#)? ?[0-9]{1,2}", text.casefold())
            number = BY_KEY["hole"].read(text if plain else "?") if text else None
        except CellError:
            if text.casefold().rstrip(":") not in (*TOTALS, "par", "+/-", "notes"):
                return None
            continue
        if isinstance(number, int):
            holes[at] = number
    numbers = list(holes.values())
    rises = all(b == a + 1 for a, b in pairwise(numbers))
    rises |= sorted(numbers) == list(range(1, 19))
    enough = len(holes) >= (_HOLES_ACROSS if named else _WITHOUT_A_NAME)
    return list(holes) if enough and rises and (named or label > 0) else None


def _label(row: Row) -> str:
    return next((cell.strip() for cell in row.cells if cell.strip()), "")


def _names_values(row: Row) -> bool:
    """Whether a row is one of a table with holes across the top: a name and a value a hole."""
    found = key_of(_label(row))
    numbers = [cell for cell in row.cells if re.fullmatch(r" *[0-9]+([.,][0-9]+)? *", cell)]
    return found is not None and found[0] != "hole" and len(numbers) >= _HOLES_ACROSS


def _of_holes(row: Row, holes: Sequence[int]) -> bool:
    """Whether a row of lengths holds those of the holes themselves."""
    texts = [row.cells[at].strip() for at in holes if at < len(row.cells)]
    numbers = [float(text) for text in texts if re.fullmatch(r"\d{1,4}(?:\.\d+)?", text)]
    return bool(numbers) and sorted(numbers)[len(numbers) // 2] > 60


def _is_of_a_hole(row: Row, header: Header) -> bool:
    """Whether the number of a hole stands under 'hole'."""
    at = header.columns["hole"].index
    text = row.cells[at].strip() if at < len(row.cells) else ""
    try:
        return bool(text) and BY_KEY["hole"].read(text) is not None
    except CellError:
        return False


def _says_more(row: Row, header: Header) -> bool:
    """Whether anything but a remark stands in a row that is of no hole."""
    hole = header.columns["hole"].index
    known = {at.index for at in header.columns.values()} - {hole}
    return any(at in known and cell.strip() for at, cell in enumerate(row.cells)) or _is_total(
        row, header
    )


def _is_total(row: Row, header: Header) -> bool:
    at = header.columns["hole"].index
    cells = [" ".join(cell.casefold().split()).rstrip(":") for cell in row.cells]
    hole = cells[at] if at < len(cells) else ""
    first = next((cell for cell in cells if cell), "")
    return hole in TOTALS or (not hole and first in TOTALS)


def titles_of(cells: Sequence[str]) -> list[tuple[str, str]] | None:
    """Names and values of a row such as ``Player | Mara Lindqvist | Date: 3 May 2026``."""
    filled = [cell.strip().lstrip("#").strip() for cell in cells if cell.strip()]
    if not 0 < len(filled) <= _MOST_TITLES:
        return None
    pairs: list[tuple[str, str]] = []
    at = 0
    while at < len(filled):
        found, used = _title_at(filled, at)
        if found is not None:
            pairs.append(found)
        at += used
    return pairs or None


def _title_at(filled: Sequence[str], at: int) -> tuple[tuple[str, str] | None, int]:
    cell = filled[at]
    for sign in (":", "=", "|"):
        name, between, value = cell.partition(sign)
        if between and value.strip() and (known := _titled(name)):
            return (known, value.strip()), 1
    following = filled[at + 1] if at + 1 < len(filled) else ""
    if (known := _titled(cell.rstrip(":=| "))) and following and not _titled(following.rstrip(":")):
        return (known, following), 2
    if match := _ROUND.fullmatch(cell):
        return ("round", match[1]), 1
    if (match := _ALL_IN.fullmatch(cell)) and unit_of(match[1]):
        return ("unit", match[1]), 1
    if len(filled) == 1 and looks_like_a_date(cell):
        return ("date", cell), 1
    return None, 1


def _titled(text: str) -> str | None:
    plain = " ".join(text.casefold().split())
    if plain in _TITLES:
        return _TITLES[plain]
    found = recognise(text)
    return found.name if found and found.slot is None and found.name in _TITLED else None


def _titles_over_values(row: Row, below: Row) -> list[tuple[str, str]] | None:
    """Titles of which the names stand in one row and the values in the next."""
    names = {at: _titled(cell) for at, cell in enumerate(row.cells) if cell.strip()}
    if len(names) < 2 or not all(names.values()):
        return None
    pairs = [
        (name, below.cells[at].strip())
        for at, name in names.items()
        if name and at < len(below.cells) and below.cells[at].strip()
    ]
    values = [cell for cell in below.cells if cell.strip()]
    return pairs if pairs and len(values) == len(pairs) else None


def _normalise(line: Line, texts: dict[str, str]) -> None:
    """Number of putts from where else it may stand: ticks, or beside a length (18 ft, 2 putts)."""
    header = line.header
    if header.layout != "holes":
        return
    first = texts.get("distance1", "")
    match = _LENGTH_AND_COUNT.fullmatch(first) if "putt" in first.casefold() else None
    if match:
        texts["distance1"] = match[1].strip(" ,;/-")
        _take_count(line, texts, _COUNTS.get(match[2].casefold(), match[2]), "distance1", first)
    if header.ticks:
        cells = {n: _cell(line.row, at) for n, at in header.ticks.items()}
        ticked = [n for n, cell in cells.items() if cell.casefold() in TICKS]
        if len(ticked) > 1:
            texts_ = " and ".join(f"'{header.ticks[n].written}'" for n in ticked)
            line.complain(None, "", "one tick a hole", "Clear one of them.", f"{texts_} are ticked")
        elif ticked:
            written = header.ticks[ticked[0]].written
            _take_count(line, texts, str(ticked[0]), None, written)
    if match or header.ticks:
        line.take(texts)


def _cell(row: Row, at: ColumnAt) -> str:
    return row.cells[at.index].strip() if at.index < len(row.cells) else ""


def _take_count(line: Line, texts: dict[str, str], count: str, key: str | None, said: str) -> None:
    written = texts.get("putts", "")
    if not written:
        texts["putts"] = count
    elif written.strip().rstrip(".0") != count and written.strip() != count:
        what = f"'{shown(said)}' says {count} putts, but the number of putts is {shown(written)}"
        line.complain(key, said, "the same number of putts", "Correct one of the two.", what)


def all_titles(items: Sequence[Titles | Line]) -> Iterator[tuple[str, str]]:
    """Every title of a card."""
    for item in items:
        if isinstance(item, Titles):
            yield from item.pairs
