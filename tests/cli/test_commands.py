"""What a user types, and what comes of it: help, exit status, streams, files."""

from __future__ import annotations

import re
import shlex
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import openpyxl
import polars as pl
import pytest

from sgputt_cli.main import COMMANDS
from tests.bulk.folder import PLAYERS, putts, write
from tests.cli.conftest import Command, same

CARD = """\
date,player,course,hole,putts,putt1,putt2
2025-05-03,Ada Brook,Heron Mere,1,2,20,2
,,,2,1,8,
"""
ARCHIVE_COMMANDS = ["rounds", "round", "season", "practice", "export"]


@pytest.fixture
def filled(sgputt: Command, home: Path, demo_archive: Path) -> Command:
    """Six invented rounds in the archive, and the cards that the examples name."""
    shutil.copy(demo_archive, home / "archive.sqlite")
    shutil.copy(demo_archive, home / "putts-2026-05-01.sqlite")
    (home / "golf").mkdir()
    for name in ("round.csv", "golf/round.csv"):
        (home / name).write_text(CARD, encoding="utf-8")
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for line in ("hole,putts,putt1,course", "1,1,12,Heron Mere", "2,1,5,"):
        sheet.append(line.split(","))
    book.save(home / "scores.xlsx")
    write(home, {"putts.parquet": putts(PLAYERS[0]), "seasons/2026.parquet": putts(PLAYERS[1])})
    return sgputt


def examples(text: str) -> list[str]:
    return re.findall(r"^ +(sgputt .+)$", text, re.MULTILINE)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example_that_runs(name: str, filled: Command) -> None:
    ran = filled(name, "--help")
    assert (ran.status, ran.err) == (0, "")
    assert re.search(r"^  Examples?:$", ran.out, re.MULTILINE), ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    lines = examples(ran.out)
    assert lines
    for line in lines:
        words = shlex.split(line)
        assert words[1] == name
        done = filled(*words[1:])
        assert (done.status, done.err) == (0, ""), line


