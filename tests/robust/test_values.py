"""Single values of an archive that are not what sgputt wrote: said to be damage, never a crash."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from sgputt.archive.salvage import _hole
from tests.cli.conftest import Command, command

SPOILT = {
    "a pass mark": (
        "UPDATE sessions SET pass_mark = substr(pass_mark, 2)",
        ["drills history", "drills transfer", "drills undo"],
    ),
    "what a pass mark counts": (
        """UPDATE sessions SET pass_mark = '{"text": "", "in_a_row": null, "balls": 4}'""",
        ["drills history", "--json drills history"],
    ),
    "the key of a player": (
        "UPDATE rounds SET player_key = 'x' || player_key",
        ["season", "practice", "squad", "stroke", "export --what season"],
    ),
    "the player of the settings": (
        "INSERT OR REPLACE INTO settings VALUES ('', 'player', x'FF00')",
        ["settings", "season"],
    ),
    "a letter of a card": (
        "UPDATE files SET content = CAST(replace(CAST(content AS TEXT), '1', '2') AS BLOB)",
        ["export --card 1"],
    ),
}


@pytest.fixture(scope="module")
def practised(demo_archive: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("practised") / "archive.sqlite"
    shutil.copy(demo_archive, path)
    words = ("drills", "log", "circle-of-eight-5ft", "--balls", 40, "--successes", 29)
    assert command("--archive", path, *words).status == 0
    return path


@pytest.mark.parametrize("what", SPOILT)
def test_a_value_that_changed(what: str, practised: Path, sgputt: Command, home: Path) -> None:
    statement, all_words = SPOILT[what]
    shutil.copy(practised, home / "archive.sqlite")
    for words in all_words:
        assert sgputt(*words.split()).status == 0, words
        shutil.copy(practised, home / "archive.sqlite")
    with closing(sqlite3.connect(home / "archive.sqlite")) as db, db:
        db.execute(statement)
    for words in all_words:
        ran = sgputt(*words.split())
        assert ran.status == 1, words
        assert "is damaged" in ran.err and "sgputt restore FILE" in ran.err, ran.err


def test_broken_letters_in_the_list_of_tables(practised: Path, sgputt: Command, home: Path) -> None:
    """SQLite quotes them in what it says, which then is no text."""
    path = home / "archive.sqlite"
    content = practised.read_bytes()
    assert content.count(b"CREATE TABLE holes") == 1
    path.write_bytes(content.replace(b"CREATE TABLE holes", b"CR\xfeATE TABLE holes"))
    for words in (["rounds"], ["season"], ["backup", "copy.sqlite"]):
        ran = sgputt(*words)
        assert ran.status == 1
        assert "is damaged" in ran.err and "sgputt restore FILE" in ran.err, ran.err
    assert not (home / "copy.sqlite").exists()
    assert "Error" not in sgputt("restore", "--salvage").err
    assert sgputt("rounds").status == 0


def test_a_hole_whose_number_is_gone_is_not_salvaged() -> None:
    """As a changed byte in the head of its row leaves it; SQL itself cannot write it."""
    whose = ("Ada Brook", "Heron Mere", None, "2026-05-03", 1)
    assert _hole(whose, (18, 4, "chipped in"), [], 1) is not None
    assert _hole(whose, (None, 4, "chipped in"), [], 1) is None
