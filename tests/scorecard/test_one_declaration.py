"""A column more is one declaration, one migration and its name in the list of a round's content."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.test_house import ROOT

DECLARED = """
    PuttColumn(
        "grip",
        pl.String(),
        "putt",
        "how the putter was held: claw, usual, or null",
        "grip, how held",
        words={"claw": "c, saw", "usual": "u, conventional"},
        allowed="a grip: claw or usual",
        hint="Write claw or usual.",
        blank=_BOTH,
    ),
    PuttColumn("source", pl.String(), "row","""
TRIED = """
import datetime as dt, sys
from pathlib import Path
import sgputt
from sgputt.archive.store import Archive
from sgputt.intake import take_in
from sgputt.putts.columns import COLUMN, described
from sgputt.scorecard import CardOptions, blank_card, read_scorecard

assert sgputt.__file__.startswith(sys.argv[1]), sgputt.__file__
folder = Path(sys.argv[1])
day = CardOptions(date=dt.date(2026, 5, 3), today=dt.date(2026, 6, 1))
for layout in ("holes", "putts"):
    assert "grip" in blank_card(layout).splitlines()[0].split(",")
card = folder / "round.csv"
card.write_text("hole,putts,putt1,Grip,putt2,grip2\\n1,2,20,saw,2,\\n2,1,4,conventional,,\\n")
with Archive(folder / "archive.sqlite") as archive:
    assert take_in(card, archive, day).stored.stored == [1]
    assert archive.putts()["grip"].to_list() == ["claw", None, "usual"]
    assert take_in(card, archive, day).stored.unchanged == [1]
    card.write_text(card.read_text().replace("saw", "usual"))
    assert take_in(card, archive, day).stored.conflicts
wrong = read_scorecard(b"hole,putts,putt1,grip\\n1,1,9,fist\\n", "x.csv", day).problems[0]
assert str(wrong).endswith("'fist' is not a grip: claw or usual. Write claw or usual."), wrong
assert "| `grip` | how the putter was held" in described()
"""


def test_a_column_more_is_one_declaration_and_one_migration(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "sgputt", tmp_path / "sgputt")
    shutil.copytree(ROOT / "data", tmp_path / "data")

    def change(part: str, was: str, now: str) -> None:
        path = tmp_path / "sgputt" / part
        text = path.read_text(encoding="utf-8")
        assert text.count(was) == 1, (part, was)
        path.write_text(text.replace(was, now), encoding="utf-8")

    change("putts/columns.py", '\n    PuttColumn("source", pl.String(), "row",', DECLARED)
    step = '(("ALTER TABLE putts ADD COLUMN " + COLUMN["grip"].sql,),)'
    change(
        "archive/connection.py",
        "VERSION = len(MIGRATIONS)",
        f"MIGRATIONS += {step}\nVERSION = len(MIGRATIONS)",
    )
    change(
        "archive/connection.py",
        "import sqlite3\n",
        "import sqlite3\nfrom sgputt.putts.columns import COLUMN\n",
    )
    change("archive/rounds.py", "\n)\n_SECOND", '\n    "grip",\n)\n_SECOND')
    done = subprocess.run(
        [sys.executable, "-c", TRIED, str(tmp_path)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
