"""A value that changed by itself is found by the fingerprint and set right by the scorecard."""

from __future__ import annotations

import datetime as dt
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from sgputt.archive.salvage import Verified, salvage, verify
from sgputt.archive.store import Archive
from sgputt.intake import read_again, take_in
from sgputt.scorecard import CardOptions
from tests.archive.test_rounds import OF_VERSION_01
from tests.cli.conftest import command, demo_archive

__all__ = ["demo_archive"]


@pytest.fixture
def sound(demo_archive: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_archive, tmp_path / "archive.sqlite"))


def change(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as db, db:
        for statement in statements:
            db.execute(statement)


def verified(path: Path, correct: bool = True) -> Verified:
    with Archive(path) as archive:
        return verify(archive, read_again, correct)


def all_of(path: Path) -> list[tuple[object, ...]]:
    with Archive(path) as archive:
        return archive.putts().rows() + archive.holes().rows()


def test_nothing_changed(sound: Path) -> None:
    found = verified(sound)
    assert found.whole == 6 and found.all_is_well and not found.differing
    old = verified(Path(shutil.copy(OF_VERSION_01, sound.with_name("old.sqlite"))))
    assert old.whole == 24 and old.all_is_well


VALUES = {
    "length": (
        "UPDATE putts SET distance_ft = 7.5 WHERE round_id = 2 AND hole = 3 AND putt = 1",
        "hole 3, putt 1: distance_ft is 7.5, was",
    ),
    "result": (
        "UPDATE putts SET slope = 'level' WHERE round_id = 2 AND hole = 4 AND putt = 1",
        "hole 4, putt 1: slope is level, was",
    ),
    "putt gone": ("DELETE FROM putts WHERE round_id = 2 AND hole = 5", "cannot be read"),
    "hole gone": ("DELETE FROM holes WHERE round_id = 2 AND hole = 6", "hole 6 is gone"),
    "unreadable": ("UPDATE putts SET result = 'hXled' WHERE round_id = 2", "cannot be read"),
    "course": ("UPDATE rounds SET course = 'Saltmarsh Lknks' WHERE round_id = 2", "course is"),
    "date": ("UPDATE rounds SET date = '2027-01-01' WHERE round_id = 2", "date is 2027-01-01"),
    "no date": ("UPDATE rounds SET date = '2026-99-01' WHERE round_id = 2", "date"),
    "player": ("UPDATE rounds SET player = 'Mara Lindqvjst' WHERE round_id = 2", "player is"),
    "fingerprint": ("UPDATE rounds SET fingerprint = '2:0' WHERE round_id = 2", "fingerprint"),
}


@pytest.mark.parametrize("name", VALUES)
def test_a_changed_value_is_said_and_set_right(sound: Path, name: str) -> None:
    before = all_of(sound)
    statement, said = VALUES[name]
    change(sound, statement)
    looked = verified(sound, correct=False)
    assert looked.whole == 5 and not looked.all_is_well
    assert [each.round_id for each in verified(sound, correct=False).differing] == [2]
    found = verified(sound)
    assert found.whole == 5 and found.all_is_well
    (one,) = found.differing
    assert said in " ".join(one.what), one.what
    assert verified(sound).whole == 6
    assert sorted(map(str, all_of(sound))) == sorted(map(str, before))


ANSWERED: dict[str, tuple[bytes, dict[str, Any]]] = {
    "missing": (b"hole,putt,distance\n1,1,12\n1,2,2\n3,1,9\n", {"missing": "chipped in"}),
    "paces": (b"hole,putts,putt1,putt2\n1,2,6 paces,3 ft\n", {"pace_ft": 2.6}),
    "unit": (b"hole,putts,putt1,putt2\n1,2,6,1\n2,2,14,1.5\n", {"unit": "m", "stimp_ft": 11.0}),
}


@pytest.mark.parametrize("name", ANSWERED)
def test_answers_given_at_the_import_are_given_again(tmp_path: Path, name: str) -> None:
    content, answers = ANSWERED[name]
    card, path = tmp_path / "card.csv", tmp_path / "archive.sqlite"
    card.write_bytes(content)
    options = CardOptions(player="Mara Lindqvist", date=dt.date(2026, 5, 3), **answers)
    with Archive(path) as archive:
        assert not take_in(card, archive, replace(options, as_written=True)).problems
    before = all_of(path)
    change(path, "UPDATE putts SET distance_ft = 7.5 WHERE hole = 1 AND putt = 1")
    damaged = Path(shutil.copy(path, tmp_path / "damaged.sqlite"))
    found = verified(path)
    assert found.all_is_well and len(found.differing) == 1
    assert all_of(path) == before and not verified(path).differing
    assert len(salvage(damaged, read_again, dt.date(2026, 6, 1)).from_cards) == 1
    assert all_of(damaged) == before
    # The new archive knows the answers too, and nonsense in their place is no answer.
    change(damaged, "UPDATE putts SET distance_ft = 7.5 WHERE hole = 1 AND putt = 1")
    assert verified(damaged, correct=False).differing[0].what[0].startswith("hole 1, putt 1")
    change(damaged, "UPDATE rounds SET answers = '[1, {\"unit\": 3}]'")
    assert len(verified(damaged, correct=False).differing) == 1


@pytest.mark.parametrize("which", ["", " WHERE round_id = 2"])
def test_a_changed_name_is_salvaged_by_its_key(sound: Path, which: str) -> None:
    before = all_of(sound)
    change(sound, f"UPDATE rounds SET player = 'Somebody Else'{which}")
    done = salvage(sound, read_again, dt.date(2026, 6, 1))
    assert len(done.from_cards) == (1 if which else 6) and not done.doubtful + done.lost
    assert all_of(sound) == before


def test_without_its_card_a_round_is_only_said(sound: Path) -> None:
    change(
        sound,
        VALUES["length"][0],
        "UPDATE files SET content = x'00' WHERE file_id ="
        " (SELECT file_id FROM rounds WHERE round_id = 2)",
    )
    ran = command("rounds", "--verify", "--archive", sound)
    assert ran.status == 1
    assert "5 rounds as stored." in ran.out and "Round 2 was not corrected" in ran.out
    assert "scorecard 2026-03-21.csv, of round 2" in ran.out and "--replace" in ran.out


def test_as_a_command(sound: Path) -> None:
    change(sound, VALUES["length"][0])
    found = command("rounds", "--verify", "--json", "--archive", sound)
    assert found.status == 0
    (one,) = found.json["differing"]
    assert (found.json["whole"], one["round_id"], one["corrected"]) == (5, 2, True)
    ran = command("rounds", "--verify", "--archive", sound)
    assert (ran.status, ran.out) == (0, "6 rounds as stored.\n")
