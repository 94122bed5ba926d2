"""From a file or bytes to rows of cells, each with its number and, in a workbook, its sheet.

A workbook is unpacked within bounds and looked through once before a library reads it: a file may
unpack to gigabytes or claim cells at the far end of the sheet, and the library gives no sign of a
formula without a value, of an error, or of the unit that a number is shown with (``3.7 m``).
"""

from __future__ import annotations

import codecs
import csv
import datetime as dt
import io
import os
import posixpath
import re
import stat
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree
from xml.parsers import expat

from sgputt.putts.units import unit_of
from sgputt.scorecard.headers import ROWS_LOOKED_AT, recognised
from sgputt.scorecard.problem import FileError, Ledger

MAX_BYTES = 16 * 1024 * 1024
MAX_ROWS = 100_000
MAX_COLUMNS = 256
# Letters of a cell that are still looked at; a remark is shorter.
MAX_CELL = 5_000
READABLE = "a CSV or .xlsx scorecard"
SEPARATORS = (",", ";", "\t", "|")
# What a cell with a formula that was never worked out reads as: anything but blank.
WITHOUT_VALUE = "a formula without its value"

_LINES_LOOKED_AT = 30
_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# Absent on Windows, where it is not needed; O_BINARY is absent elsewhere.
_WITHOUT_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_QUOTES = 'Close the quote, or type two of them ("") for one inside a quoted cell.'
_LONG = f"{_QUOTES} If there is no quote, check that this is a scorecard."
_RULE = re.compile(r":?-{2,}:?|=+|\+?-+\+?")


class Row(NamedTuple):
    """Number of a row in the file (from 1), its cells as written, its sheet if several are read."""

    number: int
    cells: tuple[str, ...]
    sheet: str | None = None


class Sheet(NamedTuple):
    """Rows that hold anything, of a file of text (without a name) or of one sheet of a workbook."""

    name: str | None
    rows: list[Row]


def read_sheets(source: Path | bytes, sheet: str | None, ledger: Ledger) -> list[Sheet]:
    """The rows of a CSV file, or of the sheets of a workbook (of one, where it is named).

    Raises
    ------
    FileError
        The file is missing, too large, empty, or of a kind that cannot be read.
    """
    data = source if isinstance(source, bytes) else bytes_of(source)
    if len(data) > MAX_BYTES:
        raise _too_large()
    if not data.strip():
        raise FileError("the file is empty", READABLE, "Write a blank card and fill it in.")
    if data.startswith(_ZIP):
        return read_workbook(data, sheet)
    if data.startswith(_OLD_WORKBOOK):
        raise FileError(
            "this is a workbook of the old .xls kind", READABLE, "Save it as .xlsx or as CSV."
        )
    text = _decoded(data, ledger)
    if "\0" in text:
        raise _not_text()
    return [Sheet(None, split_text(text))]


def name_of(path: Path) -> str:
    """Name of a file as Unicode text, whatever bytes it is made of."""
    return (path.name or str(path)).encode("utf-8", "replace").decode()


def bytes_of(path: Path) -> bytes:
    """Contents of an ordinary file; pipes and devices are refused, for they may never end.

    Raises
    ------
    FileError
        The file is missing, not an ordinary one, too large, or may not be read.
    """
    try:
        # Both: opening a device may act on it, and a pipe may have taken the file's place since.
        _refuse_special(path.stat())
        handle = os.open(path, os.O_RDONLY | _WITHOUT_WAITING)
        with os.fdopen(handle, "rb") as file:
            _refuse_special(os.fstat(handle))
            data = file.read(MAX_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError, ValueError) as exc:
        raise FileError(
            "there is no such file", READABLE, "Check the name and the folder."
        ) from exc
    except OSError as exc:
        reason = exc.strerror or type(exc).__name__
        raise FileError(
            f"the file cannot be read ({reason})", READABLE, "Check that you may open it."
        ) from exc
    if len(data) > MAX_BYTES:
        raise _too_large()
    return data