def test_short_help_lists_every_command(sgputt: Command) -> None:
    ran = sgputt("-h")
    assert ran.status == 0
    for name in COMMANDS:
        assert re.search(rf"^  {name} +\w", ran.out, re.MULTILINE), name


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["frob"], "no command 'frob'"),
        (["sesaon"], "Did you mean 'season'?"),
        (["expect"], "LENGTH"),
        (["expect", "eight"], "eight"),
        (["expect", "101"], "outside the baseline"),
        (["expect", "8ft", "--baseline", "scratch"], "no baseline 'scratch'"),
        (["expect", "8ft", "--frob"], "--frob"),
        (["drills", "circle-of-ate"], "no drill"),
        (["round", "one"], "one"),
        (["import"], "FILE"),
        (["season", "--archive"], "--archive"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else None,
)
def test_wrong_use_is_status_2_on_stderr(sgputt: Command, words: list[str], says: str) -> None:
    ran = sgputt(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert says in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize(
    "words",
    [
        "practice --by",
        "card --date",
        "import round.csv --date",
        "drills log gate-2ft-ahead --balls 20 --successes 9 --date",
        "squad --changed-since",
        "season --since",
    ],
)
def test_a_day_is_asked_for_in_the_same_words_everywhere(sgputt: Command, words: str) -> None:
    ran = sgputt(*words.split(), "3/5/2026")
    assert ran.status == 2
    assert "'3/5/2026' is no date. Write it year first, as in 2026-06-01." in ran.err


@pytest.mark.parametrize(
    "words",
    [
        "demo",
        "season",
        "round",
        "course",
        "squad",
        "practice --minutes 30",
        "card",
        "baselines own",
    ],
)
def test_a_file_is_not_called_what_it_is_not(filled: Command, home: Path, words: str) -> None:
    ran = filled(*words.split(), "--out", "page.pdf")
    assert ran.status == 2
    assert "'page.pdf' does not say in what form. End it in ." in ran.err
    assert not (home / "page.pdf").exists()


def test_one_hole_is_no_plural(sgputt: Command, home: Path) -> None:
    (home / "one.csv").write_text("date,hole,putts,putt1\n2026-05-03,1,1,20\n", encoding="utf-8")
    assert "1 hole and 1 putt read" in sgputt("check", "one.csv").out
    assert "1 hole, 1 putt." in sgputt("import", "one.csv").out
    assert "(1 round: too few for an interval)" in sgputt("season").out


@pytest.mark.parametrize("name", ARCHIVE_COMMANDS)
def test_without_an_archive_the_way_on_is_said(sgputt: Command, home: Path, name: str) -> None:
    ran = sgputt(name, "--json")
    assert (ran.status, ran.out) == (1, "")
    assert "sgputt import" in ran.err
    assert not (home / "archive.sqlite").exists()


@pytest.mark.parametrize(
    "words",
    [
        ["round", "99"],
        ["remove", "99"],
        ["export", "--card", "99"],
        ["season", "1999"],
        ["practice", "--player", "Nobody"],
        ["practice", "--own", "none.toml"],
        ["import", "none.csv"],
        ["backup", "none/copy.sqlite"],
        ["export", "--out", "none/putts.csv"],
        ["rounds", "--archive", "round.csv"],
    ],
    ids=" ".join,
)
def test_data_problems_are_status_1_on_stderr(filled: Command, words: list[str]) -> None:
    ran = filled(*words)
    assert ran.status == 1
    assert ran.out == ""
    assert ran.err
    assert "Traceback" not in ran.err


def test_a_bad_card_leaves_everything_as_it_was(filled: Command, home: Path) -> None:
    (home / "bad.csv").write_text(CARD.replace(",8,", ",ate,"), encoding="utf-8")
    before = filled("export").content
    ran = filled("import", "round.csv", "bad.csv")
    assert ran.status == 1
    assert "bad.csv, row 3, column 'putt1'" in ran.err
    assert "Stored round 7" in ran.out
    filled("remove", "7")
    assert filled("export").content == before


def test_importing_is_idempotent_and_replace_replaces(sgputt: Command, home: Path) -> None:
    card = home / "round.csv"
    card.write_text(CARD, encoding="utf-8")
    assert sgputt("import", card).status == 0
    first = sgputt("export").content
    again = sgputt("import", card)
    assert again.status == 0
    assert "Unchanged round 1" in again.out
    assert sgputt("export").content == first

    card.write_text(CARD.replace(",8,", ",9,"), encoding="utf-8")
    refused = sgputt("import", card)
    assert refused.status == 1
    assert "--replace" in refused.err
    assert sgputt("export").content == first
    replaced = sgputt("import", card, "--replace", "--json")
    assert (replaced.status, replaced.json["replaced"]) == (0, [1])
    assert sgputt("round", "--json").json["per_hole"][1]["first_putt_ft"] == 9
    assert sgputt("import", card, "--replace", "--json").json["unchanged"] == [1]


@pytest.mark.parametrize("content", [CARD, "\ufeff" + CARD.replace("\n", "\r\n"), CARD + "\n\n\n"])
def test_the_card_comes_back_byte_for_byte(sgputt: Command, home: Path, content: str) -> None:
    original = content.encode("utf-8")
    (home / "round.csv").write_bytes(original)
    assert sgputt("import", "round.csv").status == 0
    (home / "round.csv").unlink()
    assert sgputt("export", "--card", "1").content == original
    assert sgputt("export", "--card", "1", "--out", "back.csv").status == 0
    assert (home / "back.csv").read_bytes() == original


def test_exported_putts_read_back_the_same(filled: Command, home: Path) -> None:
    assert filled("export", "--out", "putts.csv").status == 0
    assert filled("export", "--out", "putts.parquet").status == 0
    parquet = pl.read_parquet(home / "putts.parquet")
    as_text = pl.read_csv(home / "putts.csv", infer_schema_length=None)
    assert parquet.height == as_text.height == len(filled("export", "--json").json)
    assert parquet["distance_ft"].to_list() == as_text["distance_ft"].to_list()
    assert (home / "putts.csv").read_bytes() == filled("export").content


def test_json_can_be_exported_to_a_file(filled: Command, home: Path) -> None:
    ran = filled("export", "--json", "--out", "putts.json")
    assert ran.status == 0
    assert (home / "putts.json").exists()


def test_several_players_need_a_choice(filled: Command) -> None:
    assert filled("import", "round.csv").status == 0
    for name in ("season", "practice"):
        ran = filled(name)
        assert ran.status == 2
        assert "--player: Ada Brook, Mara Lindqvist" in ran.err
        chosen = filled(name, "--player", "ADA brook", "--json")
        assert chosen.json["player"] == "Ada Brook"
    assert len(filled("rounds", "--json").json) == 7
    assert len(filled("rounds", "--player", "Ada Brook", "--json").json) == 1
    none = filled("season", "--player", "Adda")
    assert "Players: Ada Brook, Mara Lindqvist" in none.err


def test_shared_options_before_and_behind_the_command(
    filled: Command, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SGPUTT_ARCHIVE")
    assert filled("import", "round.csv", "--archive", "other.sqlite").status == 0
    wanted = ["--archive", "other.sqlite", "--player", "Ada Brook", "--json"]
    other = ["--archive", "archive.sqlite", "--player", "Mara Lindqvist"]
    before, behind = filled(*wanted, "season"), filled("season", *wanted)
    assert same(before.json, behind.json)
    assert before.json["player"] == "Ada Brook"
    # What stands behind the command wins.
    assert same(filled(*other, "season", *wanted).json, behind.json)
    assert filled("--baseline", "tour", "expect", "8ft", "--json").json[0]["baseline"] == "tour"
    assert filled("--baseline", "scratch", "expect", "8ft").status == 2


def test_an_option_before_the_command_wins_over_the_environment(
    filled: Command, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SGPUTT_ARCHIVE", str(home / "none.sqlite"))
    assert filled("--archive", "archive.sqlite", "rounds").status == 0


def test_the_option_wins_over_the_environment(
    filled: Command, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SGPUTT_ARCHIVE", str(home / "none.sqlite"))
    assert filled("rounds").status == 1
    assert filled("rounds", "--archive", "archive.sqlite").status == 0


def test_without_a_word_the_archive_lies_in_the_data_folder(
    sgputt: Command, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SGPUTT_ARCHIVE")
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))
    monkeypatch.setenv("HOME", str(home))
    (home / "round.csv").write_text(CARD, encoding="utf-8")
    assert sgputt("import", "round.csv").status == 0
    assert [path.name for path in home.rglob("archive.sqlite")] == ["archive.sqlite"]
    assert sgputt("rounds").status == 0


def test_a_backup_is_an_archive(filled: Command, home: Path) -> None:
    assert filled("backup", "copy.sqlite").status == 0
    there = filled("export", "--archive", "copy.sqlite").content
    assert there == filled("export").content
    assert filled("backup", "copy.sqlite").status == 1
    with closing(sqlite3.connect(home / "copy.sqlite")) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_every_row_is_accounted_for(sgputt: Command, home: Path) -> None:
    text = "date,player,course,hole,putts,putt1\n2026-05-03,Ada Brook,Heron Mere,1,1,9\n"
    text += ",,,2,1,x\n,,,3,1,8\n"
    (home / "round.csv").write_text(text, encoding="utf-8")
    said = sgputt("import", "round.csv").err
    assert "round.csv: nothing was stored. 4 rows: 1 without putts, 3 not stored (rows 2-4)" in said
    said = sgputt("import", "round.csv", "--keep-good-holes").err
    assert "round.csv: 4 rows: 2 stored, 1 without putts, 1 not stored (row 3)" in said
    (home / "other.csv").write_text(text.replace(",9", ",7"), encoding="utf-8")
    said = sgputt("import", "other.csv", "--keep-good-holes").err
    assert "is stored already as round 1, with other content" in said
    assert "4 rows: 1 without putts, 3 not stored (rows 2-4)" in said


def test_good_holes_can_be_kept_and_the_rest_is_written_down(sgputt: Command, home: Path) -> None:
    (home / "bad.csv").write_text(CARD.replace(",8,", ",ate,"), encoding="utf-8")
    ran = sgputt("import", "bad.csv", "--keep-good-holes")
    assert ran.status == 1
    assert "bad.rejected.csv" in ran.err
    assert sgputt("rounds", "--json").json[0]["holes"] == 1
    rejected = (home / "bad.rejected.csv").read_text(encoding="utf-8")
    assert "ate" in rejected


@pytest.mark.parametrize("layout", ["holes", "putts"])
def test_a_blank_card_filled_in_is_read(sgputt: Command, home: Path, layout: str) -> None:
    words = ["--layout", layout, "--player", "Ada Brook", "--course", "Heron Mere"]
    assert sgputt("card", *words, "--date", "2025-05-03", "--out", "card.csv").status == 0
    empty = sgputt("check", "card.csv")
    assert empty.status == 1
    card = pl.read_csv(home / "card.csv", infer_schema=False)
    first = pl.int_range(pl.len()) == 0
    values = {"putts": "1", "putt1": "8"} if layout == "holes" else {"distance_ft": "8"}
    filled_in = card.with_columns(
        pl.when(first).then(pl.lit(value)).otherwise(pl.col(name)).alias(name)
        for name, value in values.items()
    )
    filled_in.write_csv(home / "card.csv")
    assert sgputt("import", "card.csv", "--json").json["stored"] == [1]
    assert sgputt("round", "--json").json["per_hole"][0]["first_putt_ft"] == 8


def test_a_card_goes_to_stdout_and_is_only_a_card(sgputt: Command) -> None:
    ran = sgputt("card")
    assert (ran.status, ran.err) == (0, "")
    assert len(ran.out.splitlines()) == 19
    assert ran.out.startswith("date,player,course")


def test_names_cannot_act_on_the_terminal(sgputt: Command, home: Path) -> None:
    (home / "round.csv").write_text(
        CARD.replace("Ada Brook", "Ada [bold]Brook[/bold]"), encoding="utf-8"
    )
    assert sgputt("import", "round.csv").status == 0
    for name in ("rounds", "round", "season", "practice"):
        ran = sgputt(name)
        assert "Ada [bold]Brook[/bold]" in ran.out
        assert "\x1b" not in ran.out


def test_tables_fit_eighty_columns(filled: Command) -> None:
    for words in (["rounds"], ["round"], ["season"], ["practice"], ["drills"], ["expect", "8ft"]):
        ran = filled(*words)
        assert ran.status == 0
        assert max(map(len, ran.out.splitlines())) <= 80, words


def test_the_version(sgputt: Command) -> None:
    ran = sgputt("--version")
    assert ran.status == 0
    assert re.search(r"\d+\.\d+", ran.out)
