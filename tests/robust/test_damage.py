"""Damaged archives: said to be damaged, with a way out; gone back from, or salvaged."""

from __future__ import annotations

import datetime as dt
import os
import random
import shutil
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sgputt.archive.backup import restore
from sgputt.archive.salvage import Salvaged, salvage
from sgputt.archive.sessions import SESSIONS_SCHEMA, SessionLog
from sgputt.archive.store import Archive
from sgputt.demo import demo_cards
from sgputt.errors import ArchiveError
from sgputt.intake import read_again, take_in
from sgputt.scorecard import CardOptions
from tests.cli.conftest import command

TODAY = dt.date(2026, 11, 25)
PAGE = 4096
ROUNDS = 13
METRES = "hole,putts,putt1,putt2,stimp\n1,2,6.5,0.5,10\n2,1,3,,\n"


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twelve rounds of cards that say all, one whose card needs options, and two sets of drills."""
    folder = tmp_path_factory.mktemp("sound")
    metres = folder / "metres.csv"
    metres.write_text(METRES, encoding="utf-8")
    said = CardOptions(player="Ada Brook", date=dt.date(2026, 5, 3), course="Heron Mere", unit="m")
    with Archive(folder / "archive.sqlite") as archive:
        for path in demo_cards(folder)[: ROUNDS - 1]:
            take_in(path, archive, CardOptions())
        assert take_in(metres, archive, said).stored.stored == [ROUNDS]
        day = {"player": "Ada Brook", "date": dt.date(2026, 5, 4), "drill": "circle", "balls": 9}
        sets = [{**day, "successes": number, "note": ""} for number in (3, 4)]
        SessionLog(archive).add(pl.DataFrame(sets, schema=SESSIONS_SCHEMA))
    return folder / "archive.sqlite"


@pytest.fixture
def archive(sound: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(sound, tmp_path / "archive.sqlite"))


def pages_of(archive: Path, table: str) -> list[int]:
    with closing(sqlite3.connect(archive)) as db:
        rows = db.execute("SELECT pageno FROM dbstat WHERE name = ? ORDER BY 1", (table,))
        return [int(row[0]) - 1 for row in rows]


def overwrite(archive: Path, page: int, seed: int = 1) -> None:
    with archive.open("rb+") as file:
        file.seek(page * PAGE)
        file.write(random.Random(seed).randbytes(PAGE))


def contents(archive: Path) -> dict[str, list[Any]]:
    """All that the archive tells, but for when a card was imported."""
    with Archive(archive) as opened:
        return {
            "putts": opened.putts().sort("round_id", "hole", "putt").rows(),
            "holes": opened.holes().sort("round_id", "hole").rows(),
            "sets": SessionLog(opened).table().rows(),
            "cards": [opened.scorecard(each) for each in opened.rounds()["round_id"].sort()],
        }


def salvaged(archive: Path) -> Salvaged:
    done = salvage(archive, read_again, TODAY)
    with closing(sqlite3.connect(archive)) as db:
        assert db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    return done


def cut_off(archive: Path) -> None:
    with archive.open("rb+") as file:
        file.truncate(archive.stat().st_size // 2)


def no_header(archive: Path) -> None:
    overwrite(archive, 0)


def in_putts(archive: Path) -> None:
    overwrite(archive, pages_of(archive, "putts")[0])


def in_values(archive: Path) -> None:
    with closing(sqlite3.connect(archive)) as db, db:
        db.execute("UPDATE putts SET result = 'hXled' WHERE round_id = 3 AND hole = 4")
        db.execute("UPDATE rounds SET date = '2026-99-01' WHERE round_id = 5")


def in_text(archive: Path) -> None:
    with closing(sqlite3.connect(archive)) as db, db:
        db.execute("UPDATE rounds SET course = CAST(x'ff1b5b' AS TEXT) WHERE round_id = 3")


@pytest.mark.parametrize("spoil", [cut_off, no_header, in_putts, in_values, in_text])
def test_damage_is_said_with_a_way_out(archive: Path, spoil: Callable[[Path], None]) -> None:
    spoil(archive)
    before = archive.read_bytes()
    said = []
    for words in (["rounds"], ["export"], ["round", "3"], ["season"], ["backup", "copy.sqlite"]):
        ran = command(*words, "--archive", archive)
        if ran.status != 0 and words != ["season"]:
            assert ran.status == 1
            said.append(" ".join(ran.err.split()))
    assert said
    for each in said:
        assert "damaged" in each and "sgputt restore FILE" in each, each
        assert "\x1b" not in each
    assert archive.read_bytes() == before
    Path("copy.sqlite").unlink(missing_ok=True)


def test_no_copy_is_made_of_a_damaged_archive(archive: Path, tmp_path: Path) -> None:
    in_putts(archive)
    ran = command("backup", "--archive", archive, tmp_path / "copy.sqlite")
    assert ran.status == 1 and "is damaged" in ran.err
    assert [path.name for path in tmp_path.iterdir()] == ["archive.sqlite"]


def test_going_back_to_a_backup(archive: Path, tmp_path: Path, sound: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    assert command("backup", "--archive", archive, copy).status == 0
    no_header(archive)
    damaged = archive.read_bytes()
    ran = command("restore", "--archive", archive, copy)
    aside = tmp_path / f"archive.sqlite.damaged-{dt.date.today()}"
    assert ran.status == 0
    assert f"Restored {ROUNDS} rounds and 2 sets of drills from" in " ".join(ran.out.split())
    assert aside.read_bytes() == damaged
    assert contents(archive) == contents(sound)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "archive.sqlite",
        aside.name,
        "copy.sqlite",
    ]


def test_nothing_kept_aside_is_overwritten(archive: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(archive, tmp_path / "copy.sqlite"))
    kept = []
    for number in range(3):
        no_header(archive)
        with archive.open("ab") as file:
            file.write(b"%d" % number)
        kept.append((archive.read_bytes(), restore(copy, archive, TODAY).aside))
    names = [aside.name for _, aside in kept if aside]
    assert names == [f"archive.sqlite.damaged-2026-11-25{end}" for end in ("", "-2", "-3")]
    assert all(aside and aside.read_bytes() == content for content, aside in kept)


def test_a_sound_archive_is_kept_too(archive: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(archive, tmp_path / "copy.sqlite"))
    with Archive(archive) as opened:
        opened.remove(1)
    done = restore(copy, archive, TODAY)
    assert done.aside is not None and done.aside.name == "archive.sqlite.replaced-2026-11-25"
    assert not done.was_damaged and done.rounds == ROUNDS
    with Archive(done.aside) as former:
        assert former.rounds().height == ROUNDS - 1


def test_going_back_to_where_there_is_no_archive(archive: Path, tmp_path: Path) -> None:
    new = tmp_path / "new" / "archive.sqlite"
    assert restore(archive, new, TODAY).aside is None
    assert contents(new) == contents(archive)


def test_what_is_no_backup_changes_nothing(archive: Path, tmp_path: Path) -> None:
    damaged = Path(shutil.copy(archive, tmp_path / "damaged.sqlite"))
    in_putts(damaged)
    (tmp_path / "text").write_text("hole,putts\n" * 500, encoding="utf-8")
    (tmp_path / "empty").touch()
    with closing(sqlite3.connect(tmp_path / "recipes.db")) as db:
        db.execute("CREATE TABLE recipes (name TEXT)")
    before = archive.read_bytes(), sorted(tmp_path.iterdir())
    for name, said in (
        ("damaged.sqlite", "is damaged itself"),
        ("text", "is no backup, it is not a database.\n  Name a file that sgputt backup wrote."),
        ("empty", "is empty"),
        ("recipes.db", "not made by sgputt"),
        ("none", "There is no file"),
        ("archive.sqlite", "is the archive itself"),
    ):
        with pytest.raises(ArchiveError, match=said) as caught:
            restore(tmp_path / name, archive, TODAY)
        assert caught.value.hint
    assert (archive.read_bytes(), sorted(tmp_path.iterdir())) == before


def test_an_archive_in_use_is_not_replaced(
    archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = Path(shutil.copy(archive, tmp_path / "copy.sqlite"))
    monkeypatch.setattr("sgputt.archive.backup.WAIT_SECONDS", 0.05)
    with closing(sqlite3.connect(archive, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(ArchiveError, match="locked"):
            restore(copy, archive, TODAY)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["archive.sqlite", "copy.sqlite"]


def test_restoring_is_told_what_to_do(archive: Path) -> None:
    assert command("restore", "--archive", archive).status == 2
    assert command("restore", "--archive", archive, "--salvage", archive).status == 2
    ran = command("restore", "--archive", archive, "--salvage")
    assert (ran.status, ran.out) == (0, "The archive is not damaged: it was left as it is.\n")
    assert [path.name for path in archive.parent.iterdir()] == ["archive.sqlite"]


def test_salvage_reads_putts_again_from_their_cards(archive: Path, sound: Path) -> None:
    """Also of the card that was imported with --unit, --player, --date and --course."""
    for page in pages_of(archive, "putts") + pages_of(archive, "holes"):
        overwrite(archive, page)
    done = salvaged(archive)
    assert (done.whole, done.doubtful, done.lost, done.more_lost) == ([], [], [], [])
    assert len(done.from_cards) == ROUNDS
    assert contents(archive) == contents(sound)
    assert done.aside is not None and done.aside.name == "archive.sqlite.damaged-2026-11-25"


def test_salvage_without_the_table_of_rounds(archive: Path, sound: Path) -> None:
    for page in pages_of(archive, "rounds"):
        overwrite(archive, page)
    done = salvaged(archive)
    assert len(done.from_cards) == ROUNDS - 1
    # The card of the last does not say whose it is, but the index of rounds does.
    (doubtful,) = done.doubtful
    assert doubtful == f"round {ROUNDS}: ada brook, 2026-05-03, course unknown"
    was, now = contents(sound), contents(archive)
    assert now["sets"] == was["sets"] and now["cards"][:-1] == was["cards"][:-1]
    assert len(now["putts"]) == len(was["putts"])


def test_salvage_without_the_cards(archive: Path, sound: Path) -> None:
    for page in pages_of(archive, "files"):
        overwrite(archive, page)
    done = salvaged(archive)
    assert len(done.whole) == ROUNDS and not done.doubtful and not done.lost
    was, now = contents(sound), contents(archive)
    assert (now["putts"], now["holes"], now["sets"]) == (was["putts"], was["holes"], was["sets"])
    assert now["cards"][0] == ("scorecard lost", b"")


def test_salvage_says_what_is_lost(archive: Path) -> None:
    gone = pages_of(archive, "files") + pages_of(archive, "putts")[:1]
    gone += pages_of(archive, "holes")
    for page in gone:
        overwrite(archive, page)
    ran = command("restore", "--archive", archive, "--salvage")
    assert ran.status == 1
    text = " ".join(ran.out.split())
    assert "Lost:" in text or "Nothing could be read" in ran.err, ran
    assert "2 sets of drills kept" in text


def test_salvage_of_values_that_changed(archive: Path, sound: Path) -> None:
    in_values(archive)
    in_text(archive)
    with closing(sqlite3.connect(archive)) as db, db:
        db.execute("UPDATE putts SET distance_ft = 7 WHERE round_id = 6 AND hole = 1 AND putt = 1")
        db.execute("UPDATE sessions SET date = 'x' WHERE session_id = 1")
    done = salvaged(archive)
    assert len(done.whole) == ROUNDS - 3
    assert len(done.from_cards) == 3 and not done.lost
    assert done.more_lost == ["a set of drills (1)"]
    was, now = contents(sound), contents(archive)
    assert sorted(map(str, (row[:-1] for row in now["putts"]))) == sorted(
        map(str, (row[:-1] for row in was["putts"]))
    )


def test_salvage_of_nothing_changes_nothing(archive: Path, tmp_path: Path) -> None:
    archive.write_bytes(archive.read_bytes()[:PAGE] + random.Random(1).randbytes(50_000))
    before = archive.read_bytes()
    ran = command("restore", "--archive", archive, "--salvage")
    assert ran.status == 1 and "Nothing could be read of" in ran.err
    assert archive.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["archive.sqlite"]


def what_is_there(folder: Path) -> dict[str, object]:
    return {
        str(each.relative_to(folder)): (
            stat.S_IFMT(each.lstat().st_mode),
            each.read_bytes() if each.is_file() else None,
        )
        for each in folder.rglob("*")
    }


@pytest.fixture
def others(tmp_path: Path) -> Path:
    """A folder of what is not an archive of ours."""
    folder = tmp_path / "others"
    folder.mkdir()
    (folder / "letter.txt").write_text("holed, uphill, left to right\n" * 300, encoding="utf-8")
    (folder / "noise").write_bytes(random.Random(1).randbytes(50_000))
    (folder / "within").mkdir()
    (folder / "within" / "file").touch()
    os.mkfifo(folder / "pipe")
    (folder / "loop").symlink_to("loop")
    (folder / "link").symlink_to("letter.txt")
    with closing(sqlite3.connect(folder / "recipes.db")) as db:
        db.execute("CREATE TABLE recipes (name TEXT)")
    return folder


@pytest.mark.parametrize(
    "name", ["letter.txt", "noise", "within", "pipe", "loop", "link", "recipes.db"]
)
def test_what_is_not_ours_is_never_replaced(archive: Path, others: Path, name: str) -> None:
    before = what_is_there(others)
    for words in (["restore", archive], ["restore", "--salvage"]):
        ran = command(*words, "--archive", others / name)
        assert ran.status in (1, 2) and "Traceback" not in ran.err, ran.err
        assert what_is_there(others) == before


def test_no_name_for_the_archive_is_wrong_use(
    archive: Path, others: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stood for the folder one was in, which was then renamed."""
    monkeypatch.chdir(others)
    before = what_is_there(others)
    for words in (
        ["restore", "--archive", "", archive],
        ["--archive", "", "restore", archive],
        ["--archive", "", "restore", "--salvage"],
    ):
        ran = command(*words)
        assert ran.status == 2 and "--archive needs the name of a file" in ran.err, ran
        assert what_is_there(others) == before


