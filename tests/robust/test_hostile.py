"""Hostile text in the fields of every input: no output lets it act."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from sgputt.safe_text import clean
from tests.cli.conftest import Command
from tests.cli.test_terminal import in_terminal

ACTS = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]")
HOSTILE = (
    "\x1b[31mAnn\x1b]0;title\x07\x9b2J\x7f\u202eevil\u2066\nError: forged\r\x85\u2028"
    "=1+1;=2+2\t@x<zz9 onload=zz9()>\" onload=zz9 '</script>|`*[x](javascript:zz9)[bold]"
)
DRILL = """\
[[drill]]
id = "mine"
name = {0}
kind = "circle"
trains = [{{ component = "holing", low_ft = 0, high_ft = 60, slopes = ["level"] }}]
cause = ["stroke"]
balls = 20
minutes = 10
setup = {0}
do = {0}
success = {0}
dose = {0}
safety = {0}
[drill.scoring]
type = "count"
balls = 20
distance_ft = [5]
target = "hole"
"""
SEEN = (
    *("rounds", "round 2", "season", "practice", "practice --minutes 30", "squad", "stroke"),
    *("course", "baselines", "compare 2025 2026", "drills history", "drills transfer", "drills"),
    *("drills mine", "drills log mine --balls 20 --successes 9 --player nobody", "season 1999"),
)
FILES = (
    *("season --out a.html", "round 2 --out a.html", "practice --minutes 30 --out a.html"),
    *("squad --out a.html", "course --out a.html", "practice --minutes 30 --out a.md"),
    *("export --what season --out a.md", "export --what practice --out a.md"),
    *("export --what rounds --out a.json", "export --what practice --out a.json"),
)


@pytest.fixture
def hostile(
    demo_archive: Path, home: Path, sgputt: Command, monkeypatch: pytest.MonkeyPatch
) -> Command:
    """An archive that somebody else filled, unclean, and a file of drills likewise."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    log = ("drills", "log", "circle-of-eight-5ft", "--balls", 40, "--successes", 29)
    assert sgputt(*log, "--note", "windy").status == 0
    with closing(sqlite3.connect(home / "archive.sqlite")) as db, db:
        db.create_function("low", 1, str.casefold)
        names = "player = :name, player_key = low(:name)"
        db.execute(f"UPDATE rounds SET {names}, course = :name, event = :name", {"name": HOSTILE})
        db.execute(f"UPDATE sessions SET {names}, note = :name", {"name": HOSTILE})
        db.execute("UPDATE files SET name = :name", {"name": HOSTILE})
    text = json.dumps(HOSTILE.replace("\x7f", ""))
    (home / "drills.toml").write_text(DRILL.format(text), encoding="utf-8")
    monkeypatch.setenv("SGPUTT_DRILLS", str(home / "drills.toml"))
    return sgputt


@pytest.mark.parametrize("words", SEEN)
def test_nothing_acts_on_a_terminal(words: str, hostile: Command) -> None:
    for more in ([], ["--json"]):
        ran = hostile(*more, *words.split())
        assert ran.status in (0, 1, 2)
        for said in (ran.out, ran.err):
            assert not ACTS.search(said), repr(said)
            assert not re.search("^Error: forged", said, re.MULTILINE)
        if more and ran.status == 0:
            assert isinstance(ran.json, list | dict)


DATA_BLOCK = re.compile(r'<script type="application/json"[^>]*>(.*?)</script>', re.DOTALL)


@pytest.mark.parametrize("words", FILES)
def test_nothing_acts_in_a_file(words: str, hostile: Command, home: Path) -> None:
    ran = hostile(*words.split())
    assert (ran.status, ran.err) == (0, ""), ran.err
    (written,) = home.glob("a.*")
    text = written.read_text(encoding="utf-8")
    # The library that draws the charts has tabs in its script.
    assert not ACTS.search(text.replace("\t", " "))
    assert not re.search("^Error: forged", text, re.MULTILINE)
    if written.suffix == ".html":
        # A block of data is text to a browser until a "<" of its own.
        for block in DATA_BLOCK.findall(text):
            assert "<" not in block
        text = DATA_BLOCK.sub("", text)
        assert "<zz9" not in text and '" onload=zz9' not in text and "'</script" not in text
    if written.suffix == ".md":
        assert "<zz9" not in text and not re.search(r"(?<!\\)\]\(javascript", text)


def test_json_escapes_signs_and_keeps_the_text(hostile: Command) -> None:
    ran = hostile("--json", "rounds")
    assert not ACTS.search(ran.out)
    assert ran.json[0]["player"] == HOSTILE


@pytest.mark.parametrize("words", ["check", "import"])
def test_json_of_problems(words: str, sgputt: Command, home: Path) -> None:
    cell = "\x9b31m\u202e\x7f"
    (home / "round.csv").write_text(f"hole,putts,putt1\n1,1,{cell}\n", encoding="utf-8")
    ran = sgputt("--json", words, "round.csv", "--date", "2026-05-03")
    assert not ACTS.search(ran.out)
    assert cell in [each["value"] for each in ran.json["problems"]]


@pytest.mark.parametrize(
    "words",
    [
        ["season", "--player", "\x1b[1mAnn\nError: forged"],
        ["compare", "--player", "Ann", "--against", "\x1b[1m\nError: forged"],
        ["drills", "\x1b[1m\nError: forged"],
        ["--\x9b1m\nError: forged"],
        ["\x1b[1m\nError: forged"],
        ["--archive", "no\x1b[1m\nError: forged", "season"],
        ["--baseline", "\x1b[1m\nError: forged", "season"],
        ["expect", "\x1b[1m\nError: forged"],
        ["drills", "read", "\x1b[1m\nError: forged"],
        ["export", "--out", "no/\x1b[1m\nError: forged.csv"],
        ["restore", "\x1b[1m\nError: forged"],
    ],
)
def test_what_was_typed_comes_back_harmless(words: list[str], hostile: Command) -> None:
    ran = hostile(*words)
    assert ran.status in (1, 2)
    assert not ACTS.search(ran.err), repr(ran.err)
    assert not re.search("^Error: forged", ran.err, re.MULTILINE), ran.err


def test_practice_is_kept_under_a_clean_name(sgputt: Command, home: Path) -> None:
    text = HOSTILE.replace('"', "").replace("\n", " ")
    (home / "practice.csv").write_text(
        f'date,drill,balls,successes,note,player\n2026-05-03,circle-of-eight-5ft,40,9,"{text}",'
        f'"{text}"\n',
        encoding="utf-8",
    )
    assert sgputt("drills", "read", "practice.csv").status == 0
    log = ("drills", "log", "circle-of-eight-5ft", "--balls", 40, "--successes", 29)
    assert sgputt("--player", text, *log, "--note", text).status == 0
    history = sgputt("--json", "drills", "history").json
    assert history["player"] == clean(text)
    assert [each["note"] for each in history["drills"][0]["sets"]] == [clean(text)] * 2
    assert not ACTS.search(clean(text))
    assert sgputt("--player", "x" * 201, *log).status == 2


def test_a_card_shown_on_a_terminal_does_not_act(
    sgputt: Command, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    card = "player,date,hole,putts,putt1\n\x1b]0;title\x07Ann,2026-05-03,1,1,9\n"
    (home / "round.csv").write_text(card, encoding="utf-8")
    assert sgputt("import", "round.csv").status == 0
    assert sgputt("export", "--card", "1").out == card
    shown = in_terminal("export", "--card", "1")
    assert "\x1b" not in shown and "Ann,2026-05-03" in shown
