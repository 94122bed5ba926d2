"""What the benchmarks share: a folder for their putts, and how a promise is written down."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.putts import write_putts

PutsIn = Callable[..., Path]
Promise = Callable[..., None]


@pytest.fixture(scope="session")
def putts_in() -> PutsIn:
    """Folders of so many putts, their lengths in a unit if one is named.

    SGPUTT_BENCH names where they are kept from run to run.
    """
    home = Path(os.environ.get("SGPUTT_BENCH") or tempfile.mkdtemp(prefix="sgputt-bench-"))
    return lambda putts, unit=None: write_putts(home / f"{putts}-{unit}", putts, unit)


@pytest.fixture
def promise(benchmark: Any, request: pytest.FixtureRequest) -> Promise:
    """Write down beside a benchmark what it is compared with, and what is promised."""

    def write(what: str, **promised: Any) -> None:
        benchmark.extra_info.update(what=what, **promised)

    return write
