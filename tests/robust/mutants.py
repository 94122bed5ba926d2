"""Valid scorecards spoilt at random, in bytes and in cells: ``-m tests.robust.mutants N``."""

from __future__ import annotations

import csv
import datetime as dt
import io
import random
import sys
import tempfile
import time
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

import openpyxl

from sgputt.archive.store import Archive
from tests.robust.rows import hold_intake

_BY_HOLE = """\
date,player,course,event,round,hole,par,putts,putt1,putt2,slope,break,miss,result,stimp
2026-05-03,Mara Lindqvist,Saltmarsh Links,Medal,1,1,4,2,12,3,up,L-R,short high,,10.5
,,,,,2,3,1,5.5,,flat,,,,
,,,,,3,5,0,,,,,,,
,,,,,4,4,2,8'6\",1,down,R-L,past,conceded,
,,,,,5,4,3,40 ft,6,,,,picked up,
,,,,2,1,4,1,3.7 m,,,,,,
,Zoë Öberg,,,1,1,4,1,9,,,,,,
,,,,,Out,,7,,,,,,,
"""
_BY_PUTT = """\
date;player;course;hole;putt;distance (m);result;slope;break;miss pace;miss side;leave (m)
3/5/2026;Ben Yaffle;Quarry Hill;1;1;3,7;missed;uphill;left to right;short;high;0,5
;;;1;2;0,5;;;;;;
;;;2;0;;chipped in;;;;;
;;;3;1;9;picked up;;;;;2
25/5/2026;;;1;1;2;holed;-;-;;;
"""
CARDS = [
    _BY_HOLE.encode(),
    _BY_HOLE.encode("utf-8-sig").replace(b"\n", b"\r\n"),
    _BY_HOLE.encode("utf-16"),
    _BY_HOLE.encode("cp1252"),
    _BY_PUTT.encode(),
    _BY_PUTT.replace(";", "\t").encode(),
]
_SCRAPS = [
    *(",", ";", "\t", "\n", "\r", '"', '""', "\0", "-", "'", "=", "hole", "putt", "putts", "putt1"),
    *("1", "0", "18", "19", "36", "37", "-1", "1e9", "9" * 40, "nan", "inf", "½", "3 1/2", "1/0"),
    *("chipped in", "picked up", "conceded", "holed", "high", "short", "2026-05-03", "3/5/2026"),
    *("31.12.2025", "29 Feb 2026", "12'6\"", "8 paces", "3.7 m", "12 ft 13 in", "0", "١٢", "²"),
    *("\ufeff", "\u202e", "\u2028", "\x1b[31m", "İ", "ß", "\x85", "\xa0", "true", "=1+1", "@x"),
    *("Ada Brook", "ADA BROOK", "total", "Out", "a" * 300, "sep=;", "'=x", "''", " ", "\v", "\f"),
]
_BYTES = [b"\xff", b"\xfe", b"\xff\xfe", b"\xef\xbb\xbf", b"\x81", b"\x00", b"\xed\xa0\x80", b"PK"]


def mutant(number: int, seed: int) -> tuple[str, bytes]:
    """Name and content of one spoilt card; the same for the same number and seed."""
    rng = random.Random(f"{seed} {number}")
    card = rng.choice(CARDS)
    kind = rng.choice(["bytes", "bytes", "cells", "cells", "book", "parts"])
    if kind == "bytes":
        return f"{number}.csv", _in_bytes(card, rng)
    rows = _in_cells(rng)
    if kind == "cells":
        return f"{number}.csv", _as_csv(rows, rng)
    book = _as_book(rows, rng)
    return f"{number}.xlsx", _in_bytes_of_parts(book, rng) if kind == "parts" else book


def _in_bytes(data: bytes, rng: random.Random) -> bytes:
    for _ in range(rng.choice([1, 1, 2, 6])):
        at = rng.randrange(len(data) + 1)
        until = min(len(data), at + rng.choice([0, 0, 1, 1, 3, 12, 60]))
        put = rng.choice(
            [
                b"",
                rng.choice(_SCRAPS).encode(),
                rng.choice(_BYTES),
                rng.randbytes(rng.randint(1, 4)),
                data[until : until + rng.randint(1, 80)],
            ]
        )
        data = data[:at] + put + data[until:]
    return data[: rng.randrange(len(data) + 1)] if rng.random() < 0.05 else data


