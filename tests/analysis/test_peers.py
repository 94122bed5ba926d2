"""The other players of an archive: who counts, what is kept, one answer for squad and player."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from sgputt.analysis import peers
from sgputt.analysis.peers import StoredRecords
from sgputt.analysis.rounds import PlayedRounds
from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.analysis.squad import analyse_squad
from sgputt.archive.sessions import SessionLog
from sgputt.archive.store import Archive
from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import SgputtError
from sgputt.intake import take_in
from sgputt.practice.brought import Brought
from sgputt.practice.departures import Surplus, shape_of
from sgputt.practice.drills import load_drills
from sgputt.practice.needs import DEPARTURE
from sgputt.practice.peers import MOST_PEERS, PeerRecord, with_a_say
from sgputt.scorecard.card import CardOptions
from tests.practice.invented import USUAL, practised, rounds, scored

DRILLS = load_drills()
NAMES = ("Ada Brook", "Mara Lindqvist", "Tom Field")
COLUMNS = ["player", "date", "course", "hole", "putt", "distance_ft", "result", "slope", "break"]
OPTIONS = CardOptions(as_written=True, missing="chipped in")


def import_rounds(folder: Path, name: str, many: int, seed: int, days: int = 0) -> None:
    card = folder / f"{name}.csv"
    table = rounds(USUAL, many, seed).with_columns(
        pl.lit(name).alias("player"), pl.col("date") + pl.duration(days=days)
    )
    table.select(COLUMNS).write_csv(card)
    with Archive(folder / "archive.sqlite") as archive:
        taken = take_in(card, archive, OPTIONS)
    assert taken.problems == [], taken.problems


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive of three players, one of them with few rounds."""
    folder = tmp_path_factory.mktemp("peers")
    for seed, (name, many) in enumerate(zip(NAMES, (22, 21, 5), strict=True)):
        import_rounds(folder, name, many, 40 + seed)
    return folder


def asked(home: Path, kept_in: Path | None = None, player: str = NAMES[2]) -> dict[str, PeerRecord]:
    return StoredRecords(home / "archive.sqlite", player, DRILLS, kept_in)()


def stored(home: Path, name: str) -> SeasonAnalysis:
    with Archive(home / "archive.sqlite") as archive:
        putts, holes = archive.putts(name), archive.holes(name)
    return analyse(PlayedRounds(name, holes, putts).score(get_baseline("tour")))


def test_who_has_a_say() -> None:
    many = {"d": 20, "b": 15, "c": 60, "a": 16}
    assert with_a_say(many, []) == ["a", "c", "d"]
    assert with_a_say(many, [], "c") == ["a", "d"]
    crowd = {f"{n:02}": 20 + n for n in range(60)}
    assert with_a_say(crowd, ["00"]) == ["00", *(f"{60 - n}" for n in range(MOST_PEERS - 1, 0, -1))]


def test_records_are_of_all_rounds_of_those_who_have_enough(home: Path) -> None:
    ada, mara = (stored(home, name).record for name in NAMES[:2])
    assert ada.surpluses and ada != mara
    assert asked(home) == {NAMES[0]: ada, NAMES[1]: mara}
    # To nobody their own rounds say anything.
    assert asked(home, player=NAMES[0]) == {NAMES[1]: mara}
    assert asked(home, player=NAMES[1]) == {NAMES[0]: ada}


