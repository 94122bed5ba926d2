"""Write the small files of ``corpus/``, where the fuzzer starts and which the tests replay.

Files that the fuzzer finds go there too, under a name that says what they were.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl

from tests.robust.mutants import CARDS

CORPUS = Path(__file__).parent / "corpus"
_LEAST = b"hole,putts,putt1\n1,1,9\n"


def book(*rows: tuple[str | int, ...]) -> bytes:
    """A workbook with one sheet."""
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    for cells in rows or (("hole", "putts", "putt1"), (1, 1, 9)):
        sheet.append(cells)
    packed = io.BytesIO()
    made.save(packed)
    made.close()
    return packed.getvalue()


def _rewritten(change: Callable[[str, bytes], bytes], **more: bytes) -> bytes:
    """The least workbook with its parts changed by name, and more of them."""
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(book())) as was,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as now,
    ):
        for name in was.namelist():
            now.writestr(name, change(name, was.read(name)))
        for name, content in more.items():
            now.writestr(name, content)
    return packed.getvalue()


def with_part(part: str, change: Callable[[bytes], bytes]) -> bytes:
    """The least workbook with one of its parts changed."""
    return _rewritten(lambda name, was: change(was) if name.endswith(part) else was)


def with_strings(strings: bytes) -> bytes:
    """The least workbook, its texts in a part of their own, as most programs write it."""
    named = b'<?xml version="1.0"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/'
    named += b'2006/main"><si><t>hole</t></si><si><t>putts</t></si><si><t>putt1</t></si>'
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"

    def refer(name: str, content: bytes) -> bytes:
        if "Content_Types" in name:
            part = b'<Override PartName="/xl/sharedStrings.xml" ContentType="%s"/>' % kind
            content = content.replace(b"</Types>", part + b"</Types>")
        for at, text in enumerate((b"hole", b"putts", b"putt1")):
            inline = b't="inlineStr"><is><t>%s</t></is>' % text
            content = content.replace(inline, b't="s"><v>%d</v>' % at)
        return content

    return _rewritten(refer, **{"xl/sharedStrings.xml": named + strings + b"</sst>"})


def in_sheet(xml: bytes) -> bytes:
    """The least workbook with more XML behind its rows."""
    return with_part("sheet1.xml", lambda was: was.replace(b"</sheetData>", xml + b"</sheetData>"))


def files() -> dict[str, bytes]:
    names = ("by-hole", "by-hole-bom-crlf", "by-hole-utf16", "by-hole-cp1252", "by-putt", "tabs")
    made = {f"{name}.csv": card for name, card in zip(names, CARDS, strict=True)}
    made |= {
        "empty.csv": b"",
        "blank-lines.csv": b"\n \n\r\n",
        "header-only.csv": b"hole,putts,putt1\n",
        "nul.csv": b"hole,putts,putt1\n1,1,\0\n",
        "nul-utf16.csv": "hole,putts,putt1\n1,1,\0\n".encode("utf-16"),
        "half-utf16.csv": b"\xff\xfeh",
        "lone-surrogate.csv": b"player,hole,putts,putt1\n\xed\xa0\x80,1,1,9\n",
        "open-quote.csv": b'hole,putts,putt1\n1,1,"9\n2,1,8\n',
        "stray-quote.csv": b'hole,putts,putt1\n1,1,8\'6"\n2,1,""9""\n',
        "quoted-lines.csv": b'hole,putts,putt1,"a\nb"\n1,1,9,"x\ry"\n',
        "lone-cr.csv": _LEAST.replace(b"\n", b"\r"),
        "wide.csv": b"hole,putts,putt1" + b"," * 400 + b"\n1,1,9" + b",x" * 400 + b"\n",
        "ragged.csv": b"hole,putts,putt1\n1\n1,1,9,9,9\n,,\n2,1,9\n",
        "names-twice.csv": b"hole,putts,putt1,Putt 1\n1,1,9,9\n",
        "two-spellings.csv": b"player,hole,putts,putt1\nAda Brook,1,1,9\nADA BROOK,2,1,8\n",
        "formulas.csv": b'player,hole,putts,putt1\n"=HYPERLINK(""x"")",1,1,9\n,2,1,@x\n',
        "escapes.csv": b"player,hole,putts,putt1,\x1b[2J\n\x1b[31mAda,1,1,9\n,2,1,\x1b]0;x\x07\n",
        "turned.csv": "player,hole,putts,putt1\n\u202eadA,1,1,9\n,2,1,\u2066x\n".encode(),
        "digits-of-others.csv": "hole,putts,putt1\n١,1,9\n²,1,9\n3,1,１２\n".encode(),
        "turkish.csv": "PLAYER,HOLE,PUTTS,PUTT1,MİSS\nİpek Işık,1,1,9,\n".encode(),
        "html.csv": b"<!doctype html><table><tr><td>hole,putts,putt1</td></tr></table>",
        "old.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 old",
        "least.xlsx": book(),
        "strings.xlsx": with_strings(b""),
        "cut-off.xlsx": book()[:2000],
        "not-a-workbook.xlsx": _zipped({"hello.txt": b"hello"}),
        "no-sheets.xlsx": with_part("workbook.xml", lambda w: re.sub(rb"<sheet [^>]*/>", b"", w)),
        "no-styles.xlsx": with_part("styles.xml", lambda _: b""),
        "doctype.xlsx": with_part("sheet1.xml", lambda was: b"<!DOCTYPE x []>" + was),
        "billion-rows.xlsx": in_sheet(b'<row r="2000000000"><c r="A2000000000"><v>1</v></c></row>'),
        "last-row-formatted.xlsx": in_sheet(b'<row r="1048576"><c r="A1048576"/></row>'),
        "row-twice.xlsx": in_sheet(b'<row r="2"><c r="A2"><v>5</v></c></row>'),
        "cells-backwards.xlsx": in_sheet(
            b'<row r="3"><c r="C3"><v>9</v></c><c r="A3"><v>2</v></c></row>'
        ),
        "far-cell.xlsx": in_sheet(b'<row r="3"><c r="XFD3"><v>9</v></c></row>'),
        "not-a-number.xlsx": in_sheet(b'<row r="3"><c r="A3"><v>nan</v></c></row>'),
        "bad-string.xlsx": in_sheet(b'<row r="3"><c r="A3" t="s"><v>99</v></c></row>'),
        "wide-claim.xlsx": with_part(
            "sheet1.xml", lambda was: re.sub(rb'ref="A1:\w+"', b'ref="A1:XFD1048576"', was)
        ),
    }
    return made


def _zipped(parts: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return packed.getvalue()


def main() -> None:
    CORPUS.mkdir(exist_ok=True)
    for name, content in files().items():
        (CORPUS / name).write_bytes(content)


if __name__ == "__main__":
    main()
