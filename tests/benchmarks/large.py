"""``sgputt bulk`` of 100 million putts, with its time and all memory that it held at once.

Run with: make bench-large. SGPUTT_BENCH names where the putts are kept from run to run.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import psutil

from tests.benchmarks.bench_start import script
from tests.benchmarks.putts import write_putts

PUTTS = 100_000_000
GIB = 1024**3
PROMISED_GIB = 3.0
_LOOK_SECONDS = 0.05


def peak_of(words: list[str]) -> tuple[float, float]:
    """Seconds, and GiB that the command and its processes held at most at any one look.

    Resident memory of all processes: what they share is counted for each, so the sum is rather too
    large than too small.
    """
    start, peak = time.monotonic(), 0
    process = psutil.Popen(words, stdout=subprocess.DEVNULL)
    while process.poll() is None:
        held = 0
        for each in (process, *_children(process)):
            try:
                held += each.memory_info().rss
            except psutil.Error:
                continue
        peak = max(peak, held)
        time.sleep(_LOOK_SECONDS)
    if process.returncode:
        raise SystemExit(f"{' '.join(words)} ended with status {process.returncode}")
    return time.monotonic() - start, peak / GIB


def _children(process: psutil.Popen) -> list[psutil.Process]:
    try:
        return list(process.children(recursive=True))
    except psutil.Error:
        return []


def main() -> None:
    putts = int(sys.argv[1]) if len(sys.argv) > 1 else PUTTS
    home = Path(os.environ.get("SGPUTT_BENCH") or tempfile.mkdtemp(prefix="sgputt-bench-"))
    folder = write_putts(home / str(putts), putts)
    size = sum(each.stat().st_size for each in folder.iterdir()) / GIB
    sys.stdout.write(f"{putts:,} putts, {size:.2f} GiB of Parquet\n")
    for workers in ("1", "2"):
        with tempfile.TemporaryDirectory() as parts:
            words = ["bulk", str(folder), "--parts", parts, "--workers", workers, "--show", "4"]
            seconds, peak = peak_of([script(), *words])
            kept = "within" if peak <= PROMISED_GIB else "OVER"
            sys.stdout.write(
                f"{workers} process(es): {seconds:.0f} s, {1e9 * seconds / putts:.0f} ns a putt,"
                f" {peak:.2f} GiB at most, {kept} {PROMISED_GIB:g} GiB\n"
            )
            again, _ = peak_of([script(), *words])
            sys.stdout.write(f"   again, all files finished before: {again:.1f} s\n")


if __name__ == "__main__":
    main()
