"""Running ``sgputt`` in a process of its own, held to so much memory and time."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass

RUN = "from sgputt_cli.main import run; run()"
# Not getrusage, which would count the process that started this one.
_WITH_PEAK = """
import atexit, re, sys
def peak():
    with open("/proc/self/status") as file:
        sys.stderr.write("\\npeak " + re.search(r"VmHWM:\\s+(\\d+)", file.read())[1])
atexit.register(peak)
"""
MIB = 1024**2
# Address space, of which threads reserve much that they never touch; `peak` is what they did.
MEMORY = 2048 * MIB
# Root may read and write anywhere; what another user needs is loaded before becoming one.
AS_NOBODY = """
import os
import sgputt_cli.commands.cards, sgputt_cli.commands.archive, sgputt_cli.cards, sgputt_cli.archive
import sgputt.intake, sgputt.scorecard.files, sgputt.scorecard.blank
import contextvars, difflib, platformdirs, rich.console, rich.table, urllib.parse
if os.geteuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
"""
SECONDS = 50.0


@dataclass(frozen=True)
class Ended:
    """How a process ended; ``peak`` is the memory that it held at most, in MiB."""

    status: int
    out: str
    err: str
    peak: int
    seconds: float

    @property
    def said(self) -> str:
        return self.out + self.err

    def hold(self, status: int, *texts: str) -> None:
        """It ended so, said this, and showed nobody a traceback."""
        assert "Traceback" not in self.err, self.err
        assert self.status == status, self.said
        for text in texts:
            assert text in " ".join(self.said.split()), self.said


def started(
    *words: object,
    env: Mapping[str, str] | None = None,
    first: str = "",
    code: str = RUN,
) -> subprocess.Popen[bytes]:
    """Start ``sgputt`` with these words, not waiting for it; ``first`` is run before it."""
    return subprocess.Popen(
        [sys.executable, "-c", f"{first}\n{code}", *map(os.fsencode, map(str, words))],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1", **(env or {})},
    )


def limited(
    *words: object,
    memory: int = MEMORY,
    env: Mapping[str, str] | None = None,
    first: str = "",
    code: str = RUN,
) -> Ended:
    """Run ``sgputt`` with a bound on the memory that it may ask for, and on its time."""

    start = time.monotonic()
    # Its words are few, so that they fit the pipes until it ends.
    bounds = f"import resource; resource.setrlimit(resource.RLIMIT_AS, ({memory}, {memory}))"
    process = started(*words, env=env, first=f"{bounds}\n{first}", code=_WITH_PEAK + code)
    try:
        out, err = (each.decode("utf-8", "replace") for each in process.communicate(None, SECONDS))
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        raise
    seconds = time.monotonic() - start
    err, _, peak = err.rpartition("\npeak ")
    return Ended(process.returncode, out, err, int(peak) // 1024, seconds)
