"""How long ``sgputt -h`` takes beside a bare ``import click``; run with: make bench-start.

Each is started in turn, and the least processor time of many starts is taken, which a busy machine
hardly changes. Not a test: the promise is at most 1.5 times, and ``tests/test_house.py`` holds what
it rests on, that nothing heavy is loaded.
"""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
from pathlib import Path

RUNS = 40
PROMISED = 1.5


def commands() -> dict[str, list[str]]:
    """What is started, by its name."""
    script = shutil.which("sgputt", path=str(Path(sys.executable).parent))
    if script is None:
        raise SystemExit("There is no sgputt beside this Python. Install it with: pip install -e .")
    return {
        "python -c pass": [sys.executable, "-c", "pass"],
        "import click": [sys.executable, "-c", "import click"],
        "import sgputt": [sys.executable, "-c", "import sgputt"],
        "sgputt --version": [script, "--version"],
        "sgputt -h": [script, "-h"],
        "sgputt season -h": [script, "season", "-h"],
    }


def seconds(words: list[str]) -> float:
    """Processor time of one start."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def measure(runs: int = RUNS) -> dict[str, list[float]]:
    """Times of each command; the first start of each only warms up."""
    every = commands()
    for words in every.values():
        seconds(words)
    times: dict[str, list[float]] = {name: [] for name in every}
    for _ in range(runs):
        for name, words in every.items():
            times[name].append(seconds(words))
    return times


def main() -> None:
    """Print the least times, and how many times ``import click`` each is."""
    times = {name: min(each) for name, each in measure().items()}
    for name, each in times.items():
        ratio = each / times["import click"]
        sys.stdout.write(f"{name:18} {1000 * each:6.1f} ms  {ratio:5.2f}\n")
    kept = times["sgputt -h"] <= PROMISED * times["import click"]
    sys.stdout.write(f"sgputt -h within {PROMISED} x import click: {'yes' if kept else 'NO'}\n")


if __name__ == "__main__":
    main()
