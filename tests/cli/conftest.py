"""Running the command line as a user would: arguments in, stdout, stderr and exit status out."""

from __future__ import annotations

import io
import json
import math
import sys
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest

from sgputt.demo import demo_cards
from sgputt_cli.main import run


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    status: int
    content: bytes
    err: str

    @property
    def out(self) -> str:
        return self.content.decode("utf-8")

    @property
    def json(self) -> Any:
        """Stdout as one JSON value; anything beside it is an error."""
        return json.loads(self.out)


Command = Callable[..., Ran]


def same(one: Any, other: Any) -> bool:
    """Whether two JSON values agree, numbers to nine digits: threads add in any order."""
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    return bool(one == other)


def command(*arguments: object) -> Ran:
    """Run ``sgputt`` in this process, through the very entry point of the installed script."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    words = ["sgputt", *map(str, arguments)]
    status: object = 0
    with patch.object(sys, "argv", words), redirect_stdout(out), redirect_stderr(err):
        try:
            run()
        except SystemExit as exc:
            status = exc.code or 0
    assert isinstance(status, int)
    texts = []
    for stream in (out, err):
        stream.flush()
        buffer = stream.buffer
        assert isinstance(buffer, io.BytesIO)
        texts.append(buffer.getvalue())
    return Ran(status, texts[0], texts[1].decode("utf-8"))


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder to work in, with an archive of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SGPUTT_ARCHIVE", str(tmp_path / "archive.sqlite"))
    monkeypatch.setenv("COLUMNS", "80")
    yield tmp_path


@pytest.fixture
def sgputt(home: Path) -> Command:
    """Run a command in that folder."""
    return command


@pytest.fixture(scope="session")
def demo_archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six invented rounds, imported once; copy it before changing it."""
    folder = tmp_path_factory.mktemp("demo")
    ran = command("import", "--archive", folder / "archive.sqlite", *demo_cards(folder)[:6])
    assert (ran.status, ran.err) == (0, "")
    return folder / "archive.sqlite"
