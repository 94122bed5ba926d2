"""Killed imports, and several at once: no round is lost, none is half there."""

from __future__ import annotations

from pathlib import Path

from sgputt.archive.store import Archive
from sgputt.demo import demo_cards
from tests.robust.kills import hold_kills
from tests.robust.limited import started

KILLS = 10
AT_ONCE = 8


def test_killed_imports(tmp_path: Path) -> None:
    ends = hold_kills(KILLS, 20261125, tmp_path)
    assert ends.total() == KILLS


def test_imports_at_once_into_an_archive_that_is_not_there_yet(tmp_path: Path) -> None:
    archive, cards = tmp_path / "new" / "archive.sqlite", demo_cards(tmp_path)[: 3 * AT_ONCE]
    processes = [
        started("import", "--archive", archive, *cards[at::AT_ONCE]) for at in range(AT_ONCE)
    ]
    for process in processes:
        out, err = process.communicate(timeout=60)
        assert (process.returncode, err) == (0, b""), err.decode()
        assert out.count(b"Stored round") == 3
    with Archive(archive) as opened:
        assert opened.rounds()["round_id"].to_list() != []
        assert opened.rounds().height == 3 * AT_ONCE
        assert opened.holes().height == 3 * AT_ONCE * 18
        assert {row[0] for row in opened.query("SELECT name FROM files")} == {
            path.name for path in cards
        }
