"""Archives that cannot be opened: each says what is wrong and what to do, and stays as it was."""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from sgputt.archive import store as store_module
from sgputt.archive.backup import restore
from sgputt.archive.connection import APPLICATION_ID, MIGRATIONS, VERSION
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError


def foreign(path: Path, version: int = 0, application: int = 0) -> Path:
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE recipes (name TEXT)")
        db.execute(f"PRAGMA user_version = {version}")
        db.execute(f"PRAGMA application_id = {application}")
        db.commit()
    return path


def opening(path: Path, make: bool = True) -> ArchiveError:
    with pytest.raises(ArchiveError) as caught:
        Archive(path, make)
    assert caught.value.hint
    return caught.value


def test_a_new_archive_says_whose_it_is(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "archive.sqlite"
    with Archive(path):
        pass
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert db.execute("PRAGMA user_version").fetchone() == (VERSION,)
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert len(MIGRATIONS) == VERSION


def test_an_absent_archive_is_not_made_by_looking(tmp_path: Path) -> None:
    path = tmp_path / "archive.sqlite"
    error = opening(path, make=False)
    assert "There are no rounds yet" in error.what
    assert "sgputt import" in error.hint
    assert not path.exists()


def test_a_file_that_is_not_sqlite(tmp_path: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text("hole,putts\n1,2\n" * 200, encoding="utf-8")
    before = path.read_bytes()
    error = opening(path)
    assert "not a database" in error.what
    assert "--archive" in error.hint
    assert path.read_bytes() == before


def test_an_sqlite_file_of_another_program(tmp_path: Path) -> None:
    error = opening(foreign(tmp_path / "recipes.db"))
    assert "not made by sgputt" in error.what
    with closing(sqlite3.connect(tmp_path / "recipes.db")) as db:
        tables = db.execute("SELECT name FROM sqlite_master").fetchall()
    assert tables == [("recipes",)]


@pytest.mark.parametrize("version", [0, VERSION, VERSION + 1])
def test_a_file_of_another_program_is_left_as_it_was(tmp_path: Path, version: int) -> None:
    path = foreign(tmp_path / "recipes.db", version)
    before = path.read_bytes()
    with pytest.raises(ArchiveError), Archive(path) as archive:
        archive.rounds()
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["recipes.db"]


def test_another_program_with_our_version_number(tmp_path: Path) -> None:
    assert "not made by sgputt" in opening(foreign(tmp_path / "recipes.db", VERSION)).what


def test_an_archive_of_a_newer_sgputt(tmp_path: Path) -> None:
    path = foreign(tmp_path / "archive.sqlite", VERSION + 1, APPLICATION_ID)
    error = opening(path)
    assert f"version {VERSION + 1}" in error.what
    assert "newer sgputt" in error.hint


def test_a_damaged_archive(tmp_path: Path) -> None:
    path = tmp_path / "archive.sqlite"
    with Archive(path):
        pass
    content = bytearray(path.read_bytes())
    content[100:4096] = b"\xff" * 3996
    path.write_bytes(bytes(content))
    with (
        pytest.raises(ArchiveError, match=r"malformed|not a database") as caught,
        Archive(path) as a,
    ):
        a.rounds()
    assert "backup" in caught.value.hint


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_to(tmp_path: Path) -> None:
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o500)
    assert "--archive" in opening(folder / "archive.sqlite").hint
    assert "--archive" in opening(folder / "deeper" / "archive.sqlite").hint


def test_a_folder_in_place_of_the_file(tmp_path: Path) -> None:
    assert f"{tmp_path} is a folder" in opening(tmp_path).what


def test_a_pipe_or_a_circle_of_links_in_place_of_the_file(tmp_path: Path) -> None:
    """A pipe was waited for without end."""
    os.mkfifo(tmp_path / "pipe")
    assert "is a device or a pipe" in opening(tmp_path / "pipe").what
    (tmp_path / "loop").symlink_to("loop")
    assert "leads back to itself" in opening(tmp_path / "loop").what


def test_an_archive_and_its_copies_are_for_their_owner_only(tmp_path: Path) -> None:
    path, link = tmp_path / "archive.sqlite", tmp_path / "link.sqlite"
    link.symlink_to(path)
    with Archive(link) as archive:
        archive.store([], "card.csv", b"")
        archive.backup(tmp_path / "copy.sqlite")
        modes = {each.name: stat.S_IMODE(each.stat().st_mode) for each in tmp_path.iterdir()}
    assert modes and set(modes.values()) == {0o600}, modes
    path.unlink()
    restore(tmp_path / "copy.sqlite", path, date(2026, 5, 3))
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    path.chmod(0o640)
    restore(tmp_path / "copy.sqlite", path, date(2026, 5, 4))
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_file_in_place_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    error = opening(tmp_path / "file" / "archive.sqlite")
    assert "--archive" in error.hint


def test_a_locked_archive(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "archive.sqlite"
    with Archive(path):
        pass
    monkeypatch.setattr(store_module, "WAIT_SECONDS", 0.05)
    with closing(sqlite3.connect(path, isolation_level=None)) as other, Archive(path) as archive:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(ArchiveError, match="locked") as caught:
            archive.store([], "card.csv", b"")
        assert "try again" in caught.value.hint
        # Reading goes on while another writes.
        assert archive.rounds().is_empty()
        other.execute("ROLLBACK")
        archive.store([], "card.csv", b"")


def test_a_failed_first_opening_leaves_no_half_made_archive(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "archive.sqlite"
    with monkeypatch.context() as patch:
        broken = (*MIGRATIONS, ("CREATE TABLE putts (twice TEXT)",))
        patch.setattr("sgputt.archive.connection.MIGRATIONS", broken)
        assert "already exists" in opening(path).what
    with Archive(path) as archive:
        assert archive.rounds().is_empty()


def test_an_archive_that_may_only_be_read_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "archive.sqlite"
    Archive(path).__exit__(None, None, None)
    before = path.read_bytes()
    # Root may write anywhere, so the question itself is answered here.
    monkeypatch.setattr("sgputt.archive.connection._writable", lambda path: False)
    with Archive(path) as archive:
        assert archive.rounds().is_empty()
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["archive.sqlite"]
