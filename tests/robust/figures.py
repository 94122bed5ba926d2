"""How much was thrown at the importer, and what it cost: ``make robust``."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from typing import NamedTuple

MUTANTS, KILLS = "10000", "200"
_MIB = 1024


class Ran(NamedTuple):
    """One run: its last words, seconds, most memory held in MiB, and whether all held."""

    said: str
    seconds: float
    peak: int
    held: bool


def run(module: str, count: str, seed: str) -> Ran:
    """Run one of the modules here in a process of its own."""
    start = time.monotonic()
    words = [sys.executable, "-m", f"tests.robust.{module}", count, seed]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        said = process.stdout.read()
        # Not communicate(), which would not tell the memory of this one alone.
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.monotonic() - start
    return Ran(said, seconds, usage.ru_maxrss // _MIB, process.returncode == 0)


def main() -> int:
    mutants, kills, seed = (*sys.argv[1:], *(MUTANTS, KILLS, "1")[len(sys.argv) - 1 :])
    table = [("what", "count", "seconds", "peak MiB", "held")]
    held = True
    for module, count in (("mutants", mutants), ("kills", kills)):
        ran = run(module, count, seed)
        sys.stdout.write(ran.said)
        told = (f"{ran.seconds:.0f}", str(ran.peak), "yes" if ran.held else "NO")
        table.append((module, count, *told))
        held = held and ran.held
    for what, *others in table:
        sys.stdout.write(f"{what:8}" + "".join(f"{each:>10}" for each in others) + "\n")
    return 0 if held else 1


if __name__ == "__main__":
    sys.exit(main())
