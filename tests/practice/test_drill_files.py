"""Files of drills that nobody would write: a sentence, and soon."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from sgputt.practice.drills import DrillFileError, load_drills
from tests.cli.conftest import command

SECONDS = 2.0

FILES: dict[str, Callable[[], bytes]] = {
    "200,000 tables": lambda: b"[[drill]]\nid = 'a'\n" * 200_000,
    "as many as fit": lambda: b"[[drill]]\n" * 26_000,
    "many with mistakes": lambda: b"[[drill]]\nx = 1\n" * 500,
    "arrays in arrays": lambda: b"drill = " + b"[" * 100_000,
    "tables in tables": lambda: b"drill = " + b"{a=" * 60_000,
    "names of many parts": lambda: b"a." * 120_000 + b"a = 1",
    "heads of many parts": lambda: b"[" + b"a." * 120_000 + b"a]",
    "quoted names of many parts": lambda: b"'a' . " * 40_000 + b"a = 1",
    "a huge number": lambda: b"[[drill]]\nballs = " + b"9" * 200_000,
    "a huge minutes": lambda: b"[[drill]]\nminutes = 1e400\nballs = 99999999999999999999999",
    "not a number": lambda: b"[[drill]]\nballs = nan\nminutes = inf",
    "no text": lambda: bytes(range(256)) * 400,
    "an endless line": lambda: b"a" * 250_000,
    "an endless text": lambda: b"[[drill]]\nname = '" + b"a" * 250_000 + b"'",
    "a drill that is no table": lambda: b"drill = 3",
    "drills that are no tables": lambda: b"drill = [1, 'a', []]",
    "nothing": lambda: b"",
}


@pytest.mark.parametrize("name", FILES)
def test_a_sentence_and_soon(tmp_path: Path, name: str) -> None:
    path = tmp_path / "own.toml"
    path.write_bytes(FILES[name]())
    start = time.process_time()
    try:
        load_drills(path)
    except DrillFileError as exc:
        said = str(exc)
        assert len(said) < 20_000 and said.count("\n") < 60
    else:
        assert name == "nothing"
    assert time.process_time() - start < SECONDS


def test_what_is_no_file_is_never_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to("loop")
    for path in (tmp_path / "pipe", tmp_path / "loop", tmp_path, Path(os.devnull)):
        with pytest.raises(DrillFileError, match="nothing to read"):
            load_drills(path)
    ran = command("drills", "--own", tmp_path / "pipe")
    assert ran.status == 1 and "Traceback" not in ran.err