def _refuse_special(status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise FileError("this is a folder", READABLE, "Name a file in it.")
    if not stat.S_ISREG(status.st_mode):
        raise FileError(
            "this is not an ordinary file", READABLE, "Save the card as a file and name that."
        )
    if status.st_size > MAX_BYTES:
        raise _too_large()


def _decoded(data: bytes, ledger: Ledger) -> str:
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            try:
                return data[len(bom) :].decode(encoding)
            except UnicodeDecodeError as exc:
                raise _not_text() from exc
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as exc:
        raise _not_text() from exc
    ledger.note("letters read as Windows-1252; save the file as UTF-8 if names look wrong")
    return text


def _not_text() -> FileError:
    return FileError("this is not text", READABLE, "Save the card as CSV (UTF-8) or as .xlsx.")


def _too_large() -> FileError:
    return FileError(
        f"the file is larger than {MAX_BYTES // 1024**2} MiB",
        READABLE,
        "Split it into several files, one a season for instance.",
    )


def too_many_rows() -> FileError:
    """Error for a file of more rows than are read."""
    return FileError(
        f"the file has more than {MAX_ROWS:,} rows",
        f"at most {MAX_ROWS:,} rows",
        "Split it into several files, one a season for instance.",
    )


def too_many_columns(row: int) -> FileError:
    """Error for a row of more cells than are read."""
    return FileError(
        f"there are more than {MAX_COLUMNS} columns",
        f"at most {MAX_COLUMNS} columns",
        "Copy the card into a file or sheet of its own.",
        row,
    )


def too_long(row: int | None) -> FileError:
    """Error for a cell of more letters than are read."""
    return FileError("a cell is far too long", "a scorecard", _LONG, row)


def split_text(text: str) -> list[Row]:
    """Rows that hold anything, numbered by the line on which each begins.

    Raises
    ------
    FileError
        A quote is never closed, a cell is absurdly long, or there are too many rows.
    """
    first = text[:5].casefold()
    named = first[4] if first[:4] == "sep=" and first[4:] in SEPARATORS else None
    separator = named or max(SEPARATORS, key=lambda s: _names_found(text, s))
    rows = _split(text, separator)
    if separator == "|":
        rows = _without_frame(rows)
    return rows[1:] if named and rows and rows[0].number == 1 else rows


def _without_frame(rows: list[Row]) -> list[Row]:
    """Rows of a table drawn with pipes, without its edges and rules."""
    left = all(not row.cells[0].strip() for row in rows if len(row.cells) > 1)
    inner = [
        Row(row.number, row.cells[1:] if left and len(row.cells) > 1 else row.cells) for row in rows
    ]
    return [
        row
        for row in inner
        if not all(_RULE.fullmatch(cell.strip()) for cell in row.cells if cell.strip())
    ]


def _names_found(text: str, separator: str) -> int:
    lines = islice(io.StringIO(text, newline=""), _LINES_LOOKED_AT)
    try:
        return max(
            (recognised(cells[:MAX_COLUMNS]) for cells in csv.reader(lines, delimiter=separator)),
            default=0,
        )
    except csv.Error:
        return 0


def _split(text: str, separator: str) -> list[Row]:
    lines = io.StringIO(text, newline="")
    reader = csv.reader(lines, delimiter=separator, strict=True)
    rows: list[Row] = []
    start = 1
    try:
        for cells in reader:
            if cells and any(cell.strip() for cell in cells):
                if any(cell.strip() for cell in cells[MAX_COLUMNS:]):
                    raise too_many_columns(start)
                if max(map(len, cells)) > MAX_CELL:
                    raise too_long(start)
                rows.append(Row(start, tuple(cells[:MAX_COLUMNS])))
                _refuse_swallowed_rows(rows[-1], separator, reader.line_num)
            start = reader.line_num + 1
            if len(rows) > MAX_ROWS:
                raise too_many_rows()
    except csv.Error as exc:
        if "field limit" in str(exc):
            raise too_long(start) from exc
        raise FileError(
            f"the quotes do not match ({exc})", "matching quotes", _QUOTES, start
        ) from exc
    return rows


def _refuse_swallowed_rows(row: Row, separator: str, last_line: int) -> None:
    # A stray quote makes one cell of several rows, which would then vanish into a note.
    if last_line == row.number:
        return
    for cell in row.cells:
        if any(line.count(separator) >= 3 for line in cell.splitlines()[1:]):
            raise FileError(
                "a quoted cell runs over several rows", "matching quotes", _QUOTES, row.number
            )


_MIB = 1024 * 1024
MAX_UNPACKED_BYTES = 64 * _MIB
_MAX_SHEET_BYTES = 8 * _MIB
_MAX_OTHER_BYTES = 2 * _MIB
_MAX_PARTS = 1000
_MAX_SHEETS = 50
# Letters of all cells together; a season of cards has a hundredth of it.
_MAX_LETTERS = 16 * _MIB
# A sheet is held as a whole rectangle, from its first cell to its last.
_MAX_RECTANGLE = 4_000_000
# As many as spreadsheets have.
_LAST_ROW = 1_048_576
_MAX_HELD = 200_000
_MAX_DEPTH = 50
_FREED = ("row", "si")
_LARGE = ("xl/worksheets/", "xl/sharedStrings")
_READ = (".xml", ".rels")
_PLACE = re.compile(r"([A-Za-z]{1,3})([0-9]{1,10})")
_AGAIN = "Save the card again as .xlsx or as CSV."
_LITERAL = re.compile(r'"([^"]*)"|\\(.)|_.|\*.|\[[^\]]*\]')
_SCALED = re.compile(r"[0#?],+(?![0#?,])")
# Formats that every workbook has without declaring them.
_PERCENT_FORMATS = {9: "0%", 10: "0.00%"}

Cell = tuple[int, int]


def read_workbook(data: bytes, sheet: str | None) -> list[Sheet]:
    """Rows of the named sheet, or of every sheet that can be seen, blank rows left out.

    Raises
    ------
    FileError
        Not a workbook, no such sheet, or larger than is read.
    """
    try:
        return _sheets_of(*_unpacked(data), sheet)
    except FileError:
        raise
    except BaseException as exc:  # the library may panic on a damaged workbook
        if isinstance(exc, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        raise FileError(
            "this is not an .xlsx workbook, or it is damaged", READABLE, _AGAIN
        ) from exc


@dataclass
class _Look:
    """What one pass over the XML of a part found, before anybody builds a tree of it.

    Attributes
    ----------
    instead : dict
        Text of cells that would otherwise read as blank.
    styles : dict
        Index of the style of each number that has one.
    texts : list of int
        Lengths of the shared texts of the workbook, in the part that holds them.
    """

    texts: list[int] = field(default_factory=list)
    instead: dict[Cell, str] = field(default_factory=dict)
    styles: dict[Cell, int] = field(default_factory=dict)
    rows: set[int] = field(default_factory=set)
    widest: int = 0
    letters: int = 0

    def __post_init__(self) -> None:
        self._depth = self._held = 0
        self._at: Cell = (0, 0)
        self._kind = self._type = self._value = ""
        self._style = 0
        self._has_formula = False
        self._inline = 0

    def at(self, content: bytes) -> None:
        """Look through one part.

        Raises
        ------
        FileError
            No spreadsheet writes such a part, or it holds more than is read.
        xml.parsers.expat.ExpatError
            It is no XML.
        """
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = self._refuse
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.Parse(content, True)

    def _refuse(self, *_: object) -> None:
        # An entity may stand for gigabytes; no spreadsheet program writes one.
        raise FileError("the workbook is not as a spreadsheet writes it", READABLE, _AGAIN)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._held += 1
        if self._depth > _MAX_DEPTH or self._held > _MAX_HELD:
            self._refuse()
        self._kind = kind = name.rpartition(":")[2]
        if kind == "row":
            number = attributes.get("r", "")
            self._go_on(int(number[:10]) if number.isdecimal() else self._at[0] + 1, 0)
        elif kind == "c":
            self._begin_cell(attributes)
        elif kind == "f":
            self._has_formula = True
        elif kind == "si":
            self._inline = 0

    def _begin_cell(self, attributes: dict[str, str]) -> None:
        place = _PLACE.fullmatch(attributes.get("r", ""))
        if place:
            self._go_on(int(place[2]), _column_number(place[1]))
        else:
            self._at = (self._at[0], self._at[1] + 1)
        self._type = attributes.get("t", "n")
        style = attributes.get("s", "")
        self._style = int(style[:6]) if style.isdecimal() else 0
        self._value, self._has_formula, self._inline = "", False, 0

    def _go_on(self, row: int, column: int) -> None:
        before = self._at
        if (row, column) <= before:
            # A reader would leave such a cell out without a word.
            where = f"{_letters(column)}{row}" if column else f"row {row}"
            raise FileError(f"the workbook is damaged: {where} is out of place", READABLE, _AGAIN)
        self._at = (row, column)

    def _text(self, text: str) -> None:
        if self._kind == "v":
            self._value += text
        elif self._kind == "t":
            self._inline += len(text)

    def _end(self, name: str) -> None:
        self._depth -= 1
        self._kind = ""
        kind = name.rpartition(":")[2]
        if kind in _FREED:
            self._held = 0
        if kind == "c":
            self._end_cell()
        elif kind == "si":
            self.texts.append(self._inline)

    def _end_cell(self) -> None:
        row, column = self._at
        letters = self._inline or len(self._value)
        if self._type == "s" and self._value.strip().isdecimal():
            at = int(self._value.strip()[:9])
            letters = self.texts[at] if at < len(self.texts) else 0
        elif not letters and self._has_formula:
            self.instead[self._at] = WITHOUT_VALUE
        elif self._type == "e":
            self.instead[self._at] = self._value
        elif self._style and self._type == "n" and self._value:
            self.styles[self._at] = self._style
        if not letters and not self._has_formula:
            return
        if letters > MAX_CELL:
            raise FileError(
                "a cell is far too long",
                f"cells of at most {MAX_CELL:,} letters",
                "Shorten it, or copy the card into a workbook of its own.",
                row,
            )
        self.letters += letters
        self.rows.add(row)
        self.widest = max(self.widest, column)
        if column > MAX_COLUMNS:
            raise too_many_columns(row)
        if self.letters > _MAX_LETTERS:
            raise FileError(
                f"the cells of the workbook hold more than {_MAX_LETTERS // _MIB} MiB of text",
                READABLE,
                "Copy the card into a workbook of its own.",
            )
        if len(self.rows) > MAX_ROWS or row > _LAST_ROW:
            raise too_many_rows()

    def hold_bounds(self) -> None:
        """Refuse a sheet whose rectangle would not fit into memory."""
        if self.rows and (max(self.rows) - min(self.rows) + 1) * self.widest > _MAX_RECTANGLE:
            raise FileError(
                "the cells of a sheet lie too far apart",
                READABLE,
                "Copy the card into a sheet of its own.",
            )


def _unpacked(data: bytes) -> tuple[bytes, dict[str, bytes], dict[str, _Look]]:
    """The same workbook, its parts not packed any more; its parts; what was found in each.

    Raises
    ------
    FileError
        It unpacks to more than is read, or rows of it would be dropped without a word.
    zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError, zlib.error
        As the module zipfile says of a damaged file.
    """
    plain = io.BytesIO()
    left = MAX_UNPACKED_BYTES
    parts: dict[str, bytes] = {}
    looks: dict[str, _Look] = {}
    texts: list[int] = []
    with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(plain, "w") as unpacked:
        # Pictures are not read, and may be as large as they like.
        found = {
            part.filename: part
            for part in packed.infolist()
            if part.filename.casefold().endswith(_READ)
        }
        if len(found) > _MAX_PARTS or sum(part.file_size for part in found.values()) > left:
            raise _unpacks_to_too_much(f"{MAX_UNPACKED_BYTES // _MIB} MiB")
        # The shared texts first: the sheets only count them up.
        for name in sorted(found, key=lambda name: "sharedStrings" not in name):
            # What a part says of its size may be a lie: read no more than there is room for.
            most = min(left, _MAX_SHEET_BYTES if name.startswith(_LARGE) else _MAX_OTHER_BYTES)
            with packed.open(found[name]) as file:
                content = file.read(most + 1)
            if len(content) > most:
                raise _unpacks_to_too_much(f"{_MAX_SHEET_BYTES // _MIB} MiB a sheet")
            left -= len(content)
            look = _Look(texts)
            try:
                look.at(content)
            except expat.ExpatError:
                # It may belong to a chart, and is not missed.
                continue
            look.hold_bounds()
            parts[name], looks[name] = content, look
            # Without the time of day, which a clock before 1980 could not give.
            unpacked.writestr(zipfile.ZipInfo(name), content)
    return plain.getvalue(), parts, looks


def _unpacks_to_too_much(most: str) -> FileError:
    return FileError(
        f"the workbook unpacks to more than {most}",
        READABLE,
        "Copy the card into a workbook of its own.",
    )


def _sheets_of(
    data: bytes, parts: dict[str, bytes], looks: dict[str, _Look], sheet: str | None
) -> list[Sheet]:
    # A third of a second of loading is saved to those who have no workbook.
    from python_calamine import CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum  # noqa: PLC0415

    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    known = [each for each in book.sheets_metadata if each.typ == SheetTypeEnum.WorkSheet]
    names = [each.name for each in known]
    if not names:
        raise FileError("the workbook has no sheet with cells", READABLE, _AGAIN)
    if sheet is not None and sheet not in names:
        raise FileError(
            f"there is no sheet '{sheet}'",
            f"one of the sheets {', '.join(names)}",
            f"Sheets here: {', '.join(names)}.",
        )
    seen = [each.name for each in known if each.visible == SheetVisibleEnum.Visible] or names
    chosen = [sheet] if sheet is not None else seen
    if len(chosen) > _MAX_SHEETS:
        raise FileError(
            f"the workbook has more than {_MAX_SHEETS} sheets",
            f"at most {_MAX_SHEETS} sheets",
            "Name one with --sheet, or split the workbook.",
        )
    formats = _formats(parts.get("xl/styles.xml", b""))
    places = _places_of_sheets(parts)
    return [
        Sheet(
            name if len(names) > 1 else None,
            _rows(
                book.get_sheet_by_name(name).to_python(skip_empty_area=False),
                looks.get(places.get(name, ""), _Look()),
                formats,
                name if len(chosen) > 1 else None,
            ),
        )
        for name in chosen
    ]


def _places_of_sheets(parts: dict[str, bytes]) -> dict[str, str]:
    """Part of the file that holds each sheet, by the sheet's name."""
    targets = {}
    for element in _elements(parts.get("xl/_rels/workbook.xml.rels", b"")):
        target = element.get("Target", "")
        whole = target if target.startswith("/") else f"/xl/{target}"
        targets[element.get("Id", "")] = posixpath.normpath(whole).lstrip("/")
    found = {}
    for element in _elements(parts.get("xl/workbook.xml", b"")):
        if element.tag.rpartition("}")[2] == "sheet":
            ids = [value for key, value in element.attrib.items() if key.endswith("}id")]
            found[element.get("name", "")] = targets.get(ids[0] if ids else "", "")
    return found


def _elements(content: bytes) -> Iterable[ElementTree.Element]:
    if not content:
        return ()
    # Looked through before: no entities, and small.
    return ElementTree.fromstring(content).iter()


def _formats(content: bytes) -> list[str]:
    """Code of the number format of each style, empty for a usual one."""
    codes: dict[int, str] = dict(_PERCENT_FORMATS)
    styles: list[str] = []
    for element in _elements(content):
        kind = element.tag.rpartition("}")[2]
        if kind == "numFmt":
            codes[int(element.get("numFmtId", "0"))] = element.get("formatCode", "")
        elif kind == "cellXfs":
            styles = [codes.get(int(each.get("numFmtId", "0")), "") for each in element]
    return styles


def _rows(values: list[list[Any]], look: _Look, formats: list[str], sheet: str | None) -> list[Row]:
    rows: list[Row] = []
    height = max([len(values), *(row for row, _ in look.instead)])
    instead: dict[int, dict[int, str]] = {}
    for (number, column), text in look.instead.items():
        instead.setdefault(number, {})[column] = text
    for number in range(1, height + 1):
        cells = values[number - 1] if number <= len(values) else []
        texts = [_text(cell) for cell in cells[:MAX_COLUMNS]]
        for column, text in instead.get(number, {}).items():
            texts += [""] * (column - len(texts))
            texts[column - 1] = text
        if not any(text.strip() for text in texts):
            continue
        for at, cell in enumerate(cells[:MAX_COLUMNS]):
            style = look.styles.get((number, at + 1))
            if style and style < len(formats) and formats[style]:
                texts[at] = _as_shown(cell, texts[at], formats[style])
        last = max(at for at, text in enumerate(texts, 1) if text)
        rows.append(Row(number, tuple(texts[:last]), sheet))
    return _widened(rows)


def _widened(rows: list[Row]) -> list[Row]:
    # Cells right of the header are then a column without a name, not a fault of their row.
    width = max((len(row.cells) for row in rows), default=0)
    top = [
        row._replace(cells=row.cells + ("",) * (width - len(row.cells)))
        for row in rows[:ROWS_LOOKED_AT]
    ]
    return top + rows[ROWS_LOOKED_AT:]


def _text(value: object) -> str:
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _as_shown(value: object, text: str, code: str) -> str:
    """A number with what its format puts beside it: ``3.7`` shown as ``3.7 m``."""
    if not isinstance(value, float | int) or isinstance(value, bool):
        return text
    section = re.split(r';(?=(?:[^"]*"[^"]*")*[^"]*$)', code)[0]
    bare = _LITERAL.sub("", section)
    if "%" in bare:
        return f"{value * 100:.10g}%"
    if _SCALED.search(bare):
        return f"{text} (shown in thousands)"
    first = re.search(r"[0#?]", _LITERAL.sub(lambda match: " " * len(match[0]), section))
    at = first.start() if first else 0
    parts = [(match.start(), match[1] or match[2] or "") for match in _LITERAL.finditer(section)]
    before = "".join(part for start, part in parts if start < at).strip()
    after = "".join(part for start, part in parts if start >= at).strip()
    if after and (unit_of(after) or re.search(r"[^\W\d_]|['\"]", after)):
        text = f"{text} {after}"
    return f"{before} {text}" if re.search(r"[^\W\d_]", before) else text


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def _letters(number: int) -> str:
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
