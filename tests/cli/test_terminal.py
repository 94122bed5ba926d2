"""A terminal of 80 columns, a pipe, NO_COLOR, progress, and the Tab key."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import shlex
import shutil
import struct
import subprocess
import sys
import termios
import threading
from contextlib import suppress
from pathlib import Path
from unittest.mock import patch

import pytest
from rich.cells import cell_len

from sgputt_cli.main import COMMANDS, run
from tests.cli.conftest import Command
from tests.cli.test_commands import CARD, examples, filled

__all__ = ["filled"]

COLUMNS = 80
ESCAPE = "\x1b"
# What a terminal is told beside the text.
CODES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
LONG = "Wilhelmina-Albertina " + "W" * 90


def in_terminal(*words: object, stream: str = "stdout") -> str:
    """What ``sgputt`` writes to a stream that is a terminal of 80 columns."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, COLUMNS, 0, 0))
    said: list[bytes] = []
    reader = threading.Thread(target=drain, args=(ours, said))
    reader.start()
    with (
        os.fdopen(theirs, "w", encoding="utf-8") as terminal,
        Path(os.devnull).open("w", encoding="utf-8") as nothing,
        patch.object(sys, "argv", ["sgputt", *map(str, words)]),
        patch.object(sys, "stdout", terminal if stream == "stdout" else nothing),
        patch.object(sys, "stderr", terminal if stream == "stderr" else nothing),
        suppress(SystemExit),
    ):
        run()
    reader.join()
    os.close(ours)
    return b"".join(said).decode("utf-8").replace("\r\n", "\n")


def drain(handle: int, said: list[bytes]) -> None:
    # Reading fails once the other side is closed.
    with suppress(OSError):
        while part := os.read(handle, 4096):
            said.append(part)


def too_wide(text: str) -> list[str]:
    return [line for line in CODES.sub("", text).splitlines() if cell_len(line) > COLUMNS]


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    for name in ("NO_COLOR", "COLUMNS", "FORCE_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.usefixtures("terminal")
def test_every_command_fits_its_terminal_without_colour(
    name: str, filled: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    for line in examples(filled(name, "--help").out):
        said = in_terminal(*shlex.split(line)[1:])
        assert ESCAPE not in said, line
        # JSON and CSV are for programs.
        if name != "export" and "--json" not in line and said[:1] not in "[{":
            assert too_wide(said) == [], line


@pytest.mark.parametrize("name", ["rounds", "round", "season", "practice", "squad", "stroke"])
@pytest.mark.usefixtures("terminal")
def test_long_names_fit_too(sgputt: Command, home: Path, name: str) -> None:
    text = CARD.replace("Ada Brook", LONG).replace("Heron Mere", LONG)
    (home / "round.csv").write_text(text, encoding="utf-8")
    assert sgputt("import", "round.csv").status == 0
    assert too_wide(in_terminal(name)) == []
    assert too_wide(sgputt(name).out) == []


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("rounds", "1, 2026-03-14, Mara Lindqvist, Saltmarsh Links, "),
        ("expect 8 40", "8 ft: expected putts 1.50, holed with one putt"),
        ("drills circle-of-eight-5ft", "Set-up: "),
        ("putt 6", "to the side: break "),
    ],
)
@pytest.mark.usefixtures("terminal")
def test_a_narrow_terminal_is_read_line_by_line(
    filled: Command, monkeypatch: pytest.MonkeyPatch, words: str, says: str
) -> None:
    """A table that does not fit is said row by row, not cut into pieces of words."""
    monkeypatch.setenv("COLUMNS", "40")
    said = in_terminal(*words.split()).replace("\n", " ")
    assert says in said
    assert "\N{BOX DRAWINGS LIGHT HORIZONTAL}" not in said
    lines = in_terminal(*words.split()).splitlines()
    assert max(cell_len(each) for each in lines if "drills log" not in each) <= 40


@pytest.mark.usefixtures("terminal")
def test_a_pipe_gets_no_codes_and_a_terminal_does(
    filled: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    for words in (["rounds"], ["season"], ["round"], ["expect", "8ft"], ["rounds", "--json"]):
        assert ESCAPE not in filled(*words).out
    assert ESCAPE in in_terminal("rounds")
    monkeypatch.setenv("NO_COLOR", "1")
    assert ESCAPE not in in_terminal("rounds")
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert ESCAPE not in in_terminal("rounds")


@pytest.mark.usefixtures("terminal")
def test_a_long_import_shows_how_far_it_is(
    filled: Command, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for at in range(30):
        card = CARD.replace("2025-05-03", f"2024-06-{at + 1:02}")
        (home / f"card-{at:02}.csv").write_text(card, encoding="utf-8")
    cards = sorted(home.glob("card-*.csv"))
    assert "30/30" in CODES.sub("", in_terminal("import", *cards, stream="stderr"))
    again = filled("import", *cards)
    assert (again.status, again.err) == (0, "")
    assert "30/30" not in again.out
    assert in_terminal("import", cards[0], stream="stderr") == ""
    monkeypatch.setenv("NO_COLOR", "1")
    assert in_terminal("import", *cards, stream="stderr") == ""


def test_the_list_of_commands_is_true_and_fits_its_lines(sgputt: Command) -> None:
    lines = sgputt("-h").out.splitlines()
    for name, (_, summary) in COMMANDS.items():
        assert any(line.split() == [name, *summary.split()] for line in lines), name
        # The command's own help, loaded with it, begins with the same word.
        own = sgputt(name, "-h").out.split("\n\n")[1].split()
        assert own[0] == summary.split()[0], name


def completed(shell: str, home: Path, words: str = "", at: int = 0) -> str:
    """What the installed script answers a shell that asks for completions."""
    script = shutil.which("sgputt", path=str(Path(sys.executable).parent))
    assert script is not None
    asked = {
        "COMP_WORDS": words,
        "COMP_CWORD": words.rsplit(maxsplit=1)[-1] if shell == "fish_complete" else str(at),
        "_SGPUTT_COMPLETE": shell,
    }
    done = subprocess.run(
        [script],
        cwd=home,
        env={**os.environ, **asked},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_answers_every_shell(home: Path, shell: str) -> None:
    assert "_SGPUTT_COMPLETE" in completed(f"{shell}_source", home)
    assert "export" in completed(f"{shell}_complete", home, "sgputt exp", 1)
    assert "--keep-good-holes" in completed(f"{shell}_complete", home, "sgputt import --keep", 2)
    whats = completed(f"{shell}_complete", home, "sgputt export --what pra", 3)
    assert "practice" in whats
    assert "season" not in whats


def test_the_readme_says_how_to_complete() -> None:
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    for shell in ("bash", "zsh", "fish"):
        assert f"_SGPUTT_COMPLETE={shell}_source sgputt" in text