def test_a_record_is_kept_and_taken_again_until_the_rounds_change(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = asked(home, tmp_path)
    assert len(list(tmp_path.iterdir())) == 2
    worked_out: list[str] = []

    def counted(*words: object, **named: object) -> SeasonAnalysis:
        worked_out.append(str(words[1]))
        return analyse(*words, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(peers, "analyse", counted)
    assert asked(home, tmp_path) == first
    assert worked_out == []
    # What is spoilt is worked out again, and what cannot be kept does no harm.
    spoilt = sorted(tmp_path.iterdir())[0]
    for content in ("{", "[]", json.dumps({"of": "another", "record": {}})):
        spoilt.write_text(content, encoding="utf-8")
        assert asked(home, tmp_path) == first
    assert len(worked_out) == 3
    (tmp_path / "file").touch()
    assert asked(home, tmp_path / "file") == first
    # A round more makes the record of its player anew, in the place of the old one.
    later = shutil.copytree(home, tmp_path / "later")
    asked(later, tmp_path / "kept")
    worked_out.clear()
    import_rounds(later, NAMES[1], 1, 50, days=100)
    assert asked(later, tmp_path / "kept")[NAMES[1]] != first[NAMES[1]]
    assert worked_out == [NAMES[1]]
    assert len(list((tmp_path / "kept").iterdir())) == 2


def test_a_log_begun_under_another_spelling_is_the_players(home: Path, tmp_path: Path) -> None:
    with Archive(tmp_path / "archive.sqlite") as archive:
        begun = [practised("gate-2ft-ahead", date(2024, 1, 8), player="ada brook")] * 6
        SessionLog(archive).add(pl.concat(begun))
    import_rounds(tmp_path, NAMES[0], 16, 40)
    found = asked(tmp_path)
    assert [each.part for each in found[NAMES[0]].brought] == ["direction_deg"]


def test_damaged_rounds_of_another_player_stop_nobody(home: Path, tmp_path: Path) -> None:
    spoilt = shutil.copytree(home, tmp_path / "spoilt")
    with closing(sqlite3.connect(spoilt / "archive.sqlite")) as opened, opened:
        opened.execute(
            "DELETE FROM putts WHERE hole = 3 AND round_id ="
            " (SELECT min(round_id) FROM rounds WHERE player = ?)",
            [NAMES[0]],
        )
    assert asked(spoilt) == {NAMES[1]: stored(home, NAMES[1]).record}
    with pytest.raises(SgputtError, match="putts of hole 3 are gone"):
        stored(spoilt, NAMES[0])


def test_another_drill_or_program_makes_other_records(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def kept() -> str:
        return str(json.loads(sorted(tmp_path.iterdir())[0].read_text(encoding="utf-8"))["of"])

    asked(home, tmp_path)
    first = kept()
    StoredRecords(home / "archive.sqlite", NAMES[2], DRILLS[1:], tmp_path)()
    fewer = kept()
    monkeypatch.setattr(peers, "program_digest", lambda: "another")
    asked(home, tmp_path)
    assert len({first, fewer, kept()}) == 3


def test_a_record_comes_back_from_json() -> None:
    record = PeerRecord(
        (Surplus((3.0, 7.0, "any"), -0.1, 0.05, further=True),),
        (Brought("pace", -0.1, 0.05, -0.16, 6.0, 20, 12),),
    )
    assert PeerRecord.from_dict(json.loads(json.dumps(record.as_dict()))) == record
    with pytest.raises((KeyError, TypeError, ValueError)):
        PeerRecord.from_dict({"surpluses": [{"place": [1, 2]}]})


def _weak_at_short_putts(seed: int) -> pl.DataFrame:
    """Of 3 to 7 ft the putts of a stroke twice as wide, as in the test of one player alone."""
    short = pl.col("distance_ft").is_between(3, 7)
    bad = rounds(USUAL.changed(direction_deg=2.0), 60, seed + 1).filter(short)
    return pl.concat([rounds(USUAL, 60, seed).filter(~short), bad]).sort("date", "hole", "putt")


def _departs(found: SeasonAnalysis) -> bool:
    return any(need.parts == (DEPARTURE,) for need in found.decision.needs)


@pytest.fixture(scope="module")
def weak() -> list[SeasonAnalysis]:
    return [analyse(scored(_weak_at_short_putts(seed))) for seed in (5, 15, 25)]


def _beside(one: SeasonAnalysis, others: list[SeasonAnalysis]) -> SeasonAnalysis:
    records = {str(n): each.record for n, each in enumerate(others)}
    return analyse(one.scored, others=lambda: records)


def test_short_putts_only_is_no_weakness_where_all_others_have_it(
    weak: list[SeasonAnalysis],
) -> None:
    assert _departs(weak[0])
    assert not _departs(_beside(weak[0], weak[1:] * 4))
    fine = [analyse(scored(rounds(USUAL, 60, seed))) for seed in (7, 8)]
    beside = _beside(weak[0], fine * 4)
    assert _departs(beside)
    (need,) = [need for need in beside.decision.needs if need.parts == (DEPARTURE,)]
    assert need.words.endswith("explains, and more than 8 other players here")


def test_a_squad_looks_at_its_own_players(weak: list[SeasonAnalysis]) -> None:
    squad = analyse_squad({str(n): each.scored for n, each in enumerate(weak)})
    beside = squad.players["2"]
    assert beside.peers == {"0": weak[0].record, "1": weak[1].record}
    assert beside.shape == shape_of(each.record.surpluses for each in weak[:2])
