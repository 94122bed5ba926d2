"""A full disk, a disk that may only be read, an archive in use: said, and nothing changed."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from sgputt.archive.connection import connect_to_read
from sgputt.archive.store import Archive
from sgputt.demo import demo_cards
from tests.robust.limited import AS_NOBODY, limited

CARD = b"date,player,course,hole,putts,putt1\n2026-05-03,Ada Brook,Heron Mere,1,1,9\n,,,2,1,8\n"
BAD_ROW = b",,,3,1,x\n"


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return demo_cards(tmp_path_factory.mktemp("cards"))


@pytest.fixture
def disk(open_folder: Path) -> Iterator[Path]:
    """A disk of half a megabyte."""
    words = ["mount", "-t", "tmpfs", "-o", "size=512k,mode=777", "sgputt-test", str(open_folder)]
    if os.geteuid() != 0 or subprocess.run(words, capture_output=True, check=False).returncode:
        pytest.skip("only root may mount a small disk")
    yield open_folder
    subprocess.run(["umount", str(open_folder)], check=True)


def content(archive: Path) -> list[str]:
    with closing(connect_to_read(archive)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        return list(db.iterdump())


def fill(disk: Path, leave: int) -> None:
    free = os.statvfs(disk)
    (disk / "other").write_bytes(bytes(free.f_bavail * free.f_frsize - leave))


def test_a_full_disk(disk: Path, cards: list[Path]) -> None:
    archive = disk / "archive.sqlite"
    limited("import", "--archive", archive, cards[0]).hold(0, "Stored round 1")
    before = content(archive)
    fill(disk, 8192)
    limited("import", "--archive", archive, cards[1]).hold(1, "full", "nothing was changed")
    assert content(archive) == before
    for words in (["rounds"], ["season"], ["export", "--what", "rounds"]):
        limited(*words, "--archive", archive).hold(0)
    limited("remove", "1", "--archive", archive).hold(1, "disk")
    limited("backup", "--archive", archive, disk / "copy.sqlite").hold(1, "full")
    assert content(archive) == before
    # SQLite leaves its log where there is no room to clear it away.
    logs = {"archive.sqlite-wal", "archive.sqlite-shm"}
    assert {path.name for path in disk.iterdir()} - logs == {"archive.sqlite", "other"}
    (disk / "other").unlink()
    limited("import", "--archive", archive, cards[1]).hold(0, "Stored round 2")


def test_a_disk_full_from_the_start(disk: Path, cards: list[Path]) -> None:
    fill(disk, 0)
    limited("import", "--archive", disk / "archive.sqlite", cards[0]).hold(1, "full")
    (disk / "other").unlink()
    limited("import", "--archive", disk / "archive.sqlite", cards[0]).hold(0, "Stored round 1")


@pytest.mark.parametrize("leave", [44, 60, 76])
def test_a_disk_full_while_the_archive_is_made(disk: Path, cards: list[Path], leave: int) -> None:
    fill(disk, leave * 1024)
    limited("import", "--archive", disk / "archive.sqlite", cards[0]).hold(1, "disk is full")
    (disk / "other").unlink()
    limited("import", "--archive", disk / "archive.sqlite", cards[0]).hold(0, "Stored round 1")


def test_no_place_for_the_rows_not_stored(open_folder: Path) -> None:
    """What cannot be written beside the card is not stored without it."""
    path, archive = open_folder / "cards" / "round.csv", open_folder / "archive.sqlite"
    path.parent.mkdir()
    path.write_bytes(CARD + BAD_ROW)
    path.parent.chmod(0o555)
    words = ("--archive", archive, "import", "--keep-good-holes", path)
    limited(*words, first=AS_NOBODY).hold(1, "Permission denied")
    assert [each.name for each in path.parent.iterdir()] == ["round.csv"]
    assert not any("Ada" in line for line in content(archive))
    path.parent.chmod(0o755)


@pytest.mark.parametrize("most", [0, 4096, 20_000, 60_000])
def test_files_that_may_not_grow(tmp_path: Path, cards: list[Path], most: int) -> None:
    archive = tmp_path / "archive.sqlite"
    limited("import", "--archive", archive, cards[0])
    before = {*content(archive)}
    first = f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, ({most}, {most}))"
    ended = limited("import", "--archive", archive, *cards[1:4], first=first)
    ended.hold(1, "see whether it is full or failing")
    assert len(before - {*content(archive)}) <= 1, "only the last number given out may change"
    limited("import", "--archive", archive, *cards[:4]).hold(0, "Unchanged round 1", "Stored round")
    with Archive(archive) as opened:
        assert opened.rounds().height == 4


def test_an_archive_that_may_only_be_read(open_folder: Path, cards: list[Path]) -> None:
    archive = open_folder / "archive.sqlite"
    limited("import", "--archive", archive, cards[0])
    (open_folder / "card.csv").write_bytes(CARD)
    archive.chmod(0o444)
    open_folder.chmod(0o555)
    before = archive.read_bytes()
    words = ("import", "--archive", archive, open_folder / "card.csv")
    limited(*words, first=AS_NOBODY).hold(1, "may not be written to")
    limited("rounds", "--archive", archive, first=AS_NOBODY).hold(0, "1 round")
    assert archive.read_bytes() == before
    assert sorted(each.name for each in open_folder.iterdir()) == ["archive.sqlite", "card.csv"]
    open_folder.chmod(0o777)


def test_rounds_in_the_log_of_an_archive_that_may_only_be_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cards: list[Path]
) -> None:
    """A killed import leaves its rounds in the log; on a read-only disk they were not seen."""
    archive = tmp_path / "archive.sqlite"
    code = (
        "import os, sys\nfrom pathlib import Path\nfrom sgputt.archive.store import Archive\n"
        "from sgputt.intake import take_in\nfrom sgputt.scorecard import CardOptions\n"
        "archive = Archive(Path(sys.argv[1]))\n"
        "take_in(Path(sys.argv[2]), archive, CardOptions())\nos.kill(os.getpid(), 9)\n"
    )
    with Archive(archive):
        pass
    killed = [sys.executable, "-c", code, str(archive), str(cards[0])]
    assert subprocess.run(killed, check=False).returncode == -9
    assert Path(f"{archive}-wal").stat().st_size
    files = sorted(tmp_path.iterdir())
    # Root may write anywhere, so the question itself is answered here.
    monkeypatch.setattr("sgputt.archive.connection._writable", lambda path: False)
    with Archive(archive) as opened:
        assert opened.rounds().height == 1
        assert opened.putts().height > 18
    assert sorted(tmp_path.iterdir()) == files


def test_an_archive_in_use_is_waited_for_and_then_said(tmp_path: Path, cards: list[Path]) -> None:
    archive = tmp_path / "archive.sqlite"
    limited("import", "--archive", archive, cards[0])
    with closing(sqlite3.connect(archive, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        quick = "import sgputt.archive.store as store; store.WAIT_SECONDS = 0.5"
        ended = limited("import", "--archive", archive, cards[1], first=quick)
        ended.hold(1, "database is locked", "try again in a moment")
        assert ended.seconds > 0.5
        limited("rounds", "--archive", archive).hold(0, "1 round")
        other.execute("ROLLBACK")
    limited("import", "--archive", archive, cards[1]).hold(0, "Stored round 2")


def test_the_change_to_a_log_is_waited_for(tmp_path: Path) -> None:
    """As after going back to a backup, which has no log beside it."""
    archive = tmp_path / "archive.sqlite"
    with Archive(archive) as opened:
        opened.query("PRAGMA journal_mode = DELETE")
    with closing(sqlite3.connect(archive, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        timer = threading.Timer(0.3, other.execute, ["ROLLBACK"])
        timer.start()
        with Archive(archive) as opened:
            assert opened.query("PRAGMA journal_mode") == [("wal",)]
        timer.join()


def test_what_was_stored_is_said_when_a_later_card_fails(tmp_path: Path, cards: list[Path]) -> None:
    archive = tmp_path / "archive.sqlite"
    limited("import", "--archive", archive, cards[0])
    first = (
        "import sgputt.archive.store as store\nfrom sgputt.errors import ArchiveError\n"
        "really = store.Archive.store\n"
        "def store_one(self, rounds, name, *rest):\n"
        f"    if name == {cards[2].name!r}: raise ArchiveError('no more')\n"
        "    return really(self, rounds, name, *rest)\n"
        "store.Archive.store = store_one\n"
    )
    limited("import", "--archive", archive, *cards[1:4], first=first).hold(
        1, "Stored round 2", "Error: no more"
    )
