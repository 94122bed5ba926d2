"""The practice log: an older archive is brought along; stored once, all or none, and taken back."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sgputt.archive import sessions as sessions_module
from sgputt.archive.connection import MIGRATIONS, VERSION
from sgputt.archive.sessions import SESSIONS_SCHEMA, SessionLog
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError
from sgputt.practice import session as practice_session

V1 = Path(__file__).with_name("v1.sql").read_text(encoding="utf-8")
DAY = date(2026, 5, 3)
MARK = '{{"text": "{0} of 40", "successes": {0}, "balls": 40, "in_a_row": null}}'
SET: dict[str, Any] = {
    "player": "Mara Lindqvist",
    "date": DAY,
    "drill": "circle-of-eight-5ft",
    "balls": 40,
    "successes": 29,
    "restarts": None,
    "minutes": 12.5,
    "note": "Žwindy; \U0001f3cc",
    "pass_mark": MARK.format(29),
}


def sets(*changes: dict[str, Any]) -> pl.DataFrame:
    rows = [{**SET, **change} for change in changes]
    return pl.DataFrame(rows, schema=SESSIONS_SCHEMA, orient="row")


@pytest.fixture
def log(tmp_path: Path) -> Iterator[SessionLog]:
    with Archive(tmp_path / "archive.sqlite") as archive:
        yield SessionLog(archive)


def test_a_stored_archive_of_version_1_keeps_its_rounds_and_takes_practice(tmp_path: Path) -> None:
    path = tmp_path / "archive.sqlite"
    with closing(sqlite3.connect(path)) as old:
        old.executescript(V1)
    with Archive(path, make=False) as archive:
        assert archive.rounds()["player"].to_list() == ["Mara Lindqvist"]
        assert archive.putts()["distance_ft"].to_list() == [20.0, 2.0]
        assert archive.scorecard(1) == ("round.csv", b"hole")
        log = SessionLog(archive)
        assert log.table().is_empty()
        assert log.add(sets({"player": "MARA lindqvist"})).stored == [1]
        assert log.table()["player"].to_list() == ["Mara Lindqvist"]
    with closing(sqlite3.connect(path)) as new:
        assert new.execute("PRAGMA user_version").fetchone() == (VERSION,)
        assert new.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_a_migration_that_fails_leaves_version_1(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "archive.sqlite"
    with closing(sqlite3.connect(path)) as old:
        old.executescript(V1)
    with monkeypatch.context() as patch:
        broken = (MIGRATIONS[0], ("CREATE TABLE sessions (x TEXT); CREATE TABLE putts (y TEXT)",))
        patch.setattr("sgputt.archive.connection.MIGRATIONS", broken)
        with pytest.raises(ArchiveError, match="already exists"):
            Archive(path)
    with closing(sqlite3.connect(path)) as old:
        assert old.execute("PRAGMA user_version").fetchone() == (1,)
        names = [row[0] for row in old.execute("SELECT name FROM sqlite_master")]
        assert "sessions" not in names
    with Archive(path) as archive:
        assert archive.rounds().height == 1


def test_practice_and_archive_agree_on_the_table() -> None:
    assert sessions_module.SESSIONS_SCHEMA == practice_session.SESSIONS_SCHEMA


def test_sets_come_back_as_they_went_in(log: SessionLog) -> None:
    given = sets({}, {"date": date(2026, 5, 1), "restarts": 2, "minutes": None, "pass_mark": None})
    added = log.add(given)
    assert (added.stored, added.unchanged) == ([1, 2], 0)
    back = log.table()
    assert back["date"].is_sorted()
    assert back.select(*SESSIONS_SCHEMA).equals(given.reverse())
    assert back["entry"].unique().to_list() == [1]
    assert log.players() == ["Mara Lindqvist"]


def test_the_same_file_twice_changes_nothing(log: SessionLog) -> None:
    # Two alike on one day are two sets; a mark worked out again does not make a new set.
    given = sets({}, {}, {"balls": 32, "successes": 20})
    assert len(log.add(given, once=True).stored) == 3
    later = given.with_columns(pass_mark=pl.lit(MARK.format(30)), player=pl.lit("mara LINDQVIST"))
    again = log.add(later, once=True)
    assert (again.stored, again.unchanged) == ([], 3)
    longer = pl.concat([given, sets({}, {"note": "new"})])
    assert len(log.add(longer, once=True).stored) == 2
    assert log.table().height == 5


def test_all_or_none(log: SessionLog) -> None:
    bad = sets({}, {"balls": 10, "successes": 11})
    with pytest.raises(ArchiveError, match="CHECK"):
        log.add(bad)
    assert log.table().is_empty()
    assert log.add(sets({})).stored == [1]


def test_undo_takes_back_entry_by_entry(log: SessionLog) -> None:
    log.add(sets({"note": "first"}))
    log.add(sets({"note": "a"}, {"note": "b", "date": date(2020, 1, 1)}))
    log.add(sets({"player": "Ben Yaffle", "note": "his"}))
    assert log.undo("mara lindqvist")["note"].to_list() == ["b", "a"]
    assert log.undo()["note"].to_list() == ["his"]
    assert log.undo()["note"].to_list() == ["first"]
    with pytest.raises(ArchiveError, match="no practice to take back") as caught:
        log.undo()
    assert "sgputt drills history" in caught.value.hint


def test_undo_of_one_player_leaves_the_others_of_the_file(log: SessionLog) -> None:
    log.add(sets({}, {"player": "Ben Yaffle"}))
    assert log.undo("Ben Yaffle").height == 1
    assert log.table()["player"].to_list() == ["Mara Lindqvist"]
    with pytest.raises(ArchiveError, match="of Ben Yaffle"):
        log.undo("Ben Yaffle")


def test_ids_are_never_given_out_again(log: SessionLog) -> None:
    log.add(sets({}))
    log.undo()
    assert log.add(sets({})).stored == [2]


def test_the_table_of_one_player_and_one_drill(log: SessionLog) -> None:
    log.add(sets({}, {"player": "Ben Yaffle"}, {"drill": "gate-2ft-ahead"}))
    assert log.table(" MARA Lindqvist ").height == 2
    assert log.table("Mara Lindqvist", "gate-2ft-ahead").height == 1
    assert log.table("Nobody").is_empty()
