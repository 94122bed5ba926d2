"""What must work where only the wheel is installed; each check stops the run when it fails."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from sgputt_cli.main import COMMANDS
from tests.packaging import pins

SUBCOMMANDS = {"drills": ("log", "history", "transfer", "undo", "read")}
OURS = ["sgputt", "sgputt_cli", "sgputt_reports"]
# Each file that the installed package put beside others, by the first part of its name.
LANDED = """\
from importlib.metadata import distribution
files = distribution('sgputt').files
print(sorted({f.parts[0] for f in files if f.parts[0] != '..' and 'dist-info' not in f.parts[0]}))
"""
IMPORTED = """\
import pathlib, sysconfig, sgputt, sgputt_cli.main, sgputt_reports
site = pathlib.Path(sysconfig.get_path('purelib'))
for each in (sgputt, sgputt_cli, sgputt_reports):
    assert pathlib.Path(each.__file__).is_relative_to(site), each.__file__
assert [getattr(sgputt, name) for name in sgputt.__all__]
print(sgputt.get_baseline('tour').name)
"""
HOLES = "1,4,2,12,3\n2,3,1,6,\n3,5,3,35,5\n4,4,2,20,2\n5,4,2,8,1\n6,4,1,4,\n"


class Installed:
    """An installed sgputt, called from a folder that has nothing to do with the checkout."""

    def __init__(self, python: Path, home: Path) -> None:
        home.mkdir()
        self.python, self.home = python, home
        keep = {name: os.environ[name] for name in ("PATH", "LANG") if name in os.environ}
        self.env = {**keep, "HOME": str(home), "SGPUTT_ARCHIVE": str(home / "rounds.sqlite")}

    def says(self, words: list[str], status: int = 0) -> str:
        """What a program prints, which must end with this status and print no traceback."""
        done = subprocess.run(
            words, cwd=self.home, env=self.env, capture_output=True, text=True, check=False
        )
        told = done.stdout + done.stderr
        if done.returncode != status or "Traceback" in told:
            raise SystemExit(f"{' '.join(words)} ended with {done.returncode}:\n{told}")
        return told

    def sgputt(self, *words: str, status: int = 0) -> str:
        """What the installed command prints."""
        told = self.says([str(self.python.parent / "sgputt"), *words], status)
        sys.stdout.write(f"ok: sgputt {' '.join(words)}\n")
        return told

    def runs(self, code: str) -> str:
        """What a piece of Python prints."""
        return self.says([str(self.python), "-c", code])


def need(holds: bool, what: str) -> None:
    """Stop unless it holds."""
    if not holds:
        raise SystemExit(f"Does not hold: {what}")


def check_help(python: Path, home: Path) -> None:
    """Help and version, which need nothing but click."""
    here = Installed(python, home)
    said = here.sgputt("-h")
    need(all(f"  {name} " in said for name in COMMANDS), "help names every command")
    need(pins.project()["version"] in here.sgputt("--version"), "version")
    for name in COMMANDS:
        need("Usage: sgputt" in here.sgputt(name, "--help"), f"help of {name}")
    for name, inner in SUBCOMMANDS.items():
        for each in inner:
            need("Usage: sgputt" in here.sgputt(name, each, "--help"), f"help of {name} {each}")
    here.runs("import sgputt")


def check_all(python: Path, home: Path) -> None:
    """Help, what landed where, and the way from a blank card to a page and the next drill."""
    check_help(python, home)
    here = Installed(python, home / "work")
    need(here.runs(LANDED).strip() == str(OURS), "only our names land in site-packages")
    need("tour" in here.runs(IMPORTED), "sgputt is imported from site-packages")
    here.sgputt(
        "card",
        "--player",
        "Mara Lindqvist",
        "--course",
        "Saltmarsh Links",
        "--date",
        "2026-05-03",
        "--out",
        "blank.csv",
    )
    need((here.home / "blank.csv").is_file(), "a blank card")
    head = "date,player,course,hole,par,putts,putt1,putt2\n"
    where = "2026-05-03,Mara Lindqvist,Saltmarsh Links"
    rows = "".join(f"{where},{line}\n" for line in HOLES.splitlines())
    (here.home / "bad.csv").write_text(head + rows.replace(",12,", ",12 pigs,"), encoding="utf-8")
    need("12 pigs" in here.sgputt("check", "bad.csv", status=1), "a bad cell is named")
    (here.home / "round.csv").write_text(head + rows, encoding="utf-8")
    here.sgputt("check", "round.csv")
    here.sgputt("import", "round.csv")
    here.sgputt("season", "2026", "--out", "season.html")
    need("Mara Lindqvist" in (here.home / "season.html").read_text("utf-8"), "the season's page")
    here.sgputt("demo", "--out", "demo.html")
    page = (here.home / "demo.html").read_text(encoding="utf-8")
    need("<svg" in page and "<script" not in page, "charts, and no script")
