"""Importing a folder that fills by itself, and rows that a conflict leaves out."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.cli.conftest import Command

HEAD = "date,player,course,hole,putts,putt1,putt2\n"
ROUND = HEAD + "2026-05-{day:02},Mara Lindqvist,Heron Mere,1,2,20,2\n,,,2,1,{length},\n"
LOG = "date,drill,balls,successes,note\n{date},circle-of-eight-5ft,40,{successes},{note}\n"


@pytest.fixture
def folder(home: Path) -> Path:
    found = home / "golf"
    (found / "phone" / "deep").mkdir(parents=True)
    (found / "first.csv").write_text(ROUND.format(day=3, length=8), encoding="utf-8")
    (found / "phone" / "second.csv").write_text(ROUND.format(day=4, length=9), encoding="utf-8")
    log = LOG.format(date="2026-05-05", successes=29, note="windy")
    (found / "phone" / "deep" / "practice.csv").write_text(log, encoding="utf-8")
    (found / "photo.jpg").write_bytes(b"\xff\xd8")
    (found / "to do.txt").write_text("milk, bread\n", encoding="utf-8")
    (found / ".sync.csv").write_text("x", encoding="utf-8")
    (found / ".trash").mkdir()
    (found / ".trash" / "old.csv").write_text("x", encoding="utf-8")
    (found / "around").symlink_to(found)
    return found


def test_a_log_that_was_stored_before_is_said(sgputt: Command, folder: Path) -> None:
    log = folder / "phone" / "deep" / "practice.csv"
    assert sgputt("import", folder).status == 0
    again = sgputt("import", log)
    assert (again.status, again.err) == (0, "")
    assert "Unchanged: 1 set of practice" in again.out
    read = sgputt("drills", "read", log).out
    assert "Stored 0 sets of practice; stored before: 1 set." in read


def test_everything_new_is_taken_and_said(sgputt: Command, folder: Path) -> None:
    ran = sgputt("import", folder)
    assert ran.status == 0 and ran.err == ""
    assert "Stored round 1: Mara Lindqvist, 2026-05-03" in ran.out
    assert "Stored 1 set of practice from phone/deep/practice.csv" in ran.out
    assert "3 files: 3 new, 0 stored before, 2 other files left alone." in ran.out
    assert len(sgputt("rounds", "--json").json) == 2
    assert sgputt("drills", "history", "--json").json["player"] == "Mara Lindqvist"


def test_it_may_be_typed_again_at_any_time(sgputt: Command, folder: Path) -> None:
    sgputt("import", folder)
    ran = sgputt("import", folder)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out == "3 files: 0 new, 3 stored before, 2 other files left alone.\n"
    (folder / "third.csv").write_text(ROUND.format(day=6, length=7), encoding="utf-8")
    log = LOG.format(date="2026-05-07", successes=31, note="")
    (folder / "more practice.csv").write_text(log, encoding="utf-8")
    found = sgputt("import", folder, "--json").json
    assert found["stored"] == [3] and found["unchanged"] == [1, 2]
    assert found["practice"] == {"stored": [2], "unchanged": 1, "notes": []}
    assert [each["file"] for each in found["files"]] == [
        *("first.csv", "more practice.csv", "third.csv", "phone/second.csv"),
        "phone/deep/practice.csv",
    ]
    assert found["left_alone"] == ["photo.jpg", "to do.txt"] and found["problems"] == []


def test_a_bad_file_stops_no_other(sgputt: Command, folder: Path) -> None:
    (folder / "bad.csv").write_text(HEAD + "2026-05-08,Mara Lindqvist,X,1,2,x,2\n", "utf-8")
    bad = LOG.format(date="2026-05-05", successes=41, note="")
    (folder / "bad log.csv").write_text(bad, encoding="utf-8")
    ran = sgputt("import", folder)
    assert ran.status == 1
    assert "bad.csv, row 2" in ran.err and "bad log.csv, row 2" in ran.err
    assert "5 files: 3 new, 0 stored before, 2 with problems" in ran.out
    assert len(sgputt("rounds", "--json").json) == 2


def test_a_practice_log_by_itself(sgputt: Command, folder: Path) -> None:
    sgputt("import", folder / "first.csv")
    ran = sgputt("import", folder / "phone" / "deep" / "practice.csv")
    assert ran.status == 0 and "Stored 1 set of practice" in ran.out


def test_an_empty_folder_and_one_that_is_gone(sgputt: Command, home: Path) -> None:
    (home / "empty").mkdir()
    ran = sgputt("import", home / "empty")
    assert ran.status == 0 and "nothing to import" in ran.out
    assert sgputt("import", home / "none").status == 1


def test_what_was_written_beside_a_card_is_no_card(sgputt: Command, folder: Path) -> None:
    (folder / "first.csv").write_text(
        ROUND.format(day=3, length=8) + ",,,3,1,x,\n", encoding="utf-8"
    )
    assert sgputt("import", "--keep-good-holes", folder).status == 1
    assert (folder / "first.rejected.csv").exists()
    found = sgputt("import", "--keep-good-holes", folder, "--json").json
    assert "first.rejected.csv" not in [each["file"] for each in found["files"]]
    assert found["left_alone"] == ["photo.jpg", "to do.txt"]


def test_every_row_of_a_refused_round_is_beside_the_card(sgputt: Command, home: Path) -> None:
    """They were in neither the archive nor the file of rejected rows."""
    card = home / "round.csv"
    card.write_text(ROUND.format(day=3, length=8), encoding="utf-8")
    assert sgputt("import", card).status == 0
    changed = ROUND.format(day=3, length=12) + ",,,3,1,x,\n2026-05-09,,,1,1,5,\n"
    card.write_text(changed, encoding="utf-8")
    ran = sgputt("import", "--keep-good-holes", card)
    assert ran.status == 1 and "--replace" in ran.err
    with (home / "round.rejected.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["row"] for row in rows] == ["2", "3", "4"]
    assert "is stored already as round 1, with other content" in rows[0]["problem"]
    assert rows[1]["putt1"] == "12" and "'x'" in rows[2]["problem"]
    rounds = sgputt("rounds", "--json").json
    assert [(each["date"], each["holes"]) for each in rounds] == [
        ("2026-05-03", 2),
        ("2026-05-09", 1),
    ]


def test_only_dates_say_how_dates_are_written(sgputt: Command, folder: Path) -> None:
    """Any cell did, even a note such as 5/13."""
    log = folder / "log.csv"
    log.write_text(LOG.format(date="3/5/2026", successes=29, note="13/4/2026"), encoding="utf-8")
    sgputt("import", folder / "first.csv")
    ran = sgputt("drills", "read", log)
    assert ran.status == 1 and "3/5/2026" in ran.err
    assert sgputt("drills", "read", log, "--date-order", "dmy").status == 0


def test_the_apostrophe_of_a_guard_comes_off_a_note(sgputt: Command, folder: Path) -> None:
    log = folder / "log.csv"
    log.write_text(LOG.format(date="2026-05-03", successes=29, note="'=windy"), encoding="utf-8")
    sgputt("import", folder / "first.csv")
    assert sgputt("drills", "read", log).status == 0
    (drill,) = sgputt("drills", "history", "--json").json["drills"]
    assert drill["sets"][0]["note"] == "=windy"
