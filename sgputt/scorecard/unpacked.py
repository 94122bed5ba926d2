"""A workbook unpacked within bounds, so that whatever reads it next can trust its sizes."""

from __future__ import annotations

import io
import re
import zipfile
from xml.parsers import expat

from sgputt.scorecard.problem import FileError

_MIB = 1024 * 1024
MAX_UNPACKED_BYTES = 64 * _MIB
_MAX_SHEET_BYTES = 8 * _MIB
_MAX_OTHER_BYTES = 2 * _MIB
_MAX_PARTS = 1000
_LARGE = ("xl/worksheets/", "xl/sharedStrings")
_READ = (".xml", ".rels")
# Elements are held as a tree, a hundred times their size: those of a row until it ends, the
# others (styles and the like) until the part does.
_MAX_HELD = 200_000
_MAX_DEPTH = 50
_FREED = ("row", "si")
_PLACE = re.compile(r"([A-Za-z]{1,3})([0-9]{1,10})")
_WORKBOOK = "a CSV or .xlsx scorecard"
_ANEW = "Save the card again as .xlsx or as CSV."


def safely_packed(data: bytes) -> tuple[bytes, dict[str, set[str]]]:
    """The same workbook, its parts not packed any more and each as large as it says.

    Beside it the cells of each part that hold a formula and no value (``B7``).

    Raises
    ------
    FileError
        It unpacks to more than is read, or rows of it would be dropped without a word.
    zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError, zlib.error
        As the module zipfile says of a damaged file.
    """
    plain = io.BytesIO()
    without_value: dict[str, set[str]] = {}
    left = MAX_UNPACKED_BYTES
    with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(plain, "w") as unpacked:
        # Pictures are not read, and may be as large as they like.
        parts = {
            part.filename: part
            for part in packed.infolist()
            if part.filename.casefold().endswith(_READ)
        }
        if len(parts) > _MAX_PARTS or sum(part.file_size for part in parts.values()) > left:
            raise _too_large(f"{MAX_UNPACKED_BYTES // _MIB} MiB")
        for name, part in parts.items():
            # What a part says of its size may be a lie: read no more than there is room for.
            most = min(left, _MAX_SHEET_BYTES if name.startswith(_LARGE) else _MAX_OTHER_BYTES)
            with packed.open(part) as file:
                content = file.read(most + 1)
            if len(content) > most:
                raise _too_large(f"{_MAX_SHEET_BYTES // _MIB} MiB a sheet")
            left -= len(content)
            look = _Look()
            if _is_fit(content, look):
                without_value[name] = look.without_value
                # Without the time of day, which a clock before 1980 could not give.
                unpacked.writestr(zipfile.ZipInfo(name), content)
    return plain.getvalue(), without_value


def _too_large(most: str) -> FileError:
    return FileError(
        f"the workbook unpacks to more than {most}",
        _WORKBOOK,
        "Copy the card into a workbook of its own.",
    )


def _is_fit(content: bytes, look: _Look) -> bool:
    """Whether a part is XML at all; one that is none may belong to a chart, and is not missed."""
    try:
        look.at(content)
    except expat.ExpatError:
        return False
    return True


class _Look:
    """One pass over the XML of a part, before anybody builds a tree of it."""

    def __init__(self) -> None:
        self._depth = 0
        self._held = 0
        self._last = (0, 0, "")
        self._kind = self._cell = ""
        self._has_formula = self._has_value = False
        self.without_value: set[str] = set()

    def at(self, content: bytes) -> None:
        parser = expat.ParserCreate()
        parser.StartDoctypeDeclHandler = self._refuse
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.buffer_text = True
        parser.Parse(content, True)

    def _refuse(self, *_: object) -> None:
        # An entity may stand for gigabytes; no spreadsheet program writes one.
        raise FileError("the workbook is not as a spreadsheet writes it", _WORKBOOK, _ANEW)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._held += 1
        if self._depth > _MAX_DEPTH or self._held > _MAX_HELD:
            self._refuse()
        kind = name.rpartition(":")[2]
        if kind == "row" and attributes.get("r", "").isdecimal():
            self._go_on(int(attributes["r"][:10]), "")
        elif kind == "f":
            self._has_formula = True
        elif kind == "c" and (place := _PLACE.fullmatch(attributes.get("r", ""))):
            self._go_on(int(place[2]), place[1].upper())

        if kind == "c":
            self._cell = attributes.get("r", "")
            self._has_formula = self._has_value = False
        self._kind = kind

    def _text(self, text: str) -> None:
        self._has_value |= self._kind in ("v", "t") and bool(text)

    def _end(self, name: str) -> None:
        self._depth -= 1
        self._kind = ""
        kind = name.rpartition(":")[2]
        if kind in _FREED:
            self._held = 0
        if kind == "c" and self._has_formula and not self._has_value:
            self.without_value.add(self._cell)

    def _go_on(self, row: int, letters: str) -> None:
        place = (row, len(letters), letters)
        if place <= self._last:
            # openpyxl would leave such a cell out without a word.
            where = f"{letters}{row}" if letters else f"row {row}"
            raise FileError(f"the workbook is damaged: {where} is out of place", _WORKBOOK, _ANEW)
        self._last = place
