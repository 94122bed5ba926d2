"""The results of ``make bench`` as tables: ``python -m tests.benchmarks.table JSON OUT.md``."""

from __future__ import annotations

import json
import math
import os
import sys
from pathlib import Path
from typing import Any

GROWTH = "growth"
LONG = "long archives"
HEAD = """\
# Benchmarks

Written by `make bench`: the least of several runs, all of one session of that command. A ratio is
of two of them, so that the speed of the machine falls out.
"""


def seconds(each: dict[str, Any]) -> float:
    """Least time of a benchmark."""
    return float(each["stats"]["min"])


def table(group: str, rows: list[dict[str, Any]]) -> str:
    """One group: each way with its time, its ratio and what was promised."""
    by_name = {each["extra_info"]["what"]: each for each in rows}
    lines = [f"## {group}", "", "| | seconds | ratio | promised | kept |", "|---|---|---|---|---|"]
    for what, each in by_name.items():
        info, took = each["extra_info"], seconds(each)
        per = info.get("per")
        ratio = took / seconds(by_name[per]) if per else None
        said = f"{ratio:.2f} x {per}" if ratio is not None else ""
        promised, kept = judged(info, took, ratio)
        lines.append(f"| {what} | {took:.3g} | {said} | {promised} | {kept} |")
    return "\n".join(lines)


def judged(info: dict[str, Any], took: float, ratio: float | None) -> tuple[str, str]:
    """What was promised in words, and whether it was kept; empty where nothing was."""
    kept = None
    words = ""
    if "at_most" in info and ratio is not None:
        words, kept = f"at most {info['at_most']:g} x", ratio <= info["at_most"]
    elif "at_least" in info and ratio is not None:
        words, kept = f"at least {info['at_least']:g} x", ratio >= info["at_least"]
    elif "seconds_at_most" in info:
        words = f"at most {info['seconds_at_most']:g} s"
        kept = took <= info["seconds_at_most"]
    return words, "" if kept is None else "yes" if kept else "**no**"


def growth(rows: list[dict[str, Any]]) -> str:
    """How time grows with putts: the exponent of each step, 1 where it is linear."""
    rows = sorted(rows, key=lambda each: each["extra_info"]["putts"])
    lines = ["## growth of `sgputt bulk` with putts, one process", ""]
    lines += [
        "| putts | log10 | seconds | log10 | ns a putt | exponent |",
        "|---|---|---|---|---|---|",
    ]
    before: tuple[float, float] | None = None
    for each in rows:
        putts, took = each["extra_info"]["putts"], seconds(each)
        at = math.log10(putts), math.log10(took)
        step = f"{(at[1] - before[1]) / (at[0] - before[0]):.2f}" if before else ""
        each_ns = 1e9 * took / putts
        lines.append(
            f"| {putts:,} | {at[0]:.0f} | {took:.3g} | {at[1]:.2f} | {each_ns:.0f} | {step} |"
        )
        before = at
    return "\n".join(lines)


def long_archives(rows: list[dict[str, Any]]) -> str:
    """Seconds of each command by the rounds of one player in the archive."""
    took = {(e["extra_info"]["what"], e["extra_info"]["rounds"]): seconds(e) for e in rows}
    rounds = sorted({at for _, at in took})
    most = rows[0]["extra_info"]["longest_seconds"]
    lines = ["## rounds of one player, seconds of a whole command", ""]
    lines += [f"| rounds | {' | '.join(f'{each:,}' for each in rounds)} | promised | kept |"]
    lines += [f"|{'---|' * (len(rounds) + 3)}"]
    for what in dict.fromkeys(name for name, _ in took):
        cells = " | ".join(f"{took[what, at]:.2f}" for at in rounds)
        kept = "yes" if took[what, rounds[-1]] <= most else "**no**"
        lines.append(f"| {what} | {cells} | at most {most:g} s | {kept} |")
    return "\n".join(lines)


def main() -> None:
    source, out = (Path(each) for each in sys.argv[1:3])
    found = json.loads(source.read_text(encoding="utf-8"))
    groups: dict[str, list[dict[str, Any]]] = {}
    for each in found["benchmarks"]:
        groups.setdefault(each["group"], []).append(each)
    parts = [HEAD, machine(found)]
    special = {GROWTH: growth, LONG: long_archives}
    parts += [
        special[name](rows) if name in special else table(name, rows)
        for name, rows in groups.items()
    ]
    text = "\n\n".join(part.strip() for part in parts) + "\n"
    out.write_text(text, encoding="utf-8")
    sys.stdout.write(text)


def machine(found: dict[str, Any]) -> str:
    """Where and when it was measured."""
    info = found["machine_info"]
    cores = info["cpu"].get("count", "?")
    python = f"{info['python_implementation']} {info['python_version']}"
    load = os.getloadavg()[2]
    return (
        f"{found['datetime'][:10]}, {info['system']} {info['machine']}, {cores} cores, {python}.\n"
        f"Load over the last 15 minutes: {load:.1f}. Where that is above the number of cores,\n"
        "other work ran beside it, and seconds are longer than they would be alone."
    )


if __name__ == "__main__":
    main()
