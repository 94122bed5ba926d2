"""Files that are small until they are opened, and files that are large at once."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

from tests.robust.make_corpus import with_part

_MIB = 1024**2


def bomb(gibibytes: int, claims: int | None = None) -> bytes:
    """A workbook whose sheet unpacks to so much, whatever it claims of its size."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    block = packer.compress(bytes(_MIB)) + packer.flush(zlib.Z_FULL_FLUSH)
    packed = block * (1024 * gibibytes) + packer.flush()
    size = gibibytes * 1024 * _MIB if claims is None else claims
    return _zip_of_one(b"xl/worksheets/sheet1.xml", packed, size % 2**32)


def _zip_of_one(name: bytes, packed: bytes, size: int) -> bytes:
    facts = struct.pack("<HHHHHLLLH", 20, 0, 8, 0, 33, 0, len(packed), size, len(name))
    local = b"PK\3\4" + facts + b"\0\0" + name
    entry = b"PK\1\2\24\0" + facts + bytes(14) + name
    end = struct.pack("<HHHHLLH", 0, 0, 1, 1, len(entry), len(local) + len(packed), 0)
    return local + packed + entry + b"PK\5\6" + end


def many_elements(part: str, element: bytes, before: bytes, mib: int) -> bytes:
    """A workbook one part of which is full of elements."""
    count = mib * _MIB // len(element)
    return with_part(part, lambda was: was.replace(before, element * count + before))


def write_sparse(path: Path, size: int) -> Path:
    """A file of that size that takes no room on the disk."""
    with path.open("wb") as file:
        file.truncate(size)
    return path
