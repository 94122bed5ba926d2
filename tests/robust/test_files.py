"""Files too large, not files at all, or gone in the middle: a message, soon, in little memory."""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from sgputt.archive.store import Archive
from sgputt.intake import take_in
from sgputt.scorecard import files as source
from sgputt.scorecard.files import read_sheets
from sgputt.scorecard.problem import Ledger
from sgputt_reports.tables import Column, Table, to_workbook
from tests.robust.huge import bomb, many_elements, write_sparse
from tests.robust.limited import AS_NOBODY, MIB, limited
from tests.robust.make_corpus import with_strings
from tests.robust.rows import DATED

HEAD = b"hole,putts,putt1\n"
# What one workbook or card may cost, in MiB; a card of a round takes about 70.
MOST = 400

HUGE: dict[str, tuple[Callable[[], bytes], str]] = {
    "bomb.xlsx": (lambda: bomb(3), "unpacks to more than"),
    "bomb-of-8-GiB.xlsx": (lambda: bomb(8), "it is damaged"),
    "bomb-that-lies.xlsx": (lambda: bomb(3, claims=5000), "it is damaged"),
    "strings.xlsx": (lambda: with_strings(b"<si><t/></si>" * 600_000), "there is no date"),
    "many-strings.xlsx": (
        lambda: with_strings(b"<si><t/></si>" * 2_000_000),
        "unpacks to more than 8 MiB a sheet",
    ),
    "styles.xlsx": (
        lambda: many_elements("styles.xml", b"<xf/>", b"</cellXfs>", 15),
        "unpacks to more than",
    ),
    "many-styles.xlsx": (
        lambda: many_elements("styles.xml", b"<xf/>", b"</cellXfs>", 1),
        "not as a spreadsheet writes it",
    ),
    "rows.xlsx": (
        lambda: many_elements("sheet1.xml", b"<row/>", b"</sheetData>", 7),
        "there is no date",
    ),
    "cells.xlsx": (
        lambda: many_elements("sheet1.xml", b'<row><c r="XFD9"/></row>', b"</sheetData>", 7),
        "",
    ),
    "tree.xlsx": (
        lambda: many_elements("sheet1.xml", b"<a>", b"</sheetData>", 7),
        "not as a spreadsheet writes it",
    ),
    "million-rows.csv": (lambda: HEAD + b"1,1,9\n" * 1_000_000, "more than 100,000 rows"),
    "bad-rows.csv": (lambda: HEAD + b"1,x,9\n" * 20_000, "1,003 problems"),
    "blank.csv": (lambda: HEAD + b"\n" * 8_000_000, "nothing was played"),
    "columns.csv": (lambda: HEAD + b"1,1,9" + b",a" * 7_000_000, "more than 256 columns"),
    "line.csv": (lambda: b"a" * 15_000_000, "a cell is far too long"),
    "nuls.csv": (lambda: b"a" + bytes(15_000_000), "this is not text"),
    "quotes.csv": (lambda: HEAD + b'"' * 15_000_000, ""),
}


@pytest.mark.parametrize("name", HUGE)
def test_large_files_are_refused_in_little_memory(name: str, tmp_path: Path) -> None:
    make, said = HUGE[name]
    path = tmp_path / name
    path.write_bytes(make())
    ended = limited("check", path)
    ended.hold(1, said)
    assert ended.peak < MOST


def test_a_line_of_a_gigabyte_is_not_even_read(tmp_path: Path) -> None:
    ended = limited("check", write_sparse(tmp_path / "line.csv", 1024 * MIB))
    ended.hold(1, "the file is larger than 16 MiB")
    assert ended.peak < 150