def test_a_log_that_was_left_alone_is_not_written_into_the_backup(
    archive: Path, tmp_path: Path
) -> None:
    kept = tmp_path / "kept"
    kept.mkdir()
    with Archive(archive) as opened:
        opened.backup(tmp_path / "copy.sqlite")
        opened.remove(1)
        shutil.copy(f"{archive}-wal", kept / "archive.sqlite-wal")
    restore(tmp_path / "copy.sqlite", kept / "archive.sqlite", TODAY)
    with Archive(kept / "archive.sqlite") as opened:
        assert opened.rounds().height == ROUNDS


@pytest.mark.parametrize("seed", range(12))
def test_any_damage_at_all(archive: Path, seed: int) -> None:
    """No traceback from any of these; what salvage makes is sound, or nothing is made."""
    rng = random.Random(seed)
    content = bytearray(archive.read_bytes())
    for _ in range(rng.choice([1, 3, 20])):
        at = rng.randrange(PAGE, len(content))
        put = rng.randbytes(rng.choice([1, 40, PAGE]))
        content[at : at + len(put)] = put
    archive.write_bytes(content[: rng.randrange(len(content))] if seed % 4 == 0 else content)
    for words in (["rounds"], ["round", "2"], ["export", "--out", archive.parent / "out.csv"]):
        ran = command(*words, "--archive", archive)
        assert ran.status == 0 or "sgputt restore" in ran.err, ran.err
    ran = command("restore", "--archive", archive, "--salvage")
    if "Nothing could be read" not in ran.err:
        with Archive(archive) as opened:
            assert opened.query("PRAGMA integrity_check") == [("ok",)]
            assert opened.putts().height >= 0


@pytest.mark.parametrize("spoil", ["emptied", "gone", "cut off", "overwritten"])
def test_a_spoilt_log(archive: Path, tmp_path: Path, spoil: str) -> None:
    """What lay only in the log may be gone, but the rest is sound and a new import repairs it."""
    log, kept = Path(f"{archive}-wal"), tmp_path / "kept"
    kept.mkdir()
    with Archive(archive) as opened:
        opened.remove(*range(1, 6))
        for path in (archive, log):
            shutil.copy(path, kept)
    archive, log = kept / archive.name, kept / log.name
    content = log.read_bytes()
    assert len(content) > 3 * PAGE
    if spoil == "gone":
        log.unlink()
    else:
        put = {"emptied": b"", "cut off": content[: len(content) // 2 + 7]}
        log.write_bytes(put.get(spoil, content[:PAGE] + random.Random(1).randbytes(2 * PAGE)))
    with Archive(archive) as opened:
        assert opened.rounds().height in (ROUNDS, ROUNDS - 5)
        assert opened.query("PRAGMA integrity_check") == [("ok",)]
