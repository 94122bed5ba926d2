"""Archives with parts gone, of a newer version, or left half made by a killed command."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from sgputt.archive.connection import VERSION, columns_at
from sgputt.archive.store import Archive
from tests.cli.conftest import command, demo_archive

__all__ = ["demo_archive"]

COLUMNS = [
    (table, column)
    for table, columns in columns_at(VERSION).items()
    for column in columns
    if column in ("result", "par", "content", "fingerprint", "value", "note")
]


@pytest.fixture
def archive(demo_archive: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_archive, tmp_path / "archive.sqlite"))


def change(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as db, db:
        for statement in statements:
            db.execute(statement)


def said(path: Path, *words: str) -> str:
    ran = command(*words, "--archive", path)
    assert ran.status == 1, ran
    assert "is damaged" in ran.err and "sgputt restore FILE" in ran.err
    return ran.err


@pytest.mark.parametrize("table", columns_at(VERSION))
def test_a_table_that_is_gone(archive: Path, table: str) -> None:
    change(archive, f"DROP TABLE {table}")
    assert f"the table {table} is gone" in said(archive, "rounds")


@pytest.mark.parametrize(("table", "column"), COLUMNS)
def test_a_column_that_is_gone(archive: Path, table: str, column: str) -> None:
    change(archive, f"ALTER TABLE {table} RENAME COLUMN {column} TO other")
    assert f"the column {column} of the table {table} is gone" in said(archive, "rounds")


@pytest.mark.parametrize(
    ("statement", "what"),
    [
        ("DELETE FROM holes WHERE round_id = 2", "its holes are gone"),
        ("DELETE FROM putts WHERE round_id = 2 AND hole = 3", "putts of hole 3 are gone"),
        ("DELETE FROM putts WHERE round_id = 2 AND putt = 1", "are gone"),
        ("DELETE FROM putts", "are gone"),
    ],
)
def test_rows_that_are_gone(archive: Path, statement: str, what: str) -> None:
    change(archive, statement)
    assert what in said(archive, "export")
    assert what in said(archive, "round", "2")
    assert command("rounds", "--archive", archive).status == 0
    ran = command("rounds", "--verify", "--archive", archive)
    assert ran.status == 0 and "corrected" in ran.out
    assert command("export", "--archive", archive).status == 0


def test_a_salvage_says_which_tables_of_a_newer_version_it_cannot_keep(archive: Path) -> None:
    change(
        archive,
        "CREATE TABLE caddies (name TEXT)",
        "UPDATE putts SET distance_ft = 3 WHERE round_id = 1 AND hole = 1 AND putt = 1",
        f"PRAGMA user_version = {VERSION + 1}",
    )
    assert "newer sgputt" in command("rounds", "--archive", archive).err
    ran = command("restore", "--salvage", "--archive", archive)
    assert ran.status == 1 and "the table caddies" in " ".join(ran.out.split())
    with Archive(archive) as opened:
        assert opened.rounds().height == 6


@pytest.mark.parametrize("version", [-1, 0, 1, VERSION - 1])
def test_a_damaged_version_is_said_in_our_words_and_salvaged(archive: Path, version: int) -> None:
    """What SQLite said of tables made a second time reached the user."""
    change(archive, f"PRAGMA user_version = {version}")
    told = said(archive, "rounds")
    assert f"is damaged: it says that it is of version {version}" in told
    assert "already exists" not in told and "restore --salvage" in told
    assert command("restore", "--salvage", "--archive", archive).status == 0
    with Archive(archive) as opened:
        assert opened.rounds().height == 6


def test_settings_are_salvaged(archive: Path) -> None:
    with Archive(archive) as opened:
        opened.change_settings("Mara Lindqvist", "m", "metres", "left")
    change(archive, "UPDATE putts SET distance_ft = 3 WHERE round_id = 1 AND hole = 1")
    assert command("restore", "--salvage", "--archive", archive).status == 0
    with Archive(archive) as opened:
        settings = opened.settings()
    assert (settings.player, settings.unit, settings.shown_in, settings.handed) == (
        *("Mara Lindqvist", "m", "metres", "left"),
    )


@pytest.mark.parametrize("words", [("backup", "copy.sqlite"), ("restore", "copy.sqlite")])
def test_what_a_killed_command_left_goes_with_the_next(
    archive: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    """A hidden file stayed for ever, at times a whole copy."""
    if words[0] == "restore":
        shutil.copy(archive, tmp_path / "copy.sqlite")
    stop = (
        "import os, signal, sgputt.archive.backup as backup\n"
        "real = backup._copy\n"
        "def copy(*a):\n    real(*a)\n    os.kill(os.getpid(), signal.SIGKILL)\n"
        "backup._copy = copy\nfrom sgputt_cli.main import run; run()"
    )
    names = {each.name for each in tmp_path.iterdir()}
    call = [sys.executable, "-c", stop, words[0], words[1], "--archive", str(archive)]
    assert subprocess.run(call, cwd=tmp_path, check=False).returncode == -signal.SIGKILL
    left = {each.name for each in tmp_path.iterdir()} - names
    assert any(name.startswith(".sgputt-half-") for name in left), left
    assert command("rounds", "--archive", archive).status == 0
    now = {each.name for each in tmp_path.iterdir()}
    assert not any(name.startswith(".sgputt-half-") for name in now), now
    with Archive(archive) as opened:
        assert opened.rounds().height == 6


def test_a_circle_of_links(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to("loop")
    start = time.monotonic()
    for words in (["rounds"], ["import", os.devnull], ["restore", "--salvage"], ["backup", "x"]):
        ran = command(*words, "--archive", tmp_path / "loop")
        assert ran.status == 1 and "Traceback" not in ran.err and ran.err
    assert time.monotonic() - start < 60