def test_many_bad_rows_are_written_beside_the_card_in_time(tmp_path: Path) -> None:
    path = tmp_path / "round.csv"
    good = b"".join(b"%d,1,9\n" % hole for hole in range(1, 19))
    path.write_bytes(HEAD + good + b"19,x,9\n" * 20_000)
    ended = limited(
        "--archive", tmp_path / "a.sqlite", "import", "--keep-good-holes", path,
        "--date", "2026-05-03",
    )  # fmt: skip
    ended.hold(1, "18 holes", "round.rejected.csv")
    assert len((tmp_path / "round.rejected.csv").read_bytes().splitlines()) == 20_001


@pytest.fixture
def odd(tmp_path: Path) -> Path:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to("loop")
    (tmp_path / "nowhere").symlink_to("gone.csv")
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "file").touch()
    return tmp_path


ODD = {
    "pipe": "pipe: this is not an ordinary file",
    "loop": "loop: the file cannot be read (Too many levels of symbolic links)",
    "nowhere": "nowhere: there is no such file",
    "file/card.csv": "card.csv: there is no such file",
    "n" * 300: "the file cannot be read (File name too long)",
    "/dev/zero": "zero: this is not an ordinary file",
    "/dev/stdin": "stdin: this is not an ordinary file",
    "/proc/self/mem": "mem: the file cannot be read",
}


@pytest.mark.parametrize("name", ODD)
def test_what_is_no_file_is_said_and_never_waited_for(name: str, odd: Path) -> None:
    ended = limited("import", "--archive", odd / "archive.sqlite", odd / name)
    ended.hold(1, ODD[name], "nothing was stored")


def test_a_file_that_one_may_not_read(open_folder: Path) -> None:
    path = open_folder / "round.csv"
    path.write_bytes(HEAD)
    path.chmod(0)
    words = ("import", "--archive", open_folder / "archive.sqlite", path)
    limited(*words, first=AS_NOBODY).hold(1, "the file cannot be read (Permission denied)")


def with_change(monkeypatch: pytest.MonkeyPatch, change: Callable[[], object]) -> None:
    """Let something happen to the file between the look at it and the reading."""
    looked: list[os.stat_result] = []

    def refuse_special(status: os.stat_result) -> None:
        if not looked:
            change()
        looked.append(status)
        assert not stat.S_ISDIR(status.st_mode)
        really(status)

    really = source._refuse_special
    monkeypatch.setattr(source, "_refuse_special", refuse_special)


def test_a_file_that_vanishes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "round.csv"
    path.write_bytes(HEAD + b"1,1,9\n")
    with_change(monkeypatch, path.unlink)
    with Archive(tmp_path / "archive.sqlite") as archive:
        (problem,) = take_in(path, archive, DATED).problems
    assert "there is no such file" in str(problem)


def test_a_file_that_becomes_a_pipe(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "round.csv"
    path.write_bytes(HEAD + b"1,1,9\n")

    def swap() -> None:
        path.unlink()
        os.mkfifo(path)

    with_change(monkeypatch, swap)
    with Archive(tmp_path / "archive.sqlite") as archive:
        (problem,) = take_in(path, archive, DATED).problems
    assert "this is not an ordinary file" in str(problem)


def test_workbooks_where_the_clock_stands_at_1970(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As after the battery has run out; a packed file knows no time before 1980."""
    monkeypatch.setattr(time, "time", lambda: 0.0)
    table = Table(
        "rounds", "Rounds", (Column("hole", "hole", "count"),), pl.DataFrame({"hole": [1]})
    )
    path = tmp_path / "round.xlsx"
    path.write_bytes(to_workbook([table]))
    rows = read_sheets(path, None, Ledger("any"))[0].rows
    assert [row.cells for row in rows] == [("hole",), ("1",)]


def test_a_file_that_grows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "round.csv"
    path.write_bytes(HEAD + b"1,1,9\n")
    monkeypatch.setattr(source, "_refuse_special", lambda status: None)
    monkeypatch.setattr(source, "MAX_BYTES", 10)
    with Archive(tmp_path / "archive.sqlite") as archive:
        (problem,) = take_in(path, archive, DATED).problems
    assert "the file is larger than" in str(problem)
