"""Files are written whole, never over what is no file; a killed run leaves nothing for long."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from sgputt.errors import SgputtError
from sgputt.files import clear_orphans, half_written, write_beside, write_whole
from tests.cli.conftest import command
from tests.robust.conftest import open_folder
from tests.robust.limited import AS_NOBODY, limited

__all__ = ["open_folder"]

BEFORE = b"what stood there"


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.parametrize("kind", ["folder", "pipe", "device", "loop", "into nowhere"])
def test_only_a_file_is_replaced(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "there"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path = Path(os.devnull)
    elif kind == "loop":
        path.symlink_to("there")
    else:
        path = tmp_path / "none" / "there"
    before = sorted(tmp_path.iterdir()), path.lstat() if os.path.lexists(path) else None
    with pytest.raises(SgputtError) as caught:
        write_whole(path, b"new")
    assert str(path) in caught.value.what or str(path.parent) in caught.value.what
    assert caught.value.hint
    assert (sorted(tmp_path.iterdir()), path.lstat() if before[1] else None)[0] == before[0]
    if before[1] is not None:
        assert stat.S_IFMT(path.lstat().st_mode) == stat.S_IFMT(before[1].st_mode)


@pytest.mark.parametrize(
    "words",
    [
        ("card", "--out"),
        ("card", "--paper", "--out"),
        ("export", "--what", "rounds", "--out"),
        ("expect", "8", "--out"),
    ],
)
def test_no_command_replaces_a_pipe(tmp_path: Path, words: tuple[str, ...]) -> None:
    path = tmp_path / "pipe.html"
    os.mkfifo(path)
    ran = command(*words, path, *(["--archive", tmp_path / "a"] if "export" in words else []))
    assert ran.status in (1, 2) and "Traceback" not in ran.err
    assert [each.name for each in tmp_path.iterdir()] == ["pipe.html"]
    assert stat.S_ISFIFO(path.lstat().st_mode)


def test_through_a_link_its_target_is_written(tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    (tmp_path / "link").symlink_to("deep/other")
    (tmp_path / "deep" / "other").symlink_to("file")
    write_whole(tmp_path / "link", b"first")
    (tmp_path / "deep" / "file").chmod(0o640)
    write_whole(tmp_path / "link", b"second")
    assert (tmp_path / "link").is_symlink() and (tmp_path / "deep" / "other").is_symlink()
    assert (tmp_path / "deep" / "file").read_bytes() == b"second"
    assert mode(tmp_path / "deep" / "file") == 0o640
    assert len(list(tmp_path.rglob("*"))) == 4


@pytest.mark.parametrize("permissions", [0o600, 0o644, 0o664, 0o640])
def test_permissions_stay(tmp_path: Path, permissions: int) -> None:
    path = tmp_path / "file"
    path.write_bytes(BEFORE)
    path.chmod(permissions)
    write_whole(path, b"new")
    assert (mode(path), path.read_bytes()) == (permissions, b"new")


def test_a_file_that_may_not_be_written_to_stays(open_folder: Path) -> None:
    path = open_folder / "card.csv"
    path.write_bytes(BEFORE)
    path.chmod(0o444)
    limited("card", "--out", path, first=AS_NOBODY).hold(1, "may not be written to")
    assert path.read_bytes() == BEFORE


def test_a_failure_leaves_what_was_there(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(BEFORE)
    with pytest.raises(ZeroDivisionError), half_written(path) as half:
        half.write_bytes(b"half")
        raise ZeroDivisionError
    assert path.read_bytes() == BEFORE
    assert list(tmp_path.iterdir()) == [path]


def test_what_a_killed_run_left_is_removed_and_nothing_else(tmp_path: Path) -> None:
    code = (
        "import sys, time\nfrom pathlib import Path\nfrom sgputt.files import half_written\n"
        "with half_written(Path(sys.argv[1])) as half:\n"
        "    half.write_bytes(b'half')\n    Path(f'{half}-wal').write_bytes(b'log')\n"
        "    print('held', flush=True)\n    time.sleep(60)\n"
    )
    words = [sys.executable, "-c", code, str(tmp_path / "file")]
    (tmp_path / ".sgputt-half-mine").touch()
    (tmp_path / ".sgputt-half-folder01").mkdir()
    (tmp_path / "other").touch()
    mine = {".sgputt-half-mine", ".sgputt-half-folder01", "other"}
    with subprocess.Popen(words, stdout=subprocess.PIPE) as running:
        assert running.stdout is not None and running.stdout.readline() == b"held\n"
        left = {each.name for each in tmp_path.iterdir()} - mine
        assert len(left) == 2
        clear_orphans(tmp_path)  # nothing that is held is taken for left behind
        assert {each.name for each in tmp_path.iterdir()} - mine == left
        running.send_signal(signal.SIGKILL)
        running.wait()
    assert {each.name for each in tmp_path.iterdir()} - mine == left
    write_whole(tmp_path / "file", b"whole")
    assert {each.name for each in tmp_path.iterdir()} == mine | {"file"}


def test_beside_a_file_nothing_is_overwritten(tmp_path: Path) -> None:
    card = tmp_path / "round.csv"
    names = [
        write_beside(card, "rejected.csv", each).name for each in (b"one", b"two", b"one", b"two")
    ]
    assert names == ["round.rejected.csv", "round.rejected-2.csv"] * 2
    assert mode(write_beside(card, "card.csv", b"x", private=True)) == 0o600
