"""A workbook unpacked within bounds, so that whatever reads it next can trust its sizes."""

from __future__ import annotations

import io
import re
import zipfile

from sgputt.scorecard.problem import FileError

MAX_UNPACKED_BYTES = 16 * 1024 * 1024
_MAX_PARTS = 1000
_WORKBOOK = "a CSV or .xlsx scorecard"
_ANEW = "Save the card again as .xlsx or as CSV."
_PLACE = re.compile(
    rb"""<(?:\w+:)?(?:row|c)\s(?:[^>]*?\s)?r\s*=\s*["']([A-Za-z]{0,3})([0-9]{1,10})["']"""
)
# An entity may stand for gigabytes; no spreadsheet program writes one.
_DOCTYPES = tuple("<!DOCTYPE".encode(each) for each in ("utf-8", "utf-16-le", "utf-16-be"))


def safely_packed(data: bytes) -> bytes:
    """The same workbook, its parts not packed any more and each as large as it says.

    Raises
    ------
    FileError
        It unpacks to more than is read, or rows of it would be dropped without a word.
    zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError, zlib.error
        As the module zipfile says of a damaged file.
    """
    plain = io.BytesIO()
    left = MAX_UNPACKED_BYTES
    with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(plain, "w") as unpacked:
        parts = {part.filename: part for part in packed.infolist()}
        if len(parts) > _MAX_PARTS or sum(part.file_size for part in parts.values()) > left:
            raise _too_large()
        for name, part in parts.items():
            # What a part says of its size may be a lie: read no more than there is room for.
            with packed.open(part) as file:
                content = file.read(left + 1)
            left -= len(content)
            if left < 0:
                raise _too_large()
            _refuse_tricks(content)
            unpacked.writestr(name, content)
    return plain.getvalue()


def _too_large() -> FileError:
    return FileError(
        f"the workbook unpacks to more than {MAX_UNPACKED_BYTES // 1024**2} MiB",
        _WORKBOOK,
        "Copy the card into a workbook of its own.",
    )


def _refuse_tricks(content: bytes) -> None:
    if any(sign in content for sign in _DOCTYPES):
        raise FileError("the workbook is not as a spreadsheet writes it", _WORKBOOK, _ANEW)
    last = (0, 0, "")
    for match in _PLACE.finditer(content):
        letters, number = match[1].decode().upper(), int(match[2])
        place = (number, len(letters), letters)
        if place <= last:
            # openpyxl would leave such a cell out without a word.
            where = f"{letters}{number}" if letters else f"row {number}"
            raise FileError(f"the workbook is damaged: {where} is out of place", _WORKBOOK, _ANEW)
        last = place
