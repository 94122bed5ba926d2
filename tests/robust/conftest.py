"""What these tests share; commands are run here as they are in the tests of the command line."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import demo_archive, home, sgputt

__all__ = ["demo_archive", "home", "sgputt"]


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users may use, unlike those of pytest."""
    made = Path(tempfile.mkdtemp(prefix="sgputt-test-"))
    made.chmod(0o777)
    yield made
    shutil.rmtree(made)