def _in_cells(rng: random.Random) -> list[list[str]]:
    text, separator = rng.choice([(_BY_HOLE, ","), (_BY_PUTT, ";")])
    rows = list(csv.reader(io.StringIO(text), delimiter=separator))
    for _ in range(rng.choice([1, 1, 2, 6])):
        row = rng.choice(rows)
        at = rng.randrange(len(row)) if row else 0
        match rng.randrange(9):
            case 0 | 1 | 2 | 3:
                row[at : at + 1] = [rng.choice(_SCRAPS)]
            case 4:
                row[at:at] = [rng.choice(["", *_SCRAPS])]
            case 5:
                del row[at : at + 1]
            case 6:
                rows.insert(rng.randrange(len(rows) + 1), list(rng.choice(rows)))
            case 7:
                rng.shuffle(rows) if rng.random() < 0.3 else rows.insert(1, [])
            case _:
                for each in rows:
                    each[at:at] = each[:1]
    return rows


def _as_csv(rows: list[list[str]], rng: random.Random) -> bytes:
    out = io.StringIO(newline="")
    ending = rng.choice(["\n", "\r\n", "\r"])
    csv.writer(out, delimiter=rng.choice(",;\t"), lineterminator=ending).writerows(rows)
    return out.getvalue().encode(rng.choice(["utf-8", "utf-8-sig", "utf-16"]), "replace")


def _as_book(rows: list[list[str]], rng: random.Random) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for number, row in enumerate(rows, start=1):
        for column, text in enumerate(row, start=1):
            legal = "".join(c for c in text if c in "\t\n" or c >= " ")
            cell = sheet.cell(number, column)
            cell.value = _value(legal, rng)
    if rng.random() < 0.2:
        sheet.merge_cells("A1:C1")
    packed = io.BytesIO()
    book.save(packed)
    book.close()
    return packed.getvalue()


def _value(text: str, rng: random.Random) -> Any:
    if rng.random() < 0.03:
        odd = [True, 1e300, -0.0, 5e-324, dt.datetime(1900, 1, 1), dt.time(8, 6), dt.timedelta(9)]
        return rng.choice([*odd, "=1/0", "#N/A", None])
    try:
        return float(text) if rng.random() < 0.9 and abs(float(text)) < 1e308 else text
    except ValueError:
        return text


def _in_bytes_of_parts(book: bytes, rng: random.Random) -> bytes:
    if rng.random() < 0.2:
        return _in_bytes(book, rng)
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as was, zipfile.ZipFile(packed, "w") as now:
        spoilt = rng.choice(was.namelist())
        for name in was.namelist():
            content = was.read(name)
            if name == spoilt or "sheet1" in name:
                content = _in_bytes(content, rng)
            if name != spoilt or rng.random() < 0.9:
                now.writestr(name, content)
    return packed.getvalue()


def hold_mutants(count: int, seed: int, folder: Path) -> Counter[str]:
    """Import that many and hold that none vanishes; says how many ended how."""
    ends: Counter[str] = Counter()
    with Archive(folder / "archive.sqlite") as archive:
        for number in range(count):
            name, content = mutant(number, seed)
            path = folder / name
            path.write_bytes(content)
            try:
                intake = hold_intake(path, archive, keep_good_holes=number % 2 == 0)
            except BaseException:
                sys.stderr.write(f"mutant {number} of seed {seed}\n")
                raise
            stored = "stored" if intake.stored.stored else "nothing stored"
            ends[f"{stored}, {'with' if intake.problems else 'no'} problems"] += 1
            path.unlink()
    return ends


def main() -> None:
    count, seed = (int(each) for each in (*sys.argv[1:], "10000", "1")[:2])
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        ends = hold_mutants(count, seed, Path(folder))
    sys.stdout.write(f"{count} mutants of seed {seed} in {time.monotonic() - start:.0f} s\n")
    for said, number in ends.most_common():
        sys.stdout.write(f"  {number:6}  {said}\n")


if __name__ == "__main__":
    main()
