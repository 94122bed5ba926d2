"""What makes two rounds the same: in a form of our own, the same for archives of version 0.1."""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sgputt.archive import rounds as module
from sgputt.archive.connection import MIGRATIONS, VERSION, columns_at
from sgputt.archive.rounds import Round, fingerprint, has_fingerprint
from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.intake import take_in
from sgputt.putts.columns import IN_TABLE
from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.scorecard import CardOptions

# Made by the command of version 0.1: 24 rounds of the demo.
OF_VERSION_01 = Path(__file__).with_name("v01.sqlite")


def a_round(**changes: object) -> Round:
    facts = {"player": "Ada Brook", "course": "Heron Mere", "date": date(2026, 5, 3), "round": 1}
    putt = {"hole": 1, "par": 4, "putt": 1, "distance_ft": 20.0, "leave_ft": 2.0}
    words = {"result": "missed", "slope": "uphill", "break": "unknown", "surface": "green"}
    second = {"putt": 2, "distance_ft": 2.0, "leave_ft": 0.0, "result": "holed"}
    first = {**facts, **putt, **words, **changes}
    rows = [first, {**first, **second}]
    hole = {**facts, "hole": 1, "par": 4, "ending": "holed", **changes}
    holes = {name: hole.get(name) for name in HOLES_SCHEMA}
    return Round(
        pl.DataFrame(rows, schema=PUTTS_SCHEMA), pl.DataFrame([holes], schema=HOLES_SCHEMA)
    )


def of_version_01(one: Round) -> str:
    """As version 0.1 took it, word for word."""
    known = {*columns_at(1)["putts"], "course", "event", "date", "round", "par"}
    later = [name for name in one.putts.columns if name not in known]
    putts = one.putts.drop("source", "source_row", *later).sort("hole", "putt").write_csv()
    holes = one.holes.drop("player").sort("hole").write_csv()
    return hashlib.sha256((holes + putts).encode()).hexdigest()


@given(
    st.text(max_size=12),
    st.one_of(st.none(), st.text(max_size=6)),
    st.one_of(st.none(), st.floats(1e-9, 1e18), st.floats(0, 100)),
    st.one_of(st.none(), st.floats(0, 0.15)),
)
def test_the_form_of_version_01_without_its_library(
    course: str, event: str | None, length: float | None, grade: float | None
) -> None:
    one = a_round(course=course, event=event, distance_ft=length, grade=grade)
    assert has_fingerprint(one, of_version_01(one))


def test_the_form_is_ours_and_stays() -> None:
    """Written down once: a change of it would make every stored round look changed."""
    assert fingerprint(a_round()) == (
        "2:737cad7d054fd6d59e56958da2493cd31173a9b2b2ea6d9558594a2fbe77ccd1"
    )


def test_a_column_that_says_nothing_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    before = fingerprint(a_round())
    monkeypatch.setattr(module, "_PUTT_2", (*module._PUTT_2, "cause_2"))
    one = a_round()
    more = Round(one.putts.with_columns(cause_2=pl.lit(None, pl.String)), one.holes)
    assert fingerprint(more) == before == fingerprint(one)
    said = Round(one.putts.with_columns(cause_2=pl.lit("x")), one.holes)
    assert fingerprint(said) != before


def test_what_a_column_of_later_says_is_seen_in_an_old_round() -> None:
    old = of_version_01(a_round())
    assert has_fingerprint(a_round(), old)
    assert not has_fingerprint(a_round(break_in=6.0), old)
    assert not has_fingerprint(a_round(slope="downhill"), old)


def test_the_order_and_source_of_rows_are_no_content() -> None:
    one = a_round(source="a.csv", source_row=3)
    assert fingerprint(Round(one.putts.reverse(), one.holes)) == fingerprint(a_round())
    assert fingerprint(a_round(player="ADA")) == fingerprint(a_round())
    assert fingerprint(a_round(grade=-0.0)) == fingerprint(a_round(grade=0.0))


def test_every_column_of_the_table_is_in_the_fingerprint_or_known_not_to_be() -> None:
    known = {*module._ROUND, *module._HOLE_2, *module._PUTT_2, "player", "source", "source_row"}
    assert {column.name for column in IN_TABLE} <= known


def test_the_tables_of_sql_are_those_declared() -> None:
    putts = set(columns_at(VERSION)["putts"]) - {"round_id"}
    per_putt = {column.name for column in IN_TABLE} - {"player", "course", "event", "date", "par"}
    assert per_putt - {"round"} <= putts
    assert putts - per_putt <= {"break_in"}
    with closing(sqlite3.connect(":memory:")) as db:
        db.execute(f"CREATE TABLE declared ({', '.join(column.sql for column in IN_TABLE)})")
        declared = {row[1]: row[2:4] for row in db.execute("PRAGMA table_info(declared)")}
        for steps in MIGRATIONS:
            for step in steps:
                if isinstance(step, str):
                    db.executescript(step)
        made = {row[1]: row[2:4] for row in db.execute("PRAGMA table_info(putts)")}
    assert {name: made[name] for name in per_putt & set(made)} == {
        name: declared[name] for name in per_putt & set(made)
    }


@pytest.fixture
def old(tmp_path: Path) -> Iterator[Path]:
    yield Path(shutil.copy(OF_VERSION_01, tmp_path / "archive.sqlite"))


def test_an_archive_of_version_01_is_opened_and_its_cards_are_unchanged(
    old: Path, tmp_path: Path
) -> None:
    with Archive(old) as archive:
        assert archive.query("PRAGMA user_version") == [(VERSION,)]
        rounds = archive.rounds()
        assert rounds.height == 24 and archive.players() == ["Mara Lindqvist"]
        assert archive.settings().player is None and SessionLog(archive).table().height >= 0
        for row in rounds.iter_rows(named=True):
            name, content = archive.scorecard(row["round_id"])
            (tmp_path / name).write_bytes(content)
            intake = take_in(tmp_path / name, archive, CardOptions())
            assert not intake.problems
            assert intake.stored.unchanged == [row["round_id"]]
        archive.backup(tmp_path / "copy.sqlite")
    with Archive(tmp_path / "copy.sqlite") as copy:
        assert copy.rounds().equals(rounds)


def test_an_archive_of_version_01_that_may_only_be_read(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = old.read_bytes()
    # Root may write anywhere, so the question itself is answered here.
    monkeypatch.setattr("sgputt.archive.connection._writable", lambda path: False)
    with Archive(old) as archive:
        assert archive.rounds().height == 24 and archive.putts().height > 500
    assert old.read_bytes() == before


def test_names_of_version_01_that_look_the_same_become_one(old: Path) -> None:
    with closing(sqlite3.connect(old)) as db, db:
        for number, name in ((1, "Mara Lindqvist\u200f"), (2, "MARA\u200b Lindqvist")):
            db.execute(
                "UPDATE rounds SET player = ?, player_key = ? WHERE round_id = ?",
                (name, name.casefold(), number),
            )
    with Archive(old) as archive:
        assert archive.players() == ["Mara Lindqvist"]
        assert archive.rounds("mara lindqvist").height == 24
