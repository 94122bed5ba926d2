"""How long a command takes from its start, in processor time, beside bare imports.

The least processor time of many starts hardly changes on a busy machine.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from sgputt.demo import demo_cards
from tests.benchmarks.conftest import Promise

STARTS = 30


def processor_time() -> float:
    """Seconds of processor time of all processes that this one has waited for."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def script() -> str:
    found = shutil.which("sgputt", path=str(Path(sys.executable).parent))
    assert found, "There is no sgputt beside this Python. Install it with: pip install -e ."
    return found


@cache
def compiled() -> dict[str, str]:
    """Environment of an installed program: its modules are compiled once, not at every start."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": tempfile.mkdtemp(prefix="sgputt-bench-")}


def start(*words: object) -> None:
    subprocess.run([*map(str, words)], stdout=subprocess.DEVNULL, check=True, env=compiled())


@pytest.mark.benchmark(group="help", timer=processor_time)
@pytest.mark.parametrize("way", ["import click", "sgputt -h", "sgputt season -h"])
def bench_help(benchmark: Any, promise: Promise, way: str) -> None:
    if way == "import click":
        promise(way)
        words: list[object] = [sys.executable, "-c", way]
    else:
        promise(way, per="import click", **({"at_most": 1.5} if way == "sgputt -h" else {}))
        words = [script(), *way.split()[1:]]
    benchmark.pedantic(start, words, rounds=STARTS, warmup_rounds=1)


@pytest.mark.benchmark(group="importing a scorecard", timer=processor_time)
@pytest.mark.parametrize("way", ["import polars", "sgputt import"])
def bench_import(benchmark: Any, promise: Promise, tmp_path: Path, way: str) -> None:
    if way == "import polars":
        promise(way)
        benchmark.pedantic(start, (sys.executable, "-c", way), rounds=STARTS, warmup_rounds=1)
        return
    promise(way, per="import polars", at_most=1.5)
    card = demo_cards(tmp_path)[0]
    archive = tmp_path / "archive.sqlite"

    def fresh() -> tuple[tuple[object, ...], dict[str, object]]:
        for each in tmp_path.glob("archive.sqlite*"):
            each.unlink()
        return (script(), "import", "--archive", archive, card), {}

    benchmark.pedantic(start, setup=fresh, rounds=STARTS, warmup_rounds=1)
