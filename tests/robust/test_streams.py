"""Terminals of few letters, streams that are closed or full, names that are no Unicode."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.robust.limited import RUN

CARD = """\
date,player,course,hole,putts,putt1,putt2
2026-05-03,İpek Öst,Ünye Links,1,2,12,3
,,,2,3,30,
"""
FEW_LETTERS = {
    "ascii": {"PYTHONIOENCODING": "ascii"},
    "latin-1": {"PYTHONIOENCODING": "latin-1"},
    "no locale": {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "round.csv").write_text(CARD, encoding="utf-8")
    assert run(tmp_path, "import", "round.csv").returncode == 0
    return tmp_path


def run(
    folder: Path, *words: str | bytes, env: dict[str, str] | None = None, shell: str = ""
) -> subprocess.CompletedProcess[bytes]:
    """Run it in a process; ``shell`` is what a shell does to its streams."""
    return subprocess.run(
        ["sh", "-c", f'exec "$@" {shell}', "sh", sys.executable, "-c", RUN, *words],
        cwd=folder,
        env={**os.environ, "SGPUTT_ARCHIVE": str(folder / "archive.sqlite"), **(env or {})},
        capture_output=True,
        check=False,
    )


@pytest.mark.parametrize("which", FEW_LETTERS)
def test_few_letters(which: str, folder: Path) -> None:
    names = ("rounds", "round", "season") if which == "ascii" else ("rounds", "round")
    ran = [run(folder, name, env=FEW_LETTERS[which]) for name in names]
    for each in ran:
        assert (each.returncode, each.stderr) == (0, b""), each.stderr
    assert b"?pek" in ran[0].stdout
    assert re.search(rb"[ (]-\d\.\d\d", ran[1].stdout), "a minus stays one"
    said = run(folder, "rounds", "--json", env=FEW_LETTERS[which])
    assert json.loads(said.stdout.decode("latin-1"))[0]["player"] == "İpek Öst"


@pytest.mark.parametrize("shell", [">&-", "2>&-", ">&- 2>&- <&-", ">/dev/full"])
def test_streams_that_take_nothing(shell: str, folder: Path) -> None:
    if shell == ">/dev/full" and not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    shutil.copy(folder / "round.csv", folder / "again.csv")
    for words in (["rounds"], ["export"], ["rounds", "--json"], ["import", "again.csv"]):
        ran = run(folder, *words, shell=shell)
        assert b"Traceback" not in ran.stderr and b"ignored" not in ran.stderr, ran.stderr
        assert ran.returncode == (1 if shell == ">/dev/full" else 0), ran.stderr
        if shell == ">/dev/full":
            assert b"No space left on device" in ran.stderr
    assert b"1 round" in run(folder, "rounds").stdout


def test_words_that_are_no_unicode(folder: Path) -> None:
    log = ("drills", "log", "circle-of-eight-5ft", "--balls", "4", "--successes", "3")
    for words in (
        ("--player", b"Ann\xff", *log, "--note", b"\xfe"),
        ("--player", b"Ann\xff", "drills", "history"),
        ("card", "--player", b"Ann\xff", "--course", b"\xff", "--out", "card.csv"),
        ("card", "--course", b"\xff", "--out", "card.html"),
        ("card", "--course", b"\xff"),
        ("round", "--out", b"\xff.html"),
        ("export", "--out", b"\xff.csv"),
        ("--archive", b"\xff.sqlite", "import", "round.csv"),
    ):
        ran = run(folder, *words)
        assert (ran.returncode, ran.stderr) == (0, b""), ran.stderr
        ran.stdout.decode("utf-8")
    assert (folder / "card.csv").read_text(encoding="utf-8").splitlines()[1].count("Ann") == 1


def test_a_folder_that_is_gone(folder: Path) -> None:
    gone = folder / "gone"
    gone.mkdir()
    # -P: like the installed command, it does not look for modules where it is started.
    words = [sys.executable, "-P", "-c", f"import os; os.rmdir({str(gone)!r}); {RUN}"]
    for more, status in ((["rounds"], 0), (["export", "--out", "putts.csv"], 1)):
        gone.mkdir(exist_ok=True)
        env = {**os.environ, "SGPUTT_ARCHIVE": str(folder / "archive.sqlite")}
        ran = subprocess.run([*words, *more], cwd=gone, env=env, capture_output=True, check=False)
        assert ran.returncode == status, ran.stderr
        assert b"Traceback" not in ran.stderr
