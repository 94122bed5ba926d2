"""Where things are missing: asserts and docstrings, a home, a reader at the other end, columns."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from sgputt_cli.main import COMMANDS
from tests.cli.conftest import demo_archive

__all__ = ["demo_archive"]

RUN = "from sgputt_cli.main import run; run()"
# Several commands in one process; what became of each goes to stderr.
RUN_ALL = """
import sys
from sgputt_cli.main import run
for words in sys.argv[1:]:
    sys.argv = ["sgputt", *words.split()]
    try:
        run()
    except SystemExit as ended:
        sys.stderr.write(f"{words}: {ended.code or 0}\\n")
"""


@pytest.fixture
def archive(demo_archive: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_archive, tmp_path / "archive.sqlite"))


def ran(
    *words: object, flags: tuple[str, ...] = (), without: tuple[str, ...] = (), **env: str
) -> subprocess.CompletedProcess[bytes]:
    kept = {name: value for name, value in os.environ.items() if name not in without}
    done = subprocess.run(
        [sys.executable, *flags, "-c", RUN, *map(str, words)],
        capture_output=True,
        env={**kept, **env},
        check=False,
        timeout=120,
    )
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    return done


@pytest.mark.parametrize("name", ["", "drills log", "season", "bulk", "settings"])
def test_help_without_docstrings(name: str) -> None:
    """Help was empty: python -OO leaves out what it was made of."""
    words = [*name.split(), "-h"]
    assert ran(*words, flags=("-OO",)).stdout == ran(*words).stdout


def test_work_without_asserts_and_docstrings(archive: Path, tmp_path: Path) -> None:
    commands = (
        "rounds --verify",
        "round --out round.html",
        "season --out season.html",
        "practice --minutes 30",
        "export --what rounds --out rounds.xlsx",
        "card --out card.html",
        "drills --json",
    )
    done = subprocess.run(
        [sys.executable, "-OO", "-c", RUN_ALL, *commands],
        cwd=tmp_path,
        env={**os.environ, "SGPUTT_ARCHIVE": str(archive)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.stderr.splitlines() == [f"{each}: 0" for each in commands]
    assert b"<svg" in (tmp_path / "season.html").read_bytes()


@pytest.mark.parametrize("name", sorted({"rounds", "season", "export", "drills"} & set(COMMANDS)))
def test_nobody_reads_to_the_end(archive: Path, name: str) -> None:
    words = [sys.executable, "-c", RUN, name, "--archive", str(archive)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        err = process.stderr.read()
        process.wait(timeout=60)
    assert process.returncode == 0 and b"Traceback" not in err, err.decode()


@pytest.mark.parametrize("name", ["season", "round", "course", "practice --minutes 30", "squad"])
def test_a_page_is_written_though_nobody_reads_the_rest(
    archive: Path, tmp_path: Path, name: str
) -> None:
    page = tmp_path / "page.html"
    words = [*name.split(), "--archive", str(archive), "--out", str(page)]
    run = [sys.executable, "-c", RUN, *words]
    with subprocess.Popen(run, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        process.stdout.close()
        process.wait(timeout=120)
    assert process.returncode == 0
    assert page.read_bytes().rstrip().endswith(b"</html>")


def test_without_a_home(archive: Path, tmp_path: Path) -> None:
    gone = ("HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "SGPUTT_ARCHIVE", "USERPROFILE")
    for words in (["rounds", "--archive", archive], ["round", "--archive", archive], ["drills"]):
        assert ran(*words, without=gone).returncode == 0
    nowhere = str(tmp_path / "none")
    done = ran("rounds", without=gone, HOME=nowhere)
    assert done.returncode == 1 and b"does not exist" in done.stderr
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("name", ["season", "practice", "rounds", "drills", "-h"])
def test_a_narrow_terminal_of_few_letters(archive: Path, name: str) -> None:
    words = [name] if name in ("-h", "drills") else [name, "--archive", archive]
    done = ran(*words, COLUMNS="20", PYTHONIOENCODING="ascii", LC_ALL="C", NO_COLOR="1")
    assert done.returncode == 0 and done.stdout.isascii()
