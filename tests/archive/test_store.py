"""The archive: stored, left alone, refused, replaced, removed, and given back as it came."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from sgputt.archive.rounds import Round
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError
from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA, conform_putts

CARD = b"\xef\xbb\xbfhole;putts;putt1\r\n1;2;6,5\r\n\x00\xff"
PLAYER = "Žofie Nø-Лунд 🏌"
DAY = date(2026, 5, 3)


def a_round(player: str = PLAYER, day: date = DAY, first_ft: float = 20.0, **facts: Any) -> Round:
    """Three holes: two putts, the second of unknown length; one putt with all it can say; none."""
    number = facts.get("round", 1)
    base = {"player": player, "course": "Heron Mere", "event": None, "date": day, "round": number}
    putts = conform_putts(
        pl.DataFrame(
            [
                {**base, "hole": 1, "putt": 1, "distance_ft": first_ft, "result": "missed"},
                {**base, "hole": 1, "putt": 2, "distance_ft": None, "result": "holed"},
                {
                    **base,
                    "hole": 2,
                    "par": 4,
                    "putt": 1,
                    "distance_ft": 1 / 3,
                    "result": "conceded",
                    "slope": "downhill",
                    "break": "left to right",
                    "miss_pace": "past",
                    "miss_side": "none",
                    "cause": "read",
                    "surface": "off green",
                    "stimp_ft": 10.5,
                    "grade": -0.02,
                    "source": "Größe 1.csv",
                    "source_row": 7,
                },
            ],
            infer_schema_length=None,
        )
    )
    endings = [(1, None, "holed"), (2, 4, "conceded"), (3, 3, "chipped in")]
    holes = pl.DataFrame(
        [{**base, "hole": hole, "par": par, "ending": ending} for hole, par, ending in endings],
        schema=HOLES_SCHEMA,
    )
    return Round(putts, holes)


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with Archive(tmp_path / "new folder" / "archive.sqlite") as opened:
        yield opened


def store(archive: Archive, *rounds: Round, content: bytes = CARD, replace: bool = False) -> Any:
    return archive.store(rounds, "card.csv", content, replace)


def test_putts_and_holes_come_back_as_they_went_in(archive: Archive) -> None:
    one = a_round()
    store(archive, one)
    with Archive(archive.path) as again:
        assert_frame_equal(again.putts().drop("round_id"), one.putts)
        assert_frame_equal(again.holes().drop("round_id"), one.holes)
        assert again.putts()["round_id"].unique().to_list() == [1]
        assert again.players() == [PLAYER]
        row = again.rounds().row(0, named=True)
    assert (row["player"], row["holes"], row["putts"], row["source"]) == (PLAYER, 3, 3, "card.csv")
    assert (row["date"], row["event"], row["course"]) == (DAY, None, "Heron Mere")


def test_an_empty_archive_gives_empty_tables(archive: Archive) -> None:
    assert archive.rounds().is_empty()
    assert archive.players() == []
    assert dict(archive.putts().drop("round_id").schema) == PUTTS_SCHEMA
    assert dict(archive.holes().drop("round_id").schema) == HOLES_SCHEMA


def test_a_round_of_chip_ins_is_a_round(archive: Archive) -> None:
    one = a_round()
    outcome = store(archive, Round(one.putts.clear(), one.holes.tail(1)))
    assert archive.putts(round_id=outcome.stored[0]).is_empty()
    assert archive.holes()["ending"].to_list() == ["chipped in"]


def test_storing_twice_changes_nothing(archive: Archive) -> None:
    first = store(archive, a_round())
    before = archive.rounds()
    second = store(archive, a_round())
    assert (first.stored, second.unchanged) == ([1], [1])
    assert (second.stored, second.replaced, second.conflicts) == ([], [], [])
    assert_frame_equal(archive.rounds(), before)


def test_the_same_round_from_another_file_is_unchanged(archive: Archive) -> None:
    one = a_round()
    store(archive, one)
    moved = Round(
        one.putts.with_columns(source=pl.lit("other.xlsx"), source_row=pl.lit(99, pl.Int32)),
        one.holes.reverse(),
    )
    assert store(archive, moved, content=b"other").unchanged == [1]
    assert archive.scorecard(1) == ("card.csv", CARD)


def test_a_changed_round_is_refused_and_then_replaced_under_its_id(archive: Archive) -> None:
    store(archive, a_round(), a_round(day=date(2026, 5, 4)))
    refused = store(archive, a_round(first_ft=21.0), content=b"new")
    conflict = refused.conflicts[0]
    assert (conflict.round_id, conflict.player, conflict.date) == (1, PLAYER, DAY)
    assert archive.putts(round_id=1)["distance_ft"][0] == 20.0

    replaced = store(archive, a_round(first_ft=21.0), content=b"new", replace=True)
    assert replaced.replaced == [1]
    assert archive.putts(round_id=1)["distance_ft"][0] == 21.0
    assert archive.scorecard(1)[1] == b"new"
    assert archive.rounds()["round_id"].to_list() == [1, 2]
    # The other round of the first card keeps that card.
    assert archive.scorecard(2)[1] == CARD


@pytest.mark.parametrize(
    "change",
    [
        {"slope": "uphill"},
        {"leave_ft": 0.5},
        {"par": 3},
        {"cause": "pace"},
        {"distance_ft": 19.999999},
    ],
    ids=str,
)
def test_any_change_of_content_is_seen(archive: Archive, change: dict[str, Any]) -> None:
    one = a_round()
    store(archive, one)
    ((name, value),) = change.items()
    putts, holes = (
        table.with_columns(pl.lit(value, dtype=PUTTS_SCHEMA[name]).alias(name))
        if name in table.columns
        else table
        for table in (one.putts, one.holes)
    )
    assert len(store(archive, Round(putts, holes)).conflicts) == 1


def test_a_player_is_one_whatever_the_capitals(archive: Archive) -> None:
    store(archive, a_round("Ada Brook"))
    assert store(archive, a_round("ADA BROOK")).unchanged == [1]
    store(archive, a_round("ada brook", date(2026, 5, 4)))
    assert archive.players() == ["Ada Brook"]
    assert archive.rounds(" ADA brook ").height == 2
    assert archive.putts("ada BROOK")["player"].unique().to_list() == ["Ada Brook"]


def test_two_rounds_of_a_day_and_two_players(archive: Archive) -> None:
    outcome = store(archive, a_round(), a_round(round=2), a_round("Ben Yaffle"))
    assert len(outcome.stored) == 3
    assert archive.rounds("Ben Yaffle").height == 1
    assert archive.putts(round_id=outcome.stored[1])["round"].unique().to_list() == [2]


def test_rounds_come_in_the_order_played(archive: Archive) -> None:
    late, early = date(2026, 9, 1), date(2025, 12, 31)
    store(archive, a_round(day=late), a_round(day=early), a_round(day=early, round=2))
    assert archive.rounds()["date"].to_list() == [early, early, late]
    assert archive.rounds()["round_id"].to_list() == [2, 3, 1]
    assert archive.putts()["date"].is_sorted()


def test_removing_takes_putts_holes_and_at_last_the_card(archive: Archive) -> None:
    store(archive, a_round(), a_round(round=2))
    archive.remove(1)
    assert archive.rounds()["round_id"].to_list() == [2]
    assert archive.putts()["round_id"].unique().to_list() == [2]
    assert archive.holes()["round_id"].unique().to_list() == [2]
    assert archive.scorecard(2)[1] == CARD
    archive.remove(2)
    assert archive.query("SELECT count(*) FROM files") == [(0,)]
    # An id is never given out again.
    assert store(archive, a_round()).stored == [3]


def test_removing_is_all_or_none(archive: Archive) -> None:
    store(archive, a_round())
    with pytest.raises(ArchiveError, match="There is no round 9 in") as caught:
        archive.remove(1, 9)
    assert "sgputt rounds" in caught.value.hint
    assert archive.rounds().height == 1


@pytest.mark.parametrize("ask", ["putts", "holes", "scorecard"])
def test_an_unknown_round_is_an_error(archive: Archive, ask: str) -> None:
    with pytest.raises(ArchiveError, match="There is no round 4 in"):
        getattr(archive, ask)(round_id=4)


def test_the_original_card_comes_back_byte_for_byte(archive: Archive) -> None:
    content = bytes(range(256)) * 40
    outcome = archive.store([a_round()], "Größe 1.csv", content)
    with Archive(archive.path) as again:
        assert again.scorecard(outcome.stored[0]) == ("Größe 1.csv", content)


def test_one_card_of_two_rounds_is_kept_once(archive: Archive) -> None:
    store(archive, a_round(), a_round(round=2))
    assert archive.query("SELECT count(*) FROM files") == [(1,)]


def test_a_backup_opens_and_is_equal(archive: Archive, tmp_path: Path) -> None:
    store(archive, a_round(), a_round("Ben Yaffle"))
    copy = tmp_path / "copy.sqlite"
    archive.backup(copy)
    store(archive, a_round("Cy Dunlin"))
    with Archive(copy, make=False) as other:
        assert other.players() == ["Ben Yaffle", PLAYER]
        expected = archive.putts().filter(pl.col("player") != "Cy Dunlin")
        assert_frame_equal(other.putts(), expected)
        assert other.scorecard(1) == ("card.csv", CARD)


def test_a_backup_overwrites_nothing(archive: Archive, tmp_path: Path) -> None:
    there = tmp_path / "there.sqlite"
    there.write_text("mine", encoding="utf-8")
    with pytest.raises(ArchiveError, match="exists already"):
        archive.backup(there)
    assert there.read_text(encoding="utf-8") == "mine"


def test_a_backup_into_no_folder(archive: Archive, tmp_path: Path) -> None:
    with pytest.raises(ArchiveError, match="There is no folder"):
        archive.backup(tmp_path / "none" / "copy.sqlite")


def test_when_the_second_round_fails_the_first_is_not_kept(
    archive: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    store(archive, a_round())
    first, second = a_round("Ben Yaffle"), a_round("Cy Dunlin")
    twice = Round(pl.concat([second.putts, second.putts]), second.holes)
    with pytest.raises(ArchiveError, match="UNIQUE"):
        store(archive, first, twice, content=b"new")
    assert archive.players() == [PLAYER]
    assert archive.query("SELECT count(*) FROM files") == [(1,)]
    # The archive goes on working.
    assert len(store(archive, first).stored) == 1


def test_a_replacement_that_fails_leaves_the_old_round(archive: Archive) -> None:
    store(archive, a_round())
    other = a_round(first_ft=21.0)
    with pytest.raises(ArchiveError):
        store(archive, Round(pl.concat([other.putts] * 2), other.holes), replace=True)
    assert archive.putts(round_id=1)["distance_ft"][0] == 20.0
    assert archive.holes(round_id=1).height == 3


def test_a_killed_import_leaves_no_trace(archive: Archive, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Archive, "_drop_unused_files", stop)
    with pytest.raises(KeyboardInterrupt):
        store(archive, a_round())
    with Archive(archive.path) as again:
        assert again.rounds().is_empty()
